"""Finding the phrases of the lexicon in a message."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache

from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.phrase_forms import Phrase, Slot, Spot


@dataclass(slots=True)
class _Step:
    """A place in the tree of the phrases with slots: what may follow, and the phrases that end here."""

    words: dict[str, _Step] = field(default_factory=dict)
    slots: dict[int, _Step] = field(default_factory=dict)
    opening: dict[str, list[tuple[Slot, _Step]]] = field(default_factory=dict)
    ending: list[Phrase] = field(default_factory=list)

    def leads_on(self, stems: Sequence[str], at: int) -> bool:
        """Tell whether a phrase ends here, or one may go on with the word at `at`."""
        return bool(self.ending) or (at < len(stems) and (stems[at] in self.words or stems[at] in self.opening))

    def after(self, part: str | Slot) -> _Step:
        """Return the step that a word or a slot leads to; it is made if it is not there yet."""
        if isinstance(part, str):
            return self.words.setdefault(part, _Step())
        if id(part) not in self.slots:
            step = self.slots[id(part)] = _Step()
            for word in part:  # the few slots that a word opens are found at once among some hundred
                self.opening.setdefault(word, []).append((part, step))
        return self.slots[id(part)]


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


_OPENED: dict[tuple[int, str], tuple[bool, Mapping[str, Sequence[tuple[str, ...]]]]] = {}
"""By slot and word; slots live as long as the lexicon."""


def _opened(slot: Slot, word: str) -> tuple[bool, Mapping[str, Sequence[tuple[str, ...]]]]:
    """Return whether a word fills a slot by itself, and what fills it that begins with it, by its second word."""
    key = id(slot), word
    if key not in _OPENED:
        longer: dict[str, list[tuple[str, ...]]] = {}
        for words in slot[word]:
            if len(words) > 1:
                longer.setdefault(words[1], []).append(words)
        _OPENED[key] = any(len(words) == 1 for words in slot[word]), longer
    return _OPENED[key]


class _Stems:
    """The stems of a message, and where the slots end that begin at each of them."""

    def __init__(self, stems: Sequence[str], joined: Sequence[bool]) -> None:
        self.stems, self.joined = stems, joined
        self.filled: dict[tuple[int, int], tuple[int, ...]] = {}

    def ends(self, slot: Slot, at: int) -> tuple[int, ...]:
        """Return where a slot may end that opens with the word at `at`."""
        key = id(slot), at
        known = self.filled.get(key)
        if known is None:
            alone, longer = _opened(slot, self.stems[at])
            following = longer.get(self.stems[at + 1], ()) if at + 1 < len(self.stems) else ()
            widths = dict.fromkeys(len(words) for words in following if self._stand(words, at))
            known = self.filled[key] = tuple(at + width for width in ([1] if alone else []) + [*widths])
        return known

    def _stand(self, words: tuple[str, ...], at: int) -> bool:
        """Tell whether words stand joined from `at` on."""
        end = at + len(words)
        return tuple(self.stems[at:end]) == words and all(self.joined[at + 1 : end])

    def phrases_at(self, place: int) -> Iterable[tuple[Phrase, int]]:
        """Yield the phrases that begin at a word, and where each ends."""
        stems, joined = self.stems, self.joined
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
            following = step.words.get(stems[at])
            if following is not None:
                reached.append((following, at + 1))
            for slot, then in step.opening.get(stems[at], ()):
                reached += [(then, end) for end in self.ends(slot, at) if then.leads_on(stems, end)]


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
    message = _Stems(stems, joined)
    for place in range(len(stems)):
        for phrase, end in message.phrases_at(place):
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
