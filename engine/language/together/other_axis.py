"""The other axis of a reading, told only to be right: "leans left 4 thou, front to back it's fine, zero"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.numbers.measured import is_span, is_value
from askew.engine.language.numbers.unit_words import words
from askew.engine.language.observed.length_over import span_mm
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Action, Command, Observation, Reading
from askew.engine.units import UNITS

_SIDEWAYS = frozenset({"x", "l2r", "r2l", "left", "right", "side_to_side", "choice:feed_axis=x", "other_axis"})
_IN_AND_OUT = frozenset({"y", "f2b", "b2f", "front", "back", "choice:feed_axis=y", "other_axis"})
_ACROSS = frozenset({"across"})
_RUN_ALONG = ("table_run", "vise_bed")
"""What is run along one axis first, and then across that."""
_FEED = frozenset({"along", "x", "l2r", "r2l", "other_axis"})
_CROSS_FEED = frozenset({"across", "y", "f2b", "b2f", "other_axis"})
"""The words that name the direction of the feed and the other one; with a feed along Y they change places later."""
_TWINS = {
    "hollow_across": ("hollow_along", _FEED),
    "hollow_along": ("hollow_across", _CROSS_FEED),
    "face_out_of_parallel_across": ("face_out_of_parallel_along", _FEED),
    "face_out_of_parallel_along": ("face_out_of_parallel_across", _CROSS_FEED),
    "push_pull_x": ("push_pull_y", frozenset({"saddle", "y", "f2b", "b2f"})),
    "push_pull_y": ("push_pull_x", frozenset({"table", "x", "l2r", "r2l"})),
    "release_change": ("release_bow", frozenset({"middle"})),
    "release_bow": ("release_change", frozenset({"front_edge", "front", "f2b"})),
}
"""The reading beside each one, and the words that name it."""
_NONE = {"nothing", "not_move"}
_LONGEST = 3
"""So many clauses the remark may take: "front to back, it's fine, zero"."""


def add_right_axis(message: Message, facts: list[Observation]) -> None:
    """Add a reading of nothing on the axis that is named only to be right.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    told = {fact.id for fact in facts if isinstance(fact, Reading)}
    for fact in [fact for fact in facts if isinstance(fact, Reading) and fact.value is not None]:
        twin, names = _twin(fact.id)
        if twin and twin not in told:
            own = message.tokens_of(fact.words)
            others = {
                at
                for other in facts
                if other is not fact and not isinstance(other, Action | Command)
                for at in message.tokens_of(other.words)
            }
            right = _told_right(message, lexicon().meanings[twin], names, own, others)
            if right is not None:
                message.take(*right)
                facts.append(Reading(twin, 0.0, _gone_over(message, *right, fact), words=message.said(*right)))
                return


def twin_of(name: str) -> str:
    """Return the reading of the other axis, "" if there is none."""
    return _twin(name)[0]


def _gone_over(message: Message, start: int, end: int, other: Reading) -> float | None:
    """Return the length in mm that nothing was found over, bare ones in the units of the other axis."""
    spans = [quantity for quantity in message.within(start, end) if is_span(quantity)]
    if len(spans) != 1:
        return None
    return span_mm(message, spans[0], UNITS[other.unit].habit if other.unit in UNITS else None)


def _twin(name: str) -> tuple[str, frozenset[str]]:
    """Return the reading of the other axis, "" if there is none, and the words that name that axis."""
    if name in _TWINS:
        return _TWINS[name]
    if name.endswith(("_x", "_y")) and not name.startswith(("backlash", "push_pull")):
        other = f"{name[:-1]}{'y' if name.endswith('x') else 'x'}"
        if other in lexicon().meanings:
            across = _ACROSS if name.startswith(_RUN_ALONG) else frozenset[str]()
            return other, across | (_IN_AND_OUT if name.endswith("x") else _SIDEWAYS)
    return "", frozenset()


def _told_right(
    message: Message, meaning: Meaning, names: frozenset[str], own: range, others: Set[int]
) -> tuple[int, int] | None:
    """Return where the clauses begin and end that name an axis and say "nothing" of it, or "the same" of a change.

    Nothing was made of them yet, but that they may belong to the group whose number, of the first axis, stands in
    another clause of it: "along the feed the left is 2 thou thick, and across I find nothing".

    Args:
        message: The message.
        meaning: The reading of that axis, whose own words for nothing, "flat" of a hollow, say so too.
        names: Phrases that name the axis.
        own: The tokens of the reading of the first axis.
        others: The tokens of what else was heard.
    """
    if not message.has(*names):
        return None
    for place, clause in enumerate(message.clauses):
        named = [spot for spot in message.spots_in(clause.start, clause.end) if spot.name in names]
        if not named or (clause.start not in own and any(at in others for spot in named for at in _tokens(spot))):
            continue
        end = clause.end
        for following in message.clauses[place : place + _LONGEST]:
            if following is not clause and _parted(message, end, following):
                break
            if _measured(message, following):
                break
            end = following.end
            said = message.names(clause.start, end)
            equal = bool(meaning.ends) and _equal(message, clause.start, end)
            if equal or said & _NONE or best(meaning.zero, message.mask(clause.start, end)) or _fine(message, clause):
                return clause.start, end
    return None


def _equal(message: Message, start: int, end: int) -> bool:
    """Tell whether both ends are said to read alike: "front and back were the same", not "front to back the same"."""
    texts = [token.text for token in message.tokens[start:end]]
    pair = any(one in _PLACES and two in ("and", "&") and three in _PLACES for one, two, three in _threes(texts))
    return bool(_ALIKE & {*texts}) and (pair or bool(_BOTH & {*texts}))


def _fine(message: Message, clause: Clause) -> bool:
    """Tell whether a short clause closes by calling its axis right: "along the feed it's parallel"."""
    texts = [token.text for token in message.tokens[clause.start : clause.end] if token.kind != "mark"]
    last = next((text for text in reversed(texts) if text not in _TRAILING), "")
    fine = word_list("clauses.toml", "words", "axis_fine")
    first = texts[:2] if "is" not in texts else []  # "level the other way", "and flat lengthways"
    made = "to" in texts[-2:-1] or bool({"i", "we"} & {*texts})  # "I tilted the head back to true"
    return len(texts) <= _SHORT and not made and bool({last, *first} & fine) and not words().denying & {*texts}


_SHORT = 9
"""Most words of a remark that only calls an axis right."""
_TRAILING = {"enough", "too", "though", "tho", "mate", "there", "anyway"}


def _threes(texts: Sequence[str]) -> Iterable[tuple[str, str, str]]:
    return zip(texts, texts[1:], texts[2:], strict=False)


_PLACES = {"front", "back", "rear", "left", "right"}
_ALIKE = {"same", "equal", "equals", "identical", "alike", "agree", "agrees"}
_BOTH = {"both", "two"}


def _tokens(spot: Spot) -> range:
    return range(spot.start, spot.end)


def _parted(message: Message, end: int, following: Clause) -> bool:
    return any(message.tokens[at].text in SENTENCE_ENDS for at in range(end, following.start))


def _measured(message: Message, clause: Clause) -> bool:
    return any(is_value(quantity) and quantity.value for quantity in message.within(clause.start, clause.end))
