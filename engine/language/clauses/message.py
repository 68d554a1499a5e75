"""A message prepared for understanding: tokens, quantities, phrases, and the clauses they stand in."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Set
from dataclasses import dataclass, field
from operator import attrgetter

from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import SENTENCE_ENDS, Token
from askew.engine.units import Habit

PLACES = {
    *("left", "right", "front", "back", "top", "bottom", "middle", "ends", "front_edge", "start", "end", "foot"),
}
"""Phrases for a place on the part: after a "than" they are what something was held against."""
CORNERS = {"front_left", "front_right", "back_left", "back_right"}
DIRECTIONS = {
    *("open", "closed", "left", "right", "front", "back", "top", "bottom", "high", "low", "up", "down", "hollow"),
    *("crowned", "thick", "thin", "rise", "drop", "more", "less", "proud", "foot"),
}
"""Phrases that give a direction, and that a "not" right before them refuses."""
_PLACED = PLACES | CORNERS | {"to_left", "to_right", "to_front", "to_back", "near_one", "far_one"}
_AGAINST = {"past", "beyond", "over", "against", "versus", "vs", "outside"}
_WENT = {"up", "down", "dropped", "drops", "fell", "falls", "rose", "rises", "lifted", "sank", "higher", "lower"}
_MORE = {
    **{"over": "more", "past": "more", "beyond": "more", "above": "more", "under": "less", "below": "less"},
    **dict.fromkeys(("exceeds", "exceed", "exceeded", "exceeding"), "more"),
    "outside": "proud",
}
_EXCEEDS = {"exceeds", "exceed", "exceeded", "exceeding"}
_PROUD = {"proud", "ahead", "shy", "short"}
_HELD_TO = {"to", "with"}
_HOLDING = {"than", "as", "above", "below", "under", "on", "of", "from", *_EXCEEDS, *_AGAINST, *_HELD_TO}
"""Words after which something may stand that only another was compared with; most words are none."""
_COMPARED = {"compared", "relative", "relation", "comparison", "respect", "opposed"}
_ARTICLES = {"the", "its", "their", "my", "that", "what", "it", "is", "it's", "at", "was", "where", "each"}
_FAR = 5
_MEASURING = {"measured_from", "tool:micrometer"}
_NEAR = 3
_LONGEST = 20
"""No phrase has more words and marks."""
_LAST = 10
_HIGH_OR_LOW = {
    *("high", "low", "higher", "lower", "proud", "thick", "thin", "thicker", "thinner", "fell", "fallen", "dropped"),
    *("drops", "rose", "risen", "rises", "sank", "lifted"),
}
_COMPARATIVES = {
    *("more", "less", "higher", "lower", "thicker", "thinner", "bigger", "smaller", "wider", "taller", "deeper"),
    *("larger", "greater", "prouder", "closer", "nearer", "fatter", "shorter", "longer"),
}
_EDGES = {"back", "front", "top", "bottom", "left", "right", "rear", "near", "far"}


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
        prepared: Its quantities as it was prepared, used up or not.
        prepared_spots: Its phrases as it was prepared.
        all_names: Names of its phrases.
        word_set: The stems of its words.
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
        kept = [quantity.put_aside() if gone(quantity) else quantity for quantity in self.prepared]
        return Message(self.text, self.tokens, self.words, kept, list(self.prepared_spots), self.clauses)

    def copy(self) -> Message:
        """Return the message as it was prepared."""
        return self.without(lambda _: False)

    def said(self, start: int, end: int) -> str:
        """Return the person's own words from token `start` up to token `end`."""
        if start >= end or start >= len(self.tokens):
            return ""
        return self.text[self.tokens[start].start : self.tokens[min(end, len(self.tokens)) - 1].end]

    def tokens_of(self, words: str) -> range:
        """Return the tokens that begin within some of the person's own words; none where they are not found."""
        at = self.text.find(words)
        if at < 0:
            return range(0)
        begins = attrgetter("start")
        return range(
            bisect_left(self.tokens, at, key=begins), bisect_left(self.tokens, at + len(words), key=begins)
        )

    def clause_at(self, at: int) -> Clause | None:
        """Return the clause that a token stands in, None where it stands in none."""
        return next((clause for clause in self.clauses if clause.start <= at < clause.end), None)

    def text_at(self, at: int) -> str:
        """Return the text of a token, "" where there is none."""
        return self.tokens[at].text if 0 <= at < len(self.tokens) else ""

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

    def within(self, start: int, end: int) -> list[Quantity]:
        """Return the quantities between two tokens."""
        return self.quantities[bisect_left(self._heads, start) : bisect_left(self._heads, end)]

    def sized_before(self, at: int) -> bool:
        """Tell whether a size ends right before a token, as in "3/4 em"."""
        return any(quantity.end == at and not quantity.junk for quantity in self.prepared)

    def has(self, *names: str) -> bool:
        """Tell whether any of these phrases was found anywhere."""
        return any(name in self.all_names for name in names)

    def sentence(self, start: int, end: int) -> tuple[int, int]:
        """Return the first token of the sentence that token `start` stands in, and that after the one of `end`."""
        while start > 0 and self.tokens[start - 1].text not in SENTENCE_ENDS:
            start -= 1
        while end < len(self.tokens) and self.tokens[end].text not in SENTENCE_ENDS:
            end += 1
        return start, end

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

    def forget_in(self, names: Set[str], start: int, end: int) -> None:
        """Let nothing be made of the phrases of these names between two tokens."""
        self.spots = [s for s in self.spots if not (s.name in names and start <= s.start and s.end <= end)]
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
        if than < end and self.tokens[than].text in _MORE:
            made |= bits[_MORE[self.tokens[than].text]]  # "front reads two thou over the back"
        return made

    def _held_against(self, index: int) -> bool:
        """Tell whether what follows is only what something was compared with."""
        text = self.tokens[index].text
        return text in _HOLDING and (
            text == "than"
            or text in _EXCEEDS
            or (text == "as" and self._more_as(index))
            or (text in ("above", "below") and self.text_at(index + 1) not in _COMPARATIVES | {"than", "as"})
            or (text in _AGAINST and self._names_place(index))
            or (text == "under" and self._names_place(index) and any(q.end == index for q in self.quantities))
            or (text == "on" and self._up_or_down(index))
            or (text == "to" and self._high_or_low(index))
            or (text in _HELD_TO and index > 0 and self.tokens[index - 1].text in _COMPARED)
            or (text == "of" and self._stands_proud(index))
            or (
                text == "from"
                and index + 2 < len(self.tokens)
                and self.tokens[index + 1].text == "the"
                and not self.has("ink")
                and "than" not in [token.text for token in self.tokens[index : index + _LAST]]
                and not any(spot.start <= index < spot.end for spot in self.spots)
                and not self._measured_before(index)
            )
        )

    def _more_as(self, index: int) -> bool:
        """Tell whether an "as" stands for a "than": "3 hundredths more as at the back"."""
        before = [self.text_at(at) for at in range(index - _NEAR, index)]
        if "as" in before or not any(text in _COMPARATIVES for text in before):
            return False
        return any(spot.name in PLACES for spot in self.spots_in(index + 1, index + _NEAR + 1))

    def _measured_before(self, index: int) -> bool:
        """Tell whether "from the base" only says where it was measured from: "miked it up from the base"."""
        return any(spot.name in _MEASURING for spot in self.spots_in(max(0, index - _NEAR), index))

    def _stands_proud(self, index: int) -> bool:
        """Tell whether "proud" stands before the "of" of "proud of the top", "proud by 2 thou of the top"."""
        number = next((quantity for quantity in self.quantities if quantity.end == index), None)
        at = index if number is None else number.start
        before = {self.text_at(at - 1), self.text_at(at - 2)} if number is not None else {self.text_at(at - 1)}
        return bool(before & _PROUD)

    def _up_or_down(self, index: int) -> bool:
        """Tell whether "the right is down 2 thou", "the front dropped 2 thou" stands right before an "on the left"."""
        told = self.tokens[index - 1].text if index else ""
        if not any(
            (quantity.end == index and quantity.start and self.tokens[quantity.start - 1].text in _WENT)
            or (quantity.end == index - 1 and told in ("up", "down"))
            for quantity in self.quantities
        ):
            return False
        before = {spot.name for spot in self.spots_in(0, index) if spot.name in PLACES}
        after = {spot.name for spot in self.spots_in(index + 1, index + 4) if spot.name in PLACES}
        return bool(after and before - after)

    def _high_or_low(self, index: int) -> bool:
        """Tell whether one place was told high or low right before the "to" of "2 thou low to the back edge"."""
        number = next((quantity for quantity in self.quantities if quantity.end == index), None)
        at = index if number is None else number.start - (self.text_at(number.start - 1) == "by")
        if self.text_at(at - 1) not in _HIGH_OR_LOW:
            return False
        before = {spot.name for spot in self.spots_in(max(0, index - _LAST), index) if spot.name in PLACES}
        after = {spot.name.removeprefix("to_") for spot in self.spots_in(index, index + 4)} & PLACES
        return bool(before and after - before)

    def _names_place(self, index: int) -> bool:
        """Tell whether "past the foot", "3 thou over front" or "over what it is at the top" begins at a token."""
        before = self.spots[bisect_left(self._starts, index - _LONGEST) : bisect_right(self._starts, index)]
        named = any(spot.end > index for spot in before if not spot.name.startswith("length:"))
        if named and self.tokens[index].text != "outside":
            return False
        place = index + 1
        while place < len(self.tokens) and place - index <= _FAR and self.tokens[place].text in _ARTICLES:
            place += 1
        bare = place == index + 1 and not any(quantity.end == index for quantity in self.quantities)
        if bare and self.text_at(index - 1) not in ("out", "proud"):
            return False  # without an article only right after a number, or "sticks out past top"
        return any(
            (spot.name in PLACES or spot.name in ("other_part", "other_corner")) and spot.start <= place < spot.end
            for spot in self.spots_in(index + 1, place + 3)
        )

    def _refused(self, spot: Spot) -> bool:
        """Tell whether a direction is named only to be refused, as in "open, not closed"."""
        if spot.name == "along" and self.said(spot.end, spot.end + 1).lower() == "the":
            return self.said(spot.end + 1, spot.end + 2).lower() in _EDGES  # "thick along the back"
        if spot.name == "along" and self.text_at(spot.end) in ("x", "y"):
            return True  # it names the axis that was fed along
        if spot.name not in DIRECTIONS or spot.start == 0:
            return False
        before = self.tokens[spot.start - 1].text
        if (self.text_at(spot.start - 2), before) in (("instead", "of"), ("rather", "than")):
            return True
        return before == "not" and not (
            spot.start > 1 and self.tokens[spot.start - 2].text in ("is", "are", "does", "did", "was")
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
