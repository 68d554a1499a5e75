"""Whose a size is: the part's own, or that of the table, a wall, a hole, a jaw or a smaller cutter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.nouns import BARE, LEAST_SIZE, PART
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.stems import stem
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import table, word_list

_LARGE = {f"choice:cutter_kind={kind}" for kind in ("face_mill", "shell_mill", "fly_cutter", "slab_mill")}
"""Cutters that nobody calls the small one."""
_OF_SMALL_CUTTER = {"fine_cutter_error", "small_cutter_diameter"}
"""What is asked about the cut with a small cutter: "still open 3 tenths, that was with a 6 mm cutter"."""
_OF_PARALLELS = {"parallel_spacing", "parallels_height"}
"""After one of these was asked for what is "apart" are the parallels."""
_NEAR_WALL = 7
_OWNER_WITHIN = 13
"""Tokens before a size in which the thing that it belongs to is looked for."""


@dataclass(frozen=True, slots=True)
class Told:
    """A size that was told or asked for: its key, and the token after it."""

    key: str
    end: int


def whose(key: str, message: Message, quantity: Quantity, noun: Spot, told: Told | None) -> str:
    """Return the length that is meant by a noun that may be said of several things.

    Args:
        key: The length that the noun names by itself.
        message: The message.
        quantity: The size.
        noun: The noun that the size stands beside.
        told: What size was told or asked for before, if any: the sizes that follow may be of the same thing.

    Returns:
        The key of the length; "" where nobody asks for it.
    """
    names = message.all_names
    bare = noun.end - noun.start <= BARE
    if bare and (key in PART or key in ("pass_spacing", "travel")):
        start = min(quantity.start, noun.start)
        owner = _owner(message, start, max(quantity.end, noun.end)) or _owner_carried(message, start, told)
        if owner is not None and key in owner:
            return owner[key]
    if key == "part_depth" and told is not None and told.key.startswith("block"):
        return "block_depth"  # "went up the block 60 mm, and it makes 50 between the jaws"
    if key in ("part_height", "part_depth"):
        return _height_or_depth(key, message, quantity, bare)
    if key == "cutter_diameter":
        small = told is not None and told.key in _OF_SMALL_CUTTER
        key = _of_which_cutter(message, quantity)
        return "small_cutter_diameter" if small and key == "cutter_diameter" else key
    if key == "part_across" and bare and names & {"jaw", "vise"} and "part_noun" not in names:
        return "jaw_width"
    if key == "travel" and ("block" in names or (told is not None and told.key.startswith("block"))):
        return "block_travel"
    of_parallels = told is not None and told.key in _OF_PARALLELS
    if key == "pass_spacing" and (of_parallels or "parallel" in message.word_set):
        return "parallel_spacing"
    if key == "sweep_diameter" and "choice:cutter_kind=fly_cutter" in names:
        return "cutter_diameter"
    return key


def _height_or_depth(key: str, message: Message, quantity: Quantity, bare: bool) -> str:
    """Return whose a height or a depth is: a hole's, a jaw's, a wall's, or how deep the part is gripped."""
    names, before = message.all_names, _names_before(message, quantity)
    if key == "part_depth" and ("hole" in names or _drilled(names)):
        return "hole_depth"
    if key == "part_depth" and "block" in names and "part_height" not in names:
        return "block_depth"
    sunk = message.word_set & _words("sunk") and "gripped" in message.names(quantity.end, quantity.end + 5)
    if (key == "part_depth" and sunk) or (bare and before & {"gripped", "length:grip_height"}):
        return "grip_height"
    if bare and "jaw" in before and "part_noun" not in names and not _jaw_is_a_place(message, quantity):
        return "jaw_height"
    if key == "part_height" and _of_a_wall(message, quantity):
        return "wall_height"
    return key


def _jaw_is_a_place(message: Message, quantity: Quantity) -> bool:
    """Tell whether the jaw before a height only says what the part goes by: "pushed against the jaw, 40 mm high"."""
    jaws = [spot for spot in message.spots_in(max(0, quantity.start - 4), quantity.start) if spot.name == "jaw"]
    if not jaws:
        return False
    at = jaws[0].start - 1
    while message.text_at(at) in _words("adjectives"):
        at -= 1
    return message.text_at(at) in _words("going_by")


def _of_a_wall(message: Message, quantity: Quantity) -> bool:
    """Tell whether a height is that of a wall: one is named beside it, or which one was cut is told before."""
    clause = message.clause_at(quantity.head)
    start, end = max(0, quantity.start - 3), quantity.end + 4
    if clause is not None:
        end = min(end, clause.end)
    if "part" not in message.all_names and "wall" in message.names(start, end):
        return True
    before = message.names(max(0, quantity.start - _NEAR_WALL), quantity.start)
    return any(name.startswith("choice:wall_side=") for name in before) and "wall" in before


def _drilled(names: Set[str]) -> bool:
    """Tell whether something was drilled, bored or reamed, and no part named: "drilled it, an inch deep"."""
    made = any(name.startswith("choice:hole_made_by=") for name in names)
    return made and not names & {"jaw", "vise", "part_noun", "block", "between_jaws"}


def _of_which_cutter(message: Message, quantity: Quantity) -> str:
    """Return which cutter a diameter is of, or that it is how far the cutter stands off the middle."""
    names = message.all_names
    start = next((clause.start for clause in message.clauses if clause.start <= quantity.head < clause.end), 0)
    copula = {message.text_at(at) for at in range(quantity.start - 2, quantity.start)} & {"is", "was"}
    told = "length:small_cutter_diameter" in message.names(start, quantity.start) and bool(copula)
    if told or "length:small_cutter_diameter" in _names_before(message, quantity) or "fine_cut" in names:
        return "small_cutter_diameter"
    fine = "small_cutter" in names or (message.word_set & {"fin", "many", "lot"} and "pass" in names)
    fine = fine or "stepov" in message.word_set
    if fine and message.text_at(quantity.start - 1) in ("small", "little", "tiny"):
        return "small_cutter_diameter"
    large = message.names(quantity.start, quantity.end + 4) & _LARGE
    if "length:small_cutter_diameter" in names and not large and not _sized_beside(message, quantity):
        return "small_cutter_diameter"  # "off the little cutter it's open 2 tenths. That was a 10 mm cutter"
    return "cutter_offset" if _off_the_middle(message, quantity) else "cutter_diameter"


def _sized_beside(message: Message, quantity: Quantity) -> bool:
    """Tell whether another size of a thing is told, which the one cutter named may have."""
    return any(
        other is not quantity and not other.junk and other.mm is not None and other.mm > LEAST_SIZE
        for other in message.prepared
    )


def _off_the_middle(message: Message, quantity: Quantity) -> bool:
    """Tell whether a size beside a cutter is how far it was off the middle: no other number stands nearer to that."""
    spots = [spot for spot in message.spots if spot.name == "length:cutter_offset"]
    nearest = {
        min(
            (max(spot.start - other.end, other.start - spot.end), other.start)
            for other in message.prepared
            if not other.junk
        )[1]
        for spot in spots
    }
    return quantity.start in nearest


def _names_before(message: Message, quantity: Quantity) -> set[str]:
    return message.names(max(0, quantity.start - 4), quantity.start)


def _words(name: str) -> frozenset[str]:
    return word_list("setup.toml", "owning", name)


@cache
def _owners() -> tuple[tuple[str, frozenset[str], Mapping[str, str]], ...]:
    """Return the things that have sizes of their own: a name, their stems, what each size of the part is on them."""
    return tuple(
        (name, frozenset(stem(word.strip()) for word in row["words"].split(",")), row)
        for name, row in table("setup.toml")["owners"].items()
    )


def _named_at(message: Message, at: int) -> Iterator[tuple[str, Mapping[str, str]]]:
    """Yield the things with sizes of their own that a word names: a name, and what each size of the part is."""
    for name, words, row in _owners():
        if message.words.get(at) in words:
            yield name, row


def _owner(message: Message, start: int, end: int) -> Mapping[str, str] | None:
    """Return the thing other than the part that a size between two tokens is said to belong to.

    It stands right after the size ("a 36 inch long table"), or before it with a verb or only other sizes between
    ("the table is 36 inches long", "parallels 1/8 thick and 1 inch high") and no part named since.
    """
    at = end
    while message.text_at(at) in _words("adjectives"):
        at += 1
    if at - end <= 1:
        for _, row in _named_at(message, at):
            return row
    return _owner_before(message, start)


def asked_owner(key: str | None) -> Told | None:
    """Return the thing that an answer goes on to speak of where one of its sizes was asked for."""
    return None if key is None else Told(key, 0)


def owner_of_box(message: Message, start: int) -> Mapping[str, str] | None:
    """Return the thing other than the part whose sides are told in a row from a token on: "the jaws are 160 by 45"."""
    return _owner_before(message, start)


def _owner_carried(message: Message, start: int, told: Told | None) -> Mapping[str, str] | None:
    """Return the thing whose size was told before, where nothing but sizes and small words stands between."""
    if told is None or told.end > start:
        return None
    going_on = _words("sizes") | _words("verbs") | _words("going_on")
    for at in range(told.end, start):
        sized = any(q.start <= at < q.end for q in message.prepared)
        if not sized and message.tokens[at].kind != "mark" and message.tokens[at].text not in going_on:
            return None
    return next((row for _, _, row in _owners() if told.key in row.values()), None)


def _owner_before(message: Message, start: int) -> Mapping[str, str] | None:
    """Return the thing before a size that it is said to belong to."""
    parts = {stem(word) for word in _words("parts")}
    near = [q for q in message.prepared if start - _OWNER_WITHIN < q.end and q.start < start]
    joined, sized, comma = False, True, False
    for at in range(start - 1, max(-1, start - _OWNER_WITHIN), -1):
        text = message.tokens[at].text
        if text in SENTENCE_ENDS or (message.words.get(at) in parts and text != "faces"):
            return None
        joined = joined or text in _words("verbs") or text.endswith("'s")
        # "3 inches square", "the part I milled is 60 wide"
        done = len(text) > len("shed") and text.endswith(("ed", "ing"))
        shape = done or any(q.start < at == q.end for q in near)
        name, row = next(_named_at(message, at), ("", None))
        if shape or row is None:
            size = any(q.start <= at < q.end for q in near)
            comma = (comma or text == ",") and not size  # "jaws 6 wide, 2 tall", but not "the clock, 60 wide"
            sized = sized and (size or text == "," or text in _words("sizes"))
            continue
        if _spoken_on(message, at + 1):
            return row
        place = at - 1
        while message.text_at(place) in _words("adjectives"):
            place -= 1
        beside = sized and not comma and name not in ("other", "wall")
        if (joined or beside) and message.text_at(place) not in _words("places"):
            return row
    return None


def _spoken_on(message: Message, at: int) -> bool:
    """Tell whether a "which is" begins at a token, so that what follows is said of the thing before it."""
    at += message.text_at(at) == ","
    verb = at + 1 + (message.text_at(at + 1) in ("themselves", "itself", "both", "alone"))
    return message.text_at(at) in ("which", "that") and message.text_at(verb) in _words("verbs")
