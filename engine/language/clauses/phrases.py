"""Which of the phrases that were found are meant: one may be only part of a size, of a name or of the talk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from askew.engine.language.clauses.message import CORNERS
from askew.engine.language.clauses.turning import turned_apart
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import SENTENCE_ENDS, Token

_TOOL_WORDS = {"needle", "square_tool", "straight_edge", "block", "parallel", "paper", "square", "square_on_table"}
_LEAVING = {"cut", "cutter", "pass", "passes", "mill", "it", "that", "which", "tool", "he", "i", "we", "has", "had"}
_SHORT_ANSWER = 7
"""Up to so many tokens a "right" at the beginning may be the answer to "which side?"."""


def meant(
    found: Sequence[Spot],
    extras: Sequence[Spot],
    quantities: Sequence[Quantity],
    around: Mapping[int, Sequence[Spot]],
    tokens: Sequence[Token],
) -> list[Spot]:
    """Return the phrases that are meant.

    Args:
        found: The phrases that were found.
        extras: Phrases that quantities stand for; they lie within these.
        quantities: The quantities, marked for what they are.
        around: The phrases that each token belongs to.
        tokens: The tokens of the message.
    """
    owner = {index: quantity for quantity in quantities for index in range(quantity.start, quantity.end)}
    spots = [spot for spot in found if not _swallowed(spot, owner) and not _in_a_tool(spot, around)]
    kept = [
        spot
        for spot in (*spots, *extras)
        if not _only_sizes(spot, tokens, owner)
        and not _opening_right(spot, tokens)
        and not _only_well(spot, tokens)
        and not _left_behind(spot, tokens)
        and not _turning_another(spot, spots, tokens)
        and not _held_to_the_jaw(spot, spots, tokens)
        and not _in_a_screw(spot, around)
        and not _only_parallel(spot, around)
    ]
    return _corners_parted(turned_apart(kept, tokens))


def spots_around(spots: Sequence[Spot]) -> dict[int, list[Spot]]:
    """Return the phrases that each token belongs to, by the token's index."""
    around: dict[int, list[Spot]] = {}
    for spot in spots:
        for index in range(spot.start, spot.end):
            around.setdefault(index, []).append(spot)
    return around


def _swallowed(spot: Spot, owner: Mapping[int, Quantity]) -> bool:
    """Tell whether a phrase is only part of a quantity, like the "foot" of "thou per foot"."""
    if spot.name.startswith(("in_", "choice:material")) or spot.name == "nothing":
        return False
    owners = [owner.get(index) for index in range(spot.start, spot.end)]
    if spot.name in ("open", "closed"):
        return any(quantity is not None and not quantity.junk for quantity in owners)
    return all(quantity is not None and quantity is owners[0] and not quantity.junk for quantity in owners)


def _in_a_tool(spot: Spot, around: Mapping[int, Sequence[Spot]]) -> bool:
    """Tell whether a phrase is only part of a name: the "finger" of "finger dti", the "knee" of "knee mill"."""
    return spot.name not in _TOOL_WORDS and any(
        tool.name.startswith(("tool:", "choice:machine"))
        and tool.start <= spot.start
        and spot.end <= tool.end
        and tool.end - tool.start > spot.end - spot.start
        for tool in around.get(spot.start, ())
    )


def _in_a_screw(spot: Spot, around: Mapping[int, Sequence[Spot]]) -> bool:
    """Tell whether a "long" is only part of what names a screw or an axis: "6 on the long one"."""
    return spot.name.startswith("length:") and any(
        axis.name in ("x", "y") and axis.start < spot.start and spot.end <= axis.end
        for axis in around.get(spot.start, ())
    )


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


_PARALLELS = {"parallel", "tool:parallels", "choice:seat=bed"}


def _only_parallel(spot: Spot, around: Mapping[int, Sequence[Spot]]) -> bool:
    """Tell whether a "parallel" is no thing but how the face came: "left to right it's parallel"."""
    return spot.name in _PARALLELS and any(
        whole.name == "is_parallel" and whole.start <= spot.start and spot.end <= whole.end
        for whole in around.get(spot.start, ())
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


def _only_well(spot: Spot, tokens: Sequence[Token]) -> bool:
    """Tell whether a "well" was taken for "we'll", which has the same stem: "well I took it out"."""
    alone = spot.name != "polite" and spot.end - spot.start == 1 and tokens[spot.start].text == "well"
    return alone and spot.end < len(tokens) and tokens[spot.end].text in _AFTER_WELL


_AFTER_WELL = {",", "i", "we", "it", "the", "i've", "we've", "that", "yes", "no"}


_TURNED_BY_HAND = {"on_tool", "flip_square", "x_screw", "y_screw", "z_screw", "backlash"}
_IT = {"it", "turning", "around"}
_QUARTER = {"quarter", "90", "ninety", "end"}


def _turning_another(spot: Spot, spots: Sequence[Spot], tokens: Sequence[Token]) -> bool:
    """Tell whether an "it" that was turned is a tool, a screw or a square named before: "on the shank, turned it"."""
    if spot.name not in ("turned", "turn_part"):
        return False
    sentence = next((at for at in range(spot.start, 0, -1) if tokens[at - 1].text in SENTENCE_ENDS), 0)
    words = {token.text for token in tokens[spot.start : spot.end + 2]}
    return bool(words & _IT) and not words & _QUARTER and any(
        other.name in _TURNED_BY_HAND and sentence <= other.start < spot.start for other in spots
    )


def _left_behind(spot: Spot, tokens: Sequence[Token]) -> bool:
    """Tell whether a "left" is no side but what something did: "the cut left the face dished"."""
    last = spot.end - 1
    return (
        tokens[last].text == "left"
        and spot.name not in ("found", "print")
        and last + 1 < len(tokens)
        and tokens[last + 1].text in ("a", "an", "the", "it", "some", "me", "us", "this", "that", "behind", "my")
        and (last == 0 or (tokens[last - 1].kind == "word" and tokens[last - 1].text in _LEAVING))
    )


def _held_to_the_jaw(spot: Spot, spots: Sequence[Spot], tokens: Sequence[Token]) -> bool:
    """Tell whether "to the fixed jaw" is only what a square in the vise was put to, and no way that anything leans."""
    jaw = spot.name == "back" and "jaw" in {token.text for token in tokens[spot.start : spot.end]}
    return jaw and any(other.name == "square_in_vise" for other in spots)


def _corners_parted(spots: Sequence[Spot]) -> list[Spot]:
    """Leave out corners that share a word with the one before: "front left back right" names two, not three."""
    reach, kept = -1, []
    for spot in sorted(spots, key=lambda spot: (spot.start, -spot.end)):
        if spot.name in CORNERS:
            if spot.start < reach:
                continue
            reach = spot.end
        kept.append(spot)
    return kept
