"""Completion as a pure function: from the text before the cursor to what could follow."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from askew.cli.chat.words import Saying

FROM_LETTER = 3
"""Letters of a word before completion offers itself; Tab asks for it earlier."""
LONGEST = 12
"""Words that what is typed of a name may take."""
MOST = 12
"""Offers at once."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A completion: a text, how many characters before the cursor it replaces, and words beside it."""

    text: str
    replaces: int
    kind: str
    about: str
    short: str = ""

    def shown(self, room: int) -> str:
        """Return the text for a list that is `room` cells wide; a shorter form where the text is too long."""
        return self.text if len(self.text) <= room or not self.short else self.short


def offers(before: str, sayings: Sequence[Saying], *, asked: bool = False) -> list[Offer]:
    """Return what could be meant, best first.

    What is typed is taken from the longest run of words at its end that begins something sayable, so that
    "cutter dia" offers "cutter diameter" and not "diameter" after "cutter ".

    Args:
        before: The text before the cursor.
        sayings: Everything that can be said.
        asked: The person pressed Tab; one letter is enough then, none offers the commands.
    """
    line = before.rsplit("\n", maxsplit=1)[-1]
    if not line.strip():
        return [_offer(s, len(line)) for s in sayings if s.kind == "command"] if asked else []
    if line.endswith(" ") and not asked:
        return []
    for start in _starts(line):
        typed = line[start:].lower()
        if len(typed.strip()) < (1 if asked else FROM_LETTER):
            break
        ranked = sorted(
            (
                (rank, place, saying)
                for place, saying in enumerate(sayings)
                if (rank := _rank(typed, saying)) is not None
            ),
            key=lambda item: item[:2],
        )
        # Nothing is offered for what is typed in full already.
        found = [_offer(s, len(typed)) for _, _, s in ranked if s.say.lower() != typed]
        if ranked:
            return found[:MOST]
    return []


def _offer(saying: Saying, replaces: int) -> Offer:
    short = saying.words[0].replace("_", " ") if saying.words else ""
    return Offer(saying.say, replaces, saying.kind, saying.about, short)


def _starts(line: str) -> list[int]:
    """Return where the last words of a line begin, the longest run first."""
    return [match.start() for match in re.finditer(r"\S+", line)][-LONGEST:]


def _rank(typed: str, saying: Saying) -> int | None:
    """Return how well a saying fits: 0 begins so, 1 a word in it does, 2 another word finds it, None not."""
    name = saying.say.lower()
    if name.startswith(typed):
        return 0
    if re.search(rf"(?<![^\W_]){re.escape(typed)}", name):
        return 1
    spelt = typed.replace(" ", "_")
    if any(
        word == spelt or (len(spelt) >= FROM_LETTER and spelt in word.split("_")) or word.startswith(spelt)
        for word in saying.words
    ):
        return 2
    return None
