"""The reading that a usual one becomes by what was done before, by how it was held, or by which way it runs."""

from __future__ import annotations

from itertools import pairwise

from askew.engine.language.clauses.groups import Group
from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.observed.directions import direction
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning

_SPECIAL = (
    ({"turned", "turn_part"}, "face_out_of_square", "turned_error"),
    ({"small_cutter"}, "face_out_of_square", "fine_cutter_error"),
    ({"cross_feed"}, "hollow_across", "cross_feed_hollow"),
    ({"cross_feed"}, "step", "cross_feed_step"),
    ({"reversed", "reverse_feed"}, "step", "reversed_step"),
    ({"bar_out", "no_bar"}, "clamp_rise", "clamp_rise_plain"),
    ({"cool", "cool_it"}, "depth_drift", "cooled_change"),
    ({"joint"}, "clamp_rise", "step"),
    ({"other_corner"}, "face_out_of_square", "other_corner"),
    ({"block"}, "face_out_of_square_clamped", "block_out_of_square"),
)


_OF_THE_SQUARE = {"flip", "flip_square", "itself", "square_agrees"}


def _as_always(message: Message) -> bool:
    """Tell whether a feed is only the one in use, "we feed in Y", and no cut made anew to compare."""
    return any(
        message.tokens[spot.start].text == "feed"
        and spot.start > 0
        and message.tokens[spot.start - 1].text in ("we", "i", "always", "usually", "normally", "they")
        for spot in message.spots
        if spot.name == "cross_feed"
    )


_OF_CROSS_FEED = {"cross_feed_hollow": "hollow_across", "cross_feed_step": "step"}


def _of_the_part(message: Message, group: Group) -> bool:
    """Tell whether a lean is said of a face of the part, and not of the hole that was named before."""
    named = {"side", "face", "still_clamped", "indicator_up", "part", "edge"}
    return bool(message.names(group.start, group.end) & named)


def _names_the_bed(message: Message, group: Group) -> bool:
    """Tell whether the sentence of a group begins with the bed of the vise, and only ends with how the table ran."""
    start, _ = message.sentence(group.start, group.start)
    names = message.names(start, group.end)
    return "bed" in names and not names & {"square_in_vise", "square_tool"}


def _with_a_square(message: Message, end: int) -> bool:
    """Tell whether what follows only says that it was a square in the vise, and not what that one shows."""
    rest = message.names(end, len(message.tokens))
    told = any(is_value(quantity) for quantity in message.within(end, len(message.tokens)))
    return "square_in_vise" in rest and not told and not rest & {"nothing", "same", "jaw_true"}


_PARALLEL = {
    "face_out_of_parallel_along": "face_out_of_parallel_across",
    "face_out_of_parallel_across": "face_out_of_parallel_along",
}


def _lies_the_other_way(message: Message, group: Group, meaning: Meaning) -> bool:
    """Tell whether a taper goes only the way of its twin: "the back is thicker all the way along"."""
    mask = message.mask(group.start, group.end)
    twin = lexicon().meanings[_PARALLEL[meaning.id]]
    return direction(twin, mask)[1] and not direction(meaning, mask)[1] and not message.has("choice:feed_axis=y")


_JAW = {"jaw", "it"}
_BACKS = {"backed", "backs", "back", "backing"}


def _of_the_spindle(message: Message, group: Group) -> bool:
    """Tell whether a taper that "runs" is the one in the spindle, spoken of beside it, and not that of a wall."""
    named = message.names(group.start, group.end)
    beside = message.all_names & {"spindle", "push_spindle", "runout", "on_tool"}
    return {"taper", "running"} <= named and bool(beside) and not named & {"wall", "side", "part", "face", "over"}


def _jaw_backs_off(message: Message, group: Group) -> bool:
    """Tell whether it is the jaw that "backed off" under the pull on the handle, and not the handle that was let go."""
    words = [token.text for token in message.tokens[group.start : group.end]]
    return any(word in _JAW and after in _BACKS for word, after in pairwise(words))


_SOUNDS_LIKE = {
    "other_corner": "face_out_of_square",
    "turned_error": "face_out_of_square",
    "fine_cutter_error": "face_out_of_square",
    "end_out_of_square_plan": "face_out_of_square",
    "square_flip": "face_out_of_square",
    "hole_lean_x": "face_out_of_square_clamped",
    "hole_lean_y": "face_out_of_square_clamped",
    "block_out_of_square": "face_out_of_square_clamped",
    "fixed_jaw_travel": "face_out_of_square_clamped",
    "fixed_jaw_square": "face_out_of_square_clamped",
    "reversed_step": "step",
    "cross_feed_step": "step",
    "cross_feed_hollow": "hollow_across",
    "release_bow": "hollow_across",
    "clamp_rise_plain": "clamp_rise",
}
"""What an answer to these readings sounds like when it need not say again how it was measured."""

_OF_ANOTHER_CUT = {"before", "previously", "earlier", "formerly", "originally", "first", "original", "yesterday"}


def _answers(message: Message, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning | None:
    """Return the reading that was asked for, where a group sounds like its answer: "that corner's shut 3 tenths"."""
    if len(asked) != 1 or _SOUNDS_LIKE.get(asked[0].id) != meaning.id:
        return None
    if asked[0].id.startswith(("hole", "block", "fixed")) and _of_the_part(message, group):
        return None
    said = {token.text for token in message.tokens[group.start : group.end]}
    return None if said & _OF_ANOTHER_CUT else asked[0]


_REPEATED = {
    "sweep_shift_x": ({"sweep_x"}, {"tram_it", "nod", "before_word"}),
    "sweep_shift_y": ({"sweep_y", "clamp_rise"}, {"tram_it", "nod", "tighten", "before_word"}),
}
"""What a second sweep is told in, the words of a first one; and what must not stand with it."""


def _swept_anew(message: Message, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning | None:
    """Return the change between two sweeps that was asked for, where its answer sounds like a sweep."""
    if len(asked) != 1 or asked[0].id not in _REPEATED:
        return None
    usual, otherwise = _REPEATED[asked[0].id]
    return asked[0] if meaning.id in usual and not message.all_names & otherwise else None


def special(message: Message, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning:
    """Return the reading that a usual one becomes: what was asked for, after turning, without the bar."""
    if meaning in asked:
        return meaning
    answered = _answers(message, group, meaning, asked) or _swept_anew(message, meaning, asked)
    if answered is not None:
        return answered
    before = {spot.name for spot in message.spots if spot.start < group.end}
    if meaning.id in _OF_CROSS_FEED and _as_always(message):
        return lexicon().meanings[_OF_CROSS_FEED[meaning.id]]
    if meaning.id in _PARALLEL and _lies_the_other_way(message, group, meaning):
        return lexicon().meanings[_PARALLEL[meaning.id]]
    if meaning.id == "fixed_jaw_travel" and ("square_in_vise" in before or _with_a_square(message, group.end)):
        return lexicon().meanings["fixed_jaw_square"]
    if meaning.id.startswith("table_run_") and _names_the_bed(message, group):
        return lexicon().meanings[meaning.id.replace("table_run", "vise_bed")]
    if meaning.id == "wall_taper" and _of_the_spindle(message, group):
        return lexicon().meanings["runout"]
    if meaning.id == "release_change" and {"back_of_jaw", "tighten"} <= before and _jaw_backs_off(message, group):
        return lexicon().meanings["clamp_jaw_flex"]
    swept = before & {"sweep", "resweep"} and "tighten" not in before
    if meaning.id == "clamp_rise" and swept and before & {"resweep", "again", "nothing_adjusted"}:
        return lexicon().meanings["sweep_shift_y"]  # "swept it again and the front came up a thou"
    if meaning.id.startswith("sweep_shift_") and before & {"nod", "tram_it"} and "nothing_adjusted" not in before:
        return lexicon().meanings[meaning.id.replace("_shift", "")]  # the head was moved in between
    named = message.names(group.start, group.end)
    moves = named & {"rise", "drop", "up", "down"} or ("after_trim" in named and named & {"high", "low"})
    if meaning.id == "hollow_across" and moves and before & {"release", "out_of_vise", "springs"}:
        return lexicon().meanings["release_bow"]  # "slackened off, middle up six thou"
    if meaning.id == "face_out_of_square_clamped" and "hole" in before and not _of_the_part(message, group):
        return lexicon().meanings["hole_lean_y"]
    for markers, usual, special in _SPECIAL:
        if (
            special == "clamp_rise_plain"
            and usual == meaning.id
            and any(
                spot.name == "choice:moving_jaw_contact=plain" and spot.end - spot.start >= 2
                for spot in message.spots
            )
        ):
            return lexicon().meanings[special]
        if markers == {"cross_feed"} and _as_always(message):
            continue
        if special == "turned_error" and before & _OF_THE_SQUARE:
            continue  # it was the square that was turned
        if usual == meaning.id and before & markers:
            return lexicon().meanings[special]
    if (
        meaning.id == "face_out_of_square"
        and before & {"cool", "cool_it"}
        and before & {"change", "move", "again", "more", "different", "another_word", "drop", "shrink", "grows"}
    ):
        return lexicon().meanings["cooled_change"]
    return meaning
