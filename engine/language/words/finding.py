"""Finding the phrases of the lexicon in a message."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache

from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.phrase_forms import Phrase, Slot, Spot

_Longer = Mapping[str, Sequence[tuple[str, ...]]]
"""What fills a slot with more words than one, by its second word."""


@dataclass(slots=True)
class _Step:
    """A place in the tree of the phrases with slots: what may follow, and the phrases that end here.

    Attributes:
        words: The steps that a word leads to.
        slots: The steps that a slot leads to.
        opening: By each word that opens a slot: whether it fills it alone, what else fills it that begins so, and the
            step that the slot leads to. So the few slots that a word opens are found at once among some hundred.
        ending: The phrases that end here.
    """

    words: dict[str, _Step] = field(default_factory=dict)
    slots: dict[int, _Step] = field(default_factory=dict)
    opening: dict[str, list[tuple[bool, _Longer, _Step]]] = field(default_factory=dict)
    ending: list[Phrase] = field(default_factory=list)

    def leads_on(self, following: str | None) -> bool:
        """Tell whether a phrase ends here, or one may go on with the word that follows, None at the end."""
        return bool(self.ending) or (following is not None and (following in self.words or following in self.opening))

    def after(self, part: str | Slot) -> _Step:
        """Return the step that a word or a slot leads to; it is made if it is not there yet."""
        if isinstance(part, str):
            return self.words.setdefault(part, _Step())
        if id(part) not in self.slots:
            step = self.slots[id(part)] = _Step()
            for word in part:
                self.opening.setdefault(word, []).append((*_opened(part, word), step))
        return self.slots[id(part)]


_OPENED: dict[tuple[int, str], tuple[bool, _Longer]] = {}
"""By slot and word; slots live as long as the lexicon."""


def _opened(slot: Slot, word: str) -> tuple[bool, _Longer]:
    """Return whether a word fills a slot by itself, and what fills it that begins with it, by its second word."""
    key = id(slot), word
    if key not in _OPENED:
        longer: dict[str, list[tuple[str, ...]]] = {}
        for words in slot[word]:
            if len(words) > 1:
                longer.setdefault(words[1], []).append(words)
        _OPENED[key] = any(len(words) == 1 for words in slot[word]), longer
    return _OPENED[key]


@cache
def _sorted_out() -> tuple[Mapping[tuple[str, ...], tuple[Phrase, ...]], _Step]:
    """Return the phrases without slots by their stems, and the tree of those with slots."""
    plain: dict[tuple[str, ...], list[Phrase]] = {}
    root, planted = _Step(), set()
    for found in lexicon().phrases.values():
        for phrase in found:
            if phrase.plain is not None:
                plain.setdefault(phrase.plain, []).append(phrase)
            elif id(phrase) not in planted:  # it is listed under every word that it may begin with
                planted.add(id(phrase))
                step = root
                for part in phrase.parts:
                    step = step.after(part)
                step.ending.append(phrase)
    gc.freeze()  # it lives as long as the program: the collector need not go through it again and again
    return {stems: tuple(found) for stems, found in plain.items()}, root


@lru_cache(maxsize=20_000)
def _widths(first: str) -> tuple[int, ...]:
    """Return how many stems the phrases without slots have that begin with this one."""
    found = lexicon().phrases.get(first, ())
    return tuple(sorted({len(phrase.plain) for phrase in found if phrase.plain is not None}))


def _phrases_at(place: int, stems: Sequence[str], joined: Sequence[bool]) -> Iterable[tuple[Phrase, int]]:
    """Yield the phrases that begin at a word, and where each ends."""
    plain, root = _sorted_out()
    for width in _widths(stems[place]):
        end = place + width
        if end > len(stems) or not all(joined[place + 1 : end]):
            break
        for phrase in plain.get(tuple(stems[place:end]), ()):
            yield phrase, end
    reached = [(root, place)]
    while reached:
        step, at = reached.pop()
        for phrase in step.ending:
            yield phrase, at
        if at >= len(stems) or (at > place and not joined[at]):
            continue
        following = stems[at + 1] if at + 1 < len(stems) else None
        straight = step.words.get(stems[at])
        if straight is not None:
            reached.append((straight, at + 1))
        for alone, longer, then in step.opening.get(stems[at], ()):
            if alone and then.leads_on(following):
                reached.append((then, at + 1))
            for words in longer.get(following, ()) if longer and following is not None else ():
                end = at + len(words)
                if _stand(words, stems, joined, at) and then.leads_on(stems[end] if end < len(stems) else None):
                    reached.append((then, end))


def _stand(words: tuple[str, ...], stems: Sequence[str], joined: Sequence[bool], at: int) -> bool:
    """Tell whether words stand joined from `at` on."""
    end = at + len(words)
    return tuple(stems[at:end]) == words and all(joined[at + 1 : end])


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
    for place in range(len(stems)):
        for phrase, end in _phrases_at(place, stems, joined):
            if end == place + 1 or at[end - 1] not in leading:
                rooms.setdefault(phrase.room, []).append((place, end, phrase.name))
    spots: list[Spot] = []
    for found in rooms.values():
        reach, longest = -1, (0, 0)
        for start, end, name in sorted(set(found), key=lambda item: (item[0], -item[1], item[2])):
            if (start, end) != longest and end <= reach:
                continue
            if end > reach:
                reach, longest = end, (start, end)
            spots.append(Spot(name, at[start], at[end - 1] + 1))
    spots.sort(key=lambda spot: (spot.start, spot.end, spot.name))
    return spots
