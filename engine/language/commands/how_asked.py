"""What a line asks how to do: "how do I sweep the head?" tells nothing, it asks for the steps."""

from __future__ import annotations

import re

from askew.engine.language.words.word_tables import word_list

_POLITE = re.compile(r"^(please|so|ok|okay|right|and|but|sorry|hey|now|can you|could you|would you)[ ,]+")


def how_asked(line: str) -> str:
    """Return what a line asks how to do, in lower case, "" where it asks for nothing of the kind.

    Args:
        line: What the person said.
    """
    said = line.strip().lower().replace("\u2019", "'")
    while (shorter := _POLITE.sub("", said)) != said:
        said = shorter
    ways = word_list("clauses.toml", "words", "how_to")
    begins = max((one for one in ways if said.startswith(f"{one} ")), key=len, default="")
    return said[len(begins) :].strip(" ?.!") if begins else ""
