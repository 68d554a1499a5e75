"""A message prepared for understanding: tokens, quantities, phrases, and the clauses they stand in."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from itertools import pairwise

from askew.engine.language.finding import find
from askew.engine.language.lexicon import CONCEPT, Spot, dialect, joining, lexicon, stem, word_list
from askew.engine.language.measured import is_value
from askew.engine.language.quantities import Quantity
from askew.engine.language.scanning import scan
from askew.engine.language.slips import mended
from askew.engine.language.spelling import respell, run_together
from askew.engine.language.tokens import Token, tokenize
from askew.engine.units import Habit

MOST_QUANTITIES = 150

_LEADING_TO_A_NUMBER = {"in", "on", "at"}
_ARTICLES = {"the", "my", "this"}
_BOUNDING_A_NUMBER = {"about", "around"}

_TURNING = {"but", "so", "and", "because", "cos", "though", "although", "then", "whereas"}
_RELATIVE = {"that", "which", "where", "whether", "how", "why", "what"}
_REFUSING = {"none", "nothing", "not", "no"}

_HARD = {".": 0.7, ";": 0.7, "!": 0.7, "?": 0.7}
_SOFT = {",": 0.25, ":": 0.1, "(": 0.2, ")": 0.2}


@dataclass(frozen=True, slots=True)
class Clause:
    """A stretch of tokens, and what it costs to read it together with the one before."""

    start: int
    end: int
    cost: float


@dataclass(slots=True)
class Message:
    """A message and what has been found in it.

    Attributes:
        text: The message as typed.
        tokens: Its tokens.
        words: The stems of its words, respelled, by token index.
        quantities: Its quantities in order.
        spots: Its phrases in order.
        clauses: Its clauses in order.
        taken: Indices of tokens that something was made of.
        concepts: Phrases that tell what the assistant is asked for; they say nothing of the machine.
    """

    text: str
    tokens: list[Token]
    words: dict[int, str]
    quantities: list[Quantity]
    spots: list[Spot]
    clauses: list[Clause] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    concepts: tuple[Spot, ...] = ()
    prepared: tuple[Quantity, ...] = ()
    prepared_spots: tuple[Spot, ...] = ()
    all_names: frozenset[str] = frozenset()
    word_set: frozenset[str] = frozenset()
    _starts: list[int] = field(default_factory=list)
    _heads: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Index phrases and quantities by place, so that long messages stay cheap."""
        self.spots.sort(key=lambda spot: (spot.start, spot.end))
        self.prepared = tuple(self.quantities)
        self.prepared_spots = tuple(self.spots)
        self._starts = [spot.start for spot in self.spots]
        self._heads = [quantity.head for quantity in self.quantities]
        self.word_set = frozenset(self.words.values())
        self.all_names = frozenset(spot.name for spot in self.spots)

    def without(self, gone: Callable[[Quantity], bool]) -> Message:
        """Return the message as it was prepared, with some of its quantities set aside."""
        kept = [replace(quantity, junk=True) if gone(quantity) else quantity for quantity in self.prepared]
        return Message(self.text, self.tokens, self.words, kept, list(self.prepared_spots), self.clauses)

    def copy(self) -> Message:
        """Return the message as it was prepared."""
        return self.without(lambda _: False)

    def said(self, start: int, end: int) -> str:
        """Return the person's own words from token `start` up to token `end`."""
        if start >= end or start >= len(self.tokens):
            return ""
        return self.text[self.tokens[start].start : self.tokens[min(end, len(self.tokens)) - 1].end]

    def names(self, start: int, end: int) -> set[str]:
        """Return the names of all phrases between two tokens."""
        return {spot.name for spot in self.spots_in(start, end)}

    def spots_in(self, start: int, end: int) -> list[Spot]:
        """Return the phrases between two tokens."""
        place, found = bisect_left(self._starts, start), []
        while place < len(self.spots) and self._starts[place] < end:
            if self.spots[place].end <= end:
                found.append(self.spots[place])
            place += 1
        return found

    def has(self, *names: str) -> bool:
        """Tell whether any of these phrases was found anywhere."""
        return any(name in self.all_names for name in names)

    def take(self, start: int, end: int) -> None:
        """Mark tokens as understood."""
        self.taken.update(range(start, end))

    def drop(self, gone: Iterable[Quantity]) -> None:
        """Remove quantities that have been used up."""
        ids = {id(quantity) for quantity in gone}
        self.quantities = [quantity for quantity in self.quantities if id(quantity) not in ids]
        self._heads = [quantity.head for quantity in self.quantities]

    def settle(self, start: int, end: int) -> None:
        """Mark tokens as understood, and let nothing else be made of the phrases and quantities in them."""
        self.take(start, end)
        self.drop([q for q in self.quantities if start <= q.head < end])
        self.spots = [spot for spot in self.spots if not start <= spot.start < end]
        self._starts = [spot.start for spot in self.spots]
        self.all_names = frozenset(spot.name for spot in self.spots)

    def forget(self, name: str) -> None:
        """Let nothing be made of the phrases of this name."""
        self.spots = [spot for spot in self.spots if spot.name != name]
        self._starts = [spot.start for spot in self.spots]

    def mask(self, start: int, end: int) -> int:
        """Return the words between two tokens as a bit mask, with "qty" where a measured value stands."""
        bits = lexicon().bits
        implies = lexicon().implies
        made = 0
        than = next(
            (
                index
                for index in range(start, end)
                if self._held_against(index) and not any(q.start <= index < q.end for q in self.quantities)
            ),
            end,
        )
        for spot in self.spots_in(start, end):
            if not self._refused(spot) and not (spot.start >= than and spot.name in _PLACED):
                made |= bits.get(spot.name, 0)
                for name in implies.get(spot.name, ()):
                    made |= bits.get(name, 0)
        inside = self.within(start, end)
        if any(is_value(quantity) for quantity in inside):
            made |= bits["qty"]
        if sum(quantity.size for quantity in inside) >= 2:
            made |= bits["sizes"]
        if than < end and self.tokens[than].text in ("over", "under"):
            made |= bits["more" if self.tokens[than].text == "over" else "less"]  # "front reads two thou over the back"
        return made

    def _held_against(self, index: int) -> bool:
        """Tell whether what follows is only what something was compared with."""
        text = self.tokens[index].text
        return (
            text == "than"
            or (text in ("above", "below") and self.said(index + 1, index + 2) not in ("than", "as"))
            or (text in _AGAINST and self._names_place(index))
            or (text == "under" and self._names_place(index) and any(q.end == index for q in self.quantities))
            or (text == "on" and self._up_or_down(index))
            or (text in ("to", "with") and index > 0 and self.tokens[index - 1].text in ("compared", "relative"))
            or (text == "of" and index > 0 and self.tokens[index - 1].text in ("proud", "ahead", "shy"))
            or (
                text == "from"
                and index + 2 < len(self.tokens)
                and self.tokens[index + 1].text == "the"
                and not self.has("ink")
                and not any(spot.start <= index < spot.end for spot in self.spots)
            )
        )

    def _up_or_down(self, index: int) -> bool:
        """Tell whether "the right is down 2 thou" stands right before the "on" of "on the left"."""
        told = self.tokens[index - 1].text if index else ""
        if not any(
            (quantity.end == index and quantity.start and self.tokens[quantity.start - 1].text in ("up", "down"))
            or (quantity.end == index - 1 and told in ("up", "down"))
            for quantity in self.quantities
        ):
            return False
        before = {spot.name for spot in self.spots_in(0, index) if spot.name in _PLACES}
        after = {spot.name for spot in self.spots_in(index + 1, index + 4) if spot.name in _PLACES}
        return bool(after and before - after)

    def _names_place(self, index: int) -> bool:
        """Tell whether "past the foot" or "over the back edge" begins at a token."""
        index += self.tokens[index].text in ("relative", "compared", "opposed")
        return (
            index + 2 < len(self.tokens)
            and self.tokens[index + 1].text == "the"
            and any(
                spot.name in _PLACES or spot.name in ("other_part", "other_corner")
                for spot in self.spots_in(index + 1, index + 4)
            )
            and not any(spot.start <= index < spot.end for spot in self.spots)
        )

    def within(self, start: int, end: int) -> list[Quantity]:
        """Return the quantities between two tokens."""
        return self.quantities[bisect_left(self._heads, start) : bisect_left(self._heads, end)]

    def _refused(self, spot: Spot) -> bool:
        """Tell whether a direction is named only to be refused, as in "open, not closed"."""
        if spot.name == "along" and self.said(spot.end, spot.end + 1).lower() == "the":
            return self.said(spot.end + 1, spot.end + 2).lower() in _EDGES  # "thick along the back"
        if spot.name not in DIRECTIONS or spot.start == 0:
            return False
        before = self.tokens[spot.start - 1].text
        return before == "not" and not (
            spot.start > 1 and self.tokens[spot.start - 2].text in ("is", "are", "does", "did", "was")
        )


_AGAINST = {"past", "beyond", "over", "against", "versus", "vs"}
# What follows "than" is what something was held against: "the front is higher than the back".
_PLACES = {
    *("left", "right", "front", "back", "top", "bottom", "middle", "ends", "front_edge", "start", "end", "foot"),
}
_PLACED = _PLACES | {"to_left", "to_right", "to_front", "to_back"}
_EDGES = {"back", "front", "top", "bottom", "left", "right", "rear", "near", "far"}
_CORNERS = {"front_left", "front_right", "back_left", "back_right"}
# Words that give a direction, and that a "not" right before them refuses.
DIRECTIONS = {
    "open",
    "closed",
    "left",
    "right",
    "front",
    "back",
    "top",
    "bottom",
    "high",
    "low",
    "up",
    "down",
    "hollow",
    "crowned",
    "thick",
    "thin",
    "rise",
    "drop",
    "more",
    "less",
    "proud",
    "foot",
}


def prepare(text: str) -> Message:
    """Cut a message up and find what is known in it."""
    usual = dialect()
    tokens = [
        replace(token, text=usual[token.text]) if token.kind == "word" and token.text in usual else token
        for token in _parted(mended(tokenize(text)))
    ]
    at = [index for index, token in enumerate(tokens) if token.kind != "mark"]
    stems = respell([stem(tokens[index].text) for index in at], [tokens[index].text for index in at])
    joined = [
        place == 0
        or all(tokens[between].text in ("-", "'", "/") for between in range(at[place - 1] + 1, at[place]))
        for place in range(len(at))
    ]
    scanned = scan(tokens, MOST_QUANTITIES)
    begins = {quantity.head for quantity in scanned if tokens[quantity.head].kind == "number"}
    heads = {quantity.head for quantity in scanned if quantity.unit is not None}
    leading = frozenset(
        index
        for index in at
        if (index + 1 in begins and tokens[index].text in _LEADING_TO_A_NUMBER)
        or (index + 1 in heads and tokens[index].text in _BOUNDING_A_NUMBER)
        or (tokens[index].text == "in" and index + 1 < len(tokens) and tokens[index + 1].text in _ARTICLES)
    )
    found_spots = find(stems, joined, at, leading)
    concepts = tuple(spot for spot in found_spots if spot.name.startswith(CONCEPT))
    spots = [spot for spot in found_spots if not spot.name.startswith(CONCEPT)]
    quantities = []
    extras: list[Spot] = []
    around: dict[int, list[Spot]] = {}
    for spot in spots:
        for index in range(spot.start, spot.end):
            around.setdefault(index, []).append(spot)
    for place, found in enumerate(scanned):
        quantity, extra = _corner_angle(found, tokens)
        if place and _taken_over(quantity, scanned[place - 1], tokens):
            quantity = replace(quantity, span=True, length=True)
        if any(
            spot.name.startswith("tool:") and spot.end > quantity.end > spot.start
            for spot in around.get(quantity.end - 1, ())
        ):
            quantity = replace(quantity, junk=True)  # "a tenths clock" is no tenth
        if quantity.unit is None and any(
            _names_a_thing(spot, quantity) for spot in around.get(quantity.start, ())
        ):
            quantity = replace(quantity, junk=True)
        quantities.append(quantity)
        if extra is not None:
            extras.append(extra)
    quantities = _sizes_paired(quantities)
    owner = {index: quantity for quantity in quantities for index in range(quantity.start, quantity.end)}
    spots = [spot for spot in spots if not _swallowed(spot, owner) and not _in_a_tool(spot, around)] + extras
    spots = [spot for spot in spots if not _only_sizes(spot, tokens, owner) and not _opening_right(spot, tokens)]
    spots = [spot for spot in spots if not _left_behind(spot, tokens)]
    spots = _corners_parted(spots)
    message = Message(text, tokens, dict(zip(at, stems, strict=True)), quantities, spots, concepts=concepts)
    message.clauses = _clauses(message)
    return message


def _sizes_paired(quantities: list[Quantity]) -> list[Quantity]:
    """Mark two neighbouring sizes that differ by no more than a twentieth, of which one at least is no error."""
    made = list(quantities)
    plain = [at for at, q in enumerate(quantities) if not (q.junk or q.box or q.plus_minus or q.pronoun or q.length)]
    for one, two in pairwise(plain):
        first, second = quantities[one], quantities[two]
        if (
            first.value > 0
            and second.value > 0
            and (first.unit == second.unit or None in (first.unit, second.unit))
            and first.value != second.value
            and abs(first.value - second.value) * 20 <= max(first.value, second.value)
            and not (is_value(first) and is_value(second))
        ):
            made[one], made[two] = replace(first, size=True), replace(second, size=True)
    return made


def _parted(tokens: Iterable[Token]) -> Iterable[Token]:
    """Yield the tokens, words that were run together as two."""
    for token in tokens:
        at = run_together(token.text) if token.kind == "word" else None
        if at is None:
            yield token
            continue
        cut = token.start + at
        yield replace(token, text=token.text[:at], end=cut)
        yield Token("word", token.text[at:], cut, token.end)


def _names_a_thing(spot: Spot, quantity: Quantity) -> bool:
    """Tell whether a number is part of a name, as in "one two three block", or of a phrase that counts nothing."""
    return (
        (spot.name in ("block", "not_repeat", "every_time") or spot.name.startswith(("tool:", "choice:material")))
        and spot.start <= quantity.start
        and quantity.end <= spot.end
    )


def _corners_parted(spots: list[Spot]) -> list[Spot]:
    """Leave out corners that share a word with the one before: "front left back right" names two, not three."""
    reach, kept = -1, []
    for spot in sorted(spots, key=lambda spot: (spot.start, -spot.end)):
        if spot.name in _CORNERS:
            if spot.start < reach:
                continue
            reach = spot.end
        kept.append(spot)
    return kept


_TOOL_WORDS = {"needle", "square_tool", "straight_edge", "block", "parallel", "paper", "square", "square_on_table"}


def _in_a_tool(spot: Spot, around: Mapping[int, list[Spot]]) -> bool:
    """Tell whether a phrase is only part of a name: the "finger" of "finger dti", the "knee" of "knee mill"."""
    return spot.name not in _TOOL_WORDS and any(
        tool.name.startswith(("tool:", "choice:machine"))
        and tool.start <= spot.start
        and spot.end <= tool.end
        and tool.end - tool.start > spot.end - spot.start
        for tool in around.get(spot.start, ())
    )


def _opening_right(spot: Spot, tokens: Sequence[Token]) -> bool:
    """Tell whether a "right" or a "hi" only opens the talk: "right, the corner is open", "right so I swept it"."""
    return (
        spot.start == 0
        and spot.end == 1
        and spot.name != "polite"
        and tokens[0].text in ("right", "hi")
        and len(tokens) > _SHORT_ANSWER
        and tokens[1].text in (",", "there", "so", "then", "well", "i", "i've", "ive", "we", "ok", "okay", "now")
    )


def _left_behind(spot: Spot, tokens: Sequence[Token]) -> bool:
    """Tell whether a "left" is no side but what something did: "the cut left the face dished"."""
    last = spot.end - 1
    return (
        tokens[last].text == "left"
        and spot.name not in ("found", "print")
        and last + 1 < len(tokens)
        and tokens[last + 1].text in ("a", "an", "the", "it", "some", "me", "us", "this", "that", "behind", "my")
        and last > 0
        and tokens[last - 1].kind == "word"
        and tokens[last - 1].text in _LEAVING
    )


_LEAVING = {"cut", "cutter", "pass", "passes", "mill", "it", "that", "which", "tool", "he", "i", "we", "has", "had"}
_SHORT_ANSWER = 7
"""Up to so many tokens a "right" at the beginning may be the answer to "which side?"."""


def _only_sizes(spot: Spot, tokens: Sequence[Token], owner: Mapping[int, Quantity]) -> bool:
    """Tell whether "thick" only says what a size is: "20 mm thick" compares nothing."""
    size = owner.get(spot.start - 1)
    return (
        spot.name in ("thick", "out_of_parallel", "proud")
        and tokens[spot.start].text == "thick"
        and size is not None
        and not size.junk
        and size.unit is not None
        and not is_value(size)
    )


def _swallowed(spot: Spot, owner: Mapping[int, Quantity]) -> bool:
    """Tell whether a phrase is only part of a quantity, like the "foot" of "thou per foot"."""
    if spot.name.startswith(("in_", "choice:material")) or spot.name == "nothing":
        return False
    owners = [owner.get(index) for index in range(spot.start, spot.end)]
    if spot.name in ("open", "closed"):
        return any(quantity is not None and not quantity.junk for quantity in owners)
    return all(quantity is not None and quantity is owners[0] and not quantity.junk for quantity in owners)


def _taken_over(quantity: Quantity, before: Quantity, tokens: list[Token]) -> bool:
    """Tell whether a bare number is the length that the one right before it was taken over: "2 thou in 3"."""
    return (
        quantity.unit is None
        and not quantity.junk
        and quantity.value > 0
        and quantity.start - before.end <= 1
        and is_value(before)
        and not quantity.signed
        and tokens[quantity.head - 1].text in ("in", "over", "per", "across", "on")
    )


def _corner_angle(quantity: Quantity, tokens: list[Token]) -> tuple[Quantity, Spot | None]:
    """Turn a corner of "90.1 degrees" into a tenth of a degree open; a plain 90 is no measurement."""
    if quantity.unit not in ("deg", None) or not 80 < quantity.value < 100:
        return quantity, None
    off = quantity.value - 90
    if off == 0 and quantity.unit == "deg" and quantity.bound in ("at_least", "at_most"):
        side = "open" if quantity.bound == "at_least" else "closed"  # "> 90 deg"
        return replace(quantity, junk=True), Spot(side, quantity.start, quantity.end)
    if off == 0 or quantity.unit is None:
        before = tokens[quantity.start - 1].text if quantity.start else ""
        meant = off == 0 and (
            quantity.unit == "deg"
            or before in word_list("clauses.toml", "words", "before_ninety")
            or quantity.bound is not None
        )
        return (replace(quantity, junk=True) if meant else quantity), None
    name = "open" if off > 0 else "closed"
    return replace(quantity, value=abs(off), span=False), Spot(name, quantity.head, quantity.end)


def _clauses(message: Message) -> list[Clause]:
    tokens = message.tokens
    busy = _paired(message)
    for quantity in message.quantities:
        busy.update(range(quantity.start + 1, quantity.end))
    for spot in message.spots:
        busy.update(range(spot.start + 1, spot.end))
    after = {quantity.end for quantity in message.quantities}
    signs = {quantity.head for quantity in message.quantities if quantity.signed}  # the "plus" of "plus three"
    heads = {quantity.head for quantity in message.quantities}
    clauses: list[Clause] = []
    start, cost, pending = 0, 0.0, 0.0
    for index, token in enumerate(tokens):
        if index in busy:
            continue
        if token.kind == "mark" and (token.text in _HARD or token.text in _SOFT):
            if index > start:
                clauses.append(Clause(start, index, cost))
                pending = 0.0
            pending = max(pending, _HARD.get(token.text, _SOFT.get(token.text, 0.0)))
            if token.text == "," and index + 1 < len(tokens) and tokens[index + 1].text in ("none", "nothing"):
                pending = max(pending, 0.6)
            start, cost = index + 1, pending
        elif index in signs:
            continue
        elif index > start and (token.text in joining() or _opens(tokens, start, index, index in after, heads)):
            clauses.append(Clause(start, index, cost))
            start, cost, pending = index, joining().get(token.text, 0.0), 0.0
            if token.text == "but" and index + 1 < len(tokens) and tokens[index + 1].text in _REFUSING:
                cost = 1.0  # "in the middle, but none along it"
        elif index == start and token.text in joining():
            cost = max(cost, joining()[token.text])
    if start < len(tokens):
        clauses.append(Clause(start, len(tokens), cost))
    return _doubt_joined(message, clauses)


_DOUBT = {"unsure", "dont_know"}
_DOUBTED = -0.4


def _doubt_joined(message: Message, clauses: list[Clause]) -> list[Clause]:
    """Read what is doubted together with the doubt: "can't tell | if the needle moves | when I tighten"."""
    doubts = [spot.end for spot in message.spots if spot.name in _DOUBT]
    made: list[Clause] = []
    within = False
    for clause in clauses:
        if made and (clause.start > made[-1].end or message.tokens[clause.start].text in _TURNING):
            within = False  # a stop, a comma, a "but"
        made.append(replace(clause, cost=_DOUBTED) if within else clause)
        within = within or any(clause.start < end <= clause.end for end in doubts)
    return made


def _paired(message: Message) -> set[int]:
    """Return the "and"s between two places, as in "front right and back left"."""
    ends = {spot.end for spot in message.spots if spot.name in _PLACES or spot.name in _CORNERS}
    starts = {spot.start for spot in message.spots if spot.name in _PLACES or spot.name in _CORNERS}
    return {
        index
        for index, token in enumerate(message.tokens)
        if token.text in ("and", "&", "or") and index in ends and index + 1 in starts
    }


def _opens(tokens: list[Token], start: int, index: int, after_number: bool, heads: Set[int]) -> bool:
    """Tell whether a new statement may begin at a word like "the" or "it's", in talk without stops."""
    word = tokens[index].text
    numbered = any(tokens[at].kind == "number" or at in heads for at in range(index + 1, min(index + 3, len(tokens))))
    if word in ("x", "y", "z") and after_number and numbered:
        return True  # "backlash x 12 thou y 8 thou", "x backlash 12 y backlash 8"
    if index - start < 3 or word not in word_list("clauses.toml", "words", "opening"):
        return False
    if tokens[index - 1].text in _RELATIVE:
        return False  # "no step that I can feel"
    return after_number or (
        word not in word_list("clauses.toml", "words", "weak_opening")
        and tokens[index - 1].text not in word_list("clauses.toml", "words", "leading_on")
    )


def shown_habit(message: Message) -> Habit | None:
    """Return the habit that the units of the message betray, None if none or both."""
    named = {"in_mm": "mm", "in_um": "mm", "in_thou": "in", "in_inch": "in"}
    seen: set[Habit] = {
        quantity.habit for quantity in message.quantities if quantity.habit is not None and not quantity.junk
    }
    if len(seen) == 1:
        return seen.pop()
    if not seen:
        told: set[Habit] = {
            "mm" if named[spot.name] == "mm" else "in" for spot in message.spots if spot.name in named
        }
        return told.pop() if len(told) == 1 else None
    return next(
        quantity.habit
        for quantity in message.quantities
        if (quantity.habit is not None and not quantity.junk and is_value(quantity)) or quantity.habit
    )
