"""Everything that can be explained, and finding it by a word of its name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from askew.knowledge.load import Knowledge


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that can be explained.

    Attributes:
        id: Its id in the knowledge.
        kind: "source of error", "reading", "sign", ...
        name: What it is called.
        explain: What it is, in plain words.
        notes: Further sentences: which way is plus, what it needs, how it is written elsewhere.
        steps: What to do, one at a time.
        picture: Name of its drawing, if it has one.
        other: Further words it is found by.
    """

    id: str
    kind: str
    name: str
    explain: str
    notes: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    picture: str | None = None
    other: tuple[str, ...] = ()


def entries(known: Knowledge) -> list[Entry]:
    """Return everything that the knowledge explains, sources first."""
    found = [
        Entry(
            id_,
            "source of error",
            source.name,
            source.explain,
            notes=(
                f"Plus: {source.plus}.",
                *([f"Written {source.iso} as a location error of ISO 230-1."] if source.iso else []),
            ),
            picture=source.picture,
            other=(source.short,),
        )
        for id_, source in known.sources.items()
    ]
    found += [
        Entry(
            id_,
            "reading",
            reading.name,
            reading.explain,
            notes=("Its size alone counts.",)
            if reading.size_only
            else (f"Plus: {reading.plus}. Minus: {reading.minus}.",),
            picture=reading.picture,
        )
        for id_, reading in known.readings.items()
    ]
    found += [
        Entry(
            id_,
            "sign",
            sign.name,
            sign.explain,
            notes=(sign.ask, _answers(sign.places)),
            picture=sign.picture,
        )
        for id_, sign in known.signs.items()
    ]
    found += [
        Entry(
            id_,
            "check",
            check.name,
            check.explain,
            notes=(
                f"Takes about {check.minutes:g} minutes.",
                *(f"Spoilt by: {text}" for text in check.spoils),
            ),
            steps=tuple(check.how),
            picture=check.picture,
        )
        for id_, check in known.checks.items()
    ]
    found += [
        Entry(id_, "remedy", remedy.name, remedy.explain, steps=known.steps_of(remedy))
        for id_, remedy in known.remedies.items()
    ]
    found += [Entry(id_, "action", action.name, action.explain) for id_, action in known.actions.items()]
    found += [Entry(id_, "instrument", tool.name, tool.explain) for id_, tool in known.instruments.items()]
    found += [
        Entry(id_, "kind of machine", machine.name, machine.explain)
        for id_, machine in known.machines.items()
    ]
    found += [
        Entry(id_, "word to the assistant", command.name, command.explain, notes=(f"Say: {command.usage}",))
        for id_, command in known.commands.items()
    ]
    found += [
        Entry(
            id_,
            "fact about the job",
            key.name,
            key.ask,
            notes=(f"It matters: {key.because}.",),
            picture=key.picture,
        )
        for id_, key in known.setup.items()
    ]
    found += [
        Entry(id_, "word of the trade", word.name, word.explain, picture=word.picture, other=tuple(word.also))
        for id_, word in known.glossary.items()
    ]
    return found


def find(words: str, among: list[Entry]) -> list[Entry]:
    """Return the entries that a word or a name means, best first; several where it is not clear.

    An id or a whole name means itself alone. Else every word given must begin a word of the name or the id.
    """
    wanted = _words(words)
    if not wanted:
        return []
    exact = [
        entry
        for entry in among
        if wanted in (_words(entry.id), _words(entry.name), *map(_words, entry.other))
    ]
    if exact:
        return exact
    return [entry for entry in among if _begins(wanted, entry)]


def _begins(wanted: list[str], entry: Entry) -> bool:
    named = {word for text in (entry.id, entry.name, *entry.other) for word in _words(text)}
    return all(any(word.startswith(start) for word in named) for start in wanted)


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.lower())


def _answers(places: list[str]) -> str:
    return (
        "Answer: "
        + ", ".join(["yes", "no", "could not tell", *(place.replace("_", " ") for place in places)])
        + "."
    )
