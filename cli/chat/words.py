"""The words that the chat answers itself, and the one list of everything that can be said.

Help, completion and the documentation test draw on `sayings`; dispatch on `LOCAL`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from askew.engine.units import Habit

if TYPE_CHECKING:
    from askew.knowledge.load import Knowledge

LocalId = Literal[
    "explain", "help", "new", "unit", "keys", "show", "cleared", "suggestions", "bench", "my_bench", "machine"
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class LocalWord:
    """A word that the chat answers without the engine; the case does not change by it.

    Attributes:
        id: What it does.
        say: What completion puts in.
        usage: How it is said.
        explain: One sentence.
        pattern: What is recognised; group "rest" is what it is about.
    """

    id: LocalId
    say: str
    usage: str
    explain: str
    pattern: re.Pattern[str]


def _word(id_: LocalId, say: str, usage: str, explain: str, pattern: str) -> LocalWord:
    return LocalWord(id_, say, usage, explain, re.compile(pattern, re.IGNORECASE))


LOCAL: tuple[LocalWord, ...] = (
    _word("help", "help", "help, or ?", "What can be said, with the keys.", r"help|\?|h|what can i say"),
    _word(
        "explain",
        "explain ",
        "explain WORD",
        "What a word means, with a drawing where one helps.",
        r"(?:explain|help|what (?:is|are|does)|what's|define) +(?:an? +|the +)?(?P<rest>.+?)(?: +mean)? *\?*",
    ),
    _word(
        "show",
        "show all",
        "show all",
        "Say everything again: suspects, cleared, next check.",
        r"show(?: all| everything)?|status|where (?:are we|am i)",
    ),
    _word(
        "cleared",
        "show cleared",
        "show cleared",
        "Say what was cleared, each with the number that cleared it.",
        r"(?:show|list|what (?:is|was|are)) (?:all )?(?:the )?cleared(?: ones)?\??",
    ),
    _word(
        "new",
        "new case",
        "new case",
        "Put this case aside, saved, and begin another.",
        r"new(?: case| part)?|start over|another part",
    ),
    _word(
        "unit",
        "in inches",
        "in inches, in mm",
        "Answer in this unit from now on.",
        r"(?:(?:show|answer|use) )?(?:in )?(?P<rest>inch(?:es)?|thou|mm|metric|millimet\w+)(?: please)?",
    ),
    _word(
        "suggestions",
        "suggestions off",
        "suggestions on, suggestions off",
        "Suggest lines typed before, or stop it.",
        r"suggestions? (?P<rest>on|off)",
    ),
    _word(
        "machine",
        "on machine ",
        "on machine NAME",
        "Start this new case from the record of a machine, and add to it what the case finds.",
        r"(?:(?:start|begin|work) )?(?:on|use) (?:the )?machine (?P<rest>[a-z0-9][a-z0-9_-]{0,39})",
    ),
    _word(
        "bench",
        "same bench",
        "same bench",
        "Use the mill, instruments, cutters and shim leaves of last time.",
        r"(?:the )?same (?:bench|machine|shop|setup as last time)",
    ),
    _word(
        "my_bench",
        "my bench",
        "my bench",
        "Show what is kept of the mill, instruments, cutters and shim leaves.",
        r"(?:show )?(?:my|the) bench|show bench",
    ),
    _word("keys", "keys", "keys", "What the keys do.", r"keys|shortcuts"),
)


def local(line: str) -> tuple[LocalWord, str] | None:
    """Return the chat's own word that a line is, with what it is about; None where the engine must answer."""
    text = line.strip()
    for word in LOCAL:
        match = word.pattern.fullmatch(text)
        if match:
            return word, (match.groupdict().get("rest") or "").strip()
    return None


def habit_of(word: str) -> Habit:
    """Return the unit that a word of the wish for a unit names."""
    return "in" if word.lower().startswith(("inch", "thou")) else "mm"


@dataclass(frozen=True, slots=True)
class Saying:
    """Something that can be typed.

    Attributes:
        say: The words that completion puts in.
        kind: "command", "reading", "sign", "check", "setup", "action", "source".
        about: A few words beside it.
        words: Further words that find it.
    """

    say: str
    kind: str
    about: str
    words: tuple[str, ...] = ()


def sayings(known: Knowledge | None) -> list[Saying]:
    """Return everything that can be said; only the chat's own words while the knowledge still loads."""
    found = [Saying(word.say, "command", word.explain) for word in LOCAL]
    if known is None:
        return found
    own = {word.say.strip() for word in LOCAL}
    found += [
        Saying(command.name, "command", command.explain, (id_,))
        for id_, command in known.commands.items()
        if command.name not in own
    ]
    found += [
        Saying(reading.name, "reading", f"plus: {reading.plus}", (id_,))
        for id_, reading in known.readings.items()
    ]
    found += [Saying(sign.name, "sign", sign.ask, (id_,)) for id_, sign in known.signs.items()]
    found += [
        Saying(check.name, "check", f"{check.minutes:g} min", (id_,)) for id_, check in known.checks.items()
    ]
    found += [Saying(key.name, "setup", key.ask, (id_, *key.choices)) for id_, key in known.setup.items()]
    found += [Saying(action.name, "action", action.explain, (id_,)) for id_, action in known.actions.items()]
    found += [Saying(source.short, "source", source.name, (id_,)) for id_, source in known.sources.items()]
    return found
