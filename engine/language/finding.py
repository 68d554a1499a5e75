"""Finding the phrases of the lexicon in a message."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache, lru_cache

from askew.engine.language.lexicon import Phrase, Spot, lexicon


@cache
def _sorted_out() -> tuple[Mapping[tuple[str, ...], tuple[Phrase, ...]], Mapping[str, tuple[Phrase, ...]]]:
    """Return the phrases without slots by their stems, and those with slots by the stem they begin with."""
    plain: dict[tuple[str, ...], list[Phrase]] = {}
    slotted: dict[str, list[Phrase]] = {}
    for first, found in lexicon().phrases.items():
        for phrase in found:
            if phrase.plain is None:
                slotted.setdefault(first, []).append(phrase)
            else:
                plain.setdefault(phrase.plain, []).append(phrase)
    return (
        {stems: tuple(found) for stems, found in plain.items()},
        {first: tuple(found) for first, found in slotted.items()},
    )


@lru_cache(maxsize=20_000)
def _widths(first: str) -> tuple[int, ...]:
    """Return how many stems the phrases without slots have that begin with this one."""
    found = lexicon().phrases.get(first, ())
    return tuple(sorted({len(phrase.plain) for phrase in found if phrase.plain is not None}))


def _from_here(
    first: str, stems: Sequence[str], joined: Sequence[bool], place: int
) -> Iterable[tuple[Phrase, int]]:
    """Yield the phrases that begin at a word, and where each ends."""
    plain, slotted = _sorted_out()
    for width in _widths(first):
        end = place + width
        if end > len(stems) or not all(joined[place + 1 : end]):
            break
        for phrase in plain.get(tuple(stems[place:end]), ()):
            yield phrase, end
    following = stems[place + 1] if place + 1 < len(stems) else ""
    for phrase in slotted.get(first, ()):
        if phrase.may_begin(first, following):
            for end in phrase.ends(stems, joined, place):
                yield phrase, end


def find(
    stems: Sequence[str], joined: Sequence[bool], at: Sequence[int], leading: frozenset[int]
) -> list[Spot]:
    """Find all phrases of the lexicon.

    Args:
        stems: The words of the message.
        joined: For each word, True when nothing but a space or hyphen parts it from the word before.
        at: Token index of each word.
        leading: Tokens that lead on to a number, as the "in" of "at the foot in 25": no phrase ends with them.

    Returns:
        Spots in token indices. Within one room a phrase hides the shorter ones inside it.
    """
    rooms: dict[str, list[tuple[int, int, str]]] = {}
    for place, first in enumerate(stems):
        for phrase, end in _from_here(first, stems, joined, place):
            if end == place + 1 or at[end - 1] not in leading:
                rooms.setdefault(phrase.room, []).append((place, end, phrase.name))
    spots: list[Spot] = []
    for found in rooms.values():
        reach, longest = -1, (0, 0)
        for start, end, name in sorted(set(found), key=lambda item: (item[0], -item[1])):
            if (start, end) != longest and end <= reach:
                continue
            if end > reach:
                reach, longest = end, (start, end)
            spots.append(Spot(name, at[start], at[end - 1] + 1))
    spots.sort(key=lambda spot: (spot.start, spot.end))
    return spots
