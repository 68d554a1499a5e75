"""One attempt at a message: what has been made of it so far."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from askew.engine.language.clauses.groups import Group
from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Ambiguity
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign
from askew.engine.units import Habit

_LAYING = {"hold", "lay", "put", "run", "press", "push", "tap", "lift", "slide", "draw", "rub", "wiggle", "drag"}
"""What somebody who says "if I lay a rule on it" has done to see what comes of it."""

_WONDERING = {"should", "what", "how", "which", "where", "who", "shall"}


_ASKING = {"could", "does", "do", "is", "can", "would", "will", "are", "might", "did", "was"}


_COULD = {"can", "could", "would", "will", "should", "may"}
_FEELING = {
    *("feel", "see", "get", "slide", "pull", "move", "wiggle", "not", "hear", "rock", "shift", "catch", "put", "push"),
    *("just", "still", "only", "even", "definitely", "easily", "actually", "also", "now", "then", "clearly", "barely"),
    *("turn", "lift", "draw", "waggle", "rattle", "make", "tell", "fit", "spin", "slip", "hardly", "really", "find"),
}
"""What may follow a "can" or "could" that lacks its "I": "can feel a step"."""

_DROPS_I = {"did", "does", "was"}
"""What may begin a statement without its subject: "did it in one pass"."""


_ASKED_OF = {"i", "you", "we", "it", "that", "this", "the", "they", "there", "my", "a"}


# "Where the passes meet there is a step" tells; "where is the step" asks.
_RELATIVE = {"where", "which", "what", "who", "how"}
_TOLD_OF = {"the", "my", "two", "passes", "they", "it", "i", "we", "came", "comes", "has", "was", "one", "cuts"}
_TOLD_OF |= {"i've", "ive", "we've", "weve", "i'd", "we'd"}
_GOES_ON = {"stood", "stuck", "sticks", "hangs", "hung", "comes", "came", "makes"}
_GOES_ON |= {"is", "are", "was", "were", "has", "have", "measures", "stands"}


def _relates(message: Message, start: int, first: str, second: str) -> bool:
    """Tell whether a "what" or "which" goes on with what was said: "what I've got is", "the bed, which is 110 long"."""
    after_comma = start > 0 and message.tokens[start - 1].text == ","
    return first in _RELATIVE and (second in _TOLD_OF or (first == "which" and after_comma and second in _GOES_ON))


def _opens(message: Message, start: int) -> bool:
    return start == 0 or message.tokens[start - 1].text in (".", "!", "?", ";", ",", "-", ":")


@dataclass(slots=True)
class Trial:
    """One attempt at a message, some quantities of it left out because they must be asked about."""

    message: Message
    habit: Habit | None
    facts: list[Observation] = field(default_factory=list)
    nearest: list[str] = field(default_factory=list)
    question: Ambiguity | None = None
    vouched: list[Observation] = field(default_factory=list)
    """Facts whose own words bear them out, whatever else their clauses hold."""
    sure: list[Observation] = field(default_factory=list)
    """Those of them that the network has no say against."""


def last_reading(trial: Trial) -> tuple[int, Reading] | None:
    """Return the last reading heard and its place among the facts."""
    for place in range(len(trial.facts) - 1, -1, -1):
        fact = trial.facts[place]
        if isinstance(fact, Reading):
            return place, fact
    return None


def ask_which(trial: Trial, start: int, end: int, family: Meaning) -> None:
    """Ask along which axis something was measured, and offer what it may have been."""
    ways = {"x": "left to right", "y": "front to back", "z": "up and down"}
    words, text = trial.message.said(start, end), trial.message.text
    at = trial.message.tokens[start].start
    options = tuple(ways[name[-1]] for name in family.members)
    restated = tuple(f"{text[:at]}{words} {option}{text[at + len(words) :]}" for option in options)
    trial.question = trial.question or Ambiguity("Which way was that?", options, restated, words)
    trial.nearest.extend(family.members)


_SQUARENESS = {
    *("out_of_square", "square", "corner", "open", "closed", "square_tool", "part", "face", "big", "small"),
    *("gap", "light", "other_corner", "blade", "side", "edge", "turned", "small_cutter", "still_clamped"),
}
_OUT_OF = ("out of square", "out of parallel left to right", "out of parallel front to back")


def out_of_what(trial: Trial, group: Group) -> bool:
    """Ask what is out where only "out by 3 thou" was said, and tell whether that was so."""
    message = trial.message
    names = message.names(group.start, group.end)
    if "out" not in names or message.all_names & _SQUARENESS:
        return False
    place = next((spot for spot in message.spots_in(group.start, group.end) if spot.name == "out"), None)
    if place is None:
        return False
    at, after = message.tokens[place.start].start, message.tokens[place.start].end
    restated = tuple(f"{message.text[:at]}{way}{message.text[after:]}" for way in _OUT_OF)
    words = message.said(group.start, group.end)
    trial.question = trial.question or Ambiguity("What is out by that?", _OUT_OF, restated, words)
    return True


_GOING_ON = {"with", "when", "as", "while", "if", "once", "after", "using", "and", "then", "or"}
_WHO = {"i", "we", "it", "the", "there", "that", "they", "this", "my", "you", "he", "it's", "there's", "i've"}


def led_by(message: Message, start: int) -> int:
    """Return where the statement begins that the clause at `start` goes on with: "do I turn it | and cut again".

    A clause after "and" that names who did something is a statement of its own.
    """
    for clause in reversed(message.clauses):
        if clause.start > start:
            continue
        first = message.tokens[clause.start].text
        then = message.tokens[clause.start + 1].text if clause.start + 1 < clause.end else ""
        marked = clause.start > 0 and message.tokens[clause.start - 1].kind == "mark"
        start = clause.start
        if marked or first not in _GOING_ON or (first in ("and", "then", "or") and then in _WHO):
            break
    return start


def is_question(message: Message, group: Group) -> bool:
    """Tell whether a group asks, so that nothing in it is a fact."""
    return asks(message, group.start, group.end) or asks(message, led_by(message, group.start), group.end)


_PRESENT = {
    *("turn", "rotate", "spin", "flip", "clean", "wipe", "lock", "regrip", "clamp", "swap", "change", "reverse"),
    *("go", "wind", "crank", "move", "feed", "run", "push", "pull"),
}


def whenever(message: Message, group: Group) -> bool:
    """Tell whether a group says what happens whenever something is done, and not that it was: "when I turn it"."""
    words = [token.text for token in message.tokens[group.start : group.end]]
    return any(
        word in ("when", "whenever", "if", "as", "while")
        and index + 2 < len(words)
        and words[index + 1] in ("i", "you", "we")
        and not words[index + 2].endswith("ed") and words[index + 2] in _PRESENT
        for index, word in enumerate(words)
    )


_PLANNING = {"should", "will", "i'll", "would", "could", "might", "gonna", "want", "need", "plan", "planning", "shall"}


def goes_on_planning(message: Message, group: Group) -> bool:
    """Tell whether a group only goes on with a plan: the "and cut it" of "I should turn it and cut it"."""
    if message.tokens[group.start].text not in ("and", "then", "&"):
        return False
    before = next((clause for clause in message.clauses if clause.end == group.start), None)
    return before is not None and any(
        token.text in _PLANNING for token in message.tokens[before.start : before.end]
    )


def asks(message: Message, start: int, end: int) -> bool:
    """Tell whether the tokens from `start` to `end` ask something."""
    first = message.tokens[start].text
    second = message.tokens[start + 1].text if start + 1 < len(message.tokens) else ""
    after = message.tokens[end].text if end < len(message.tokens) else ""
    return (
        after == "?"
        or (first in _WONDERING and _opens(message, start) and not _relates(message, start, first, second))
        or (first in _ASKING and second in _ASKED_OF and not (first in _DROPS_I and second in ("it", "the", "that")))
        or (first in ("have", "has") and second in ("you", "anyone", "anybody", "others", "somebody"))
        or (first in _COULD and second.isalpha() and second not in _FEELING and _opens(message, start))
        or (first == "if" and message.said(start + 2, start + 3).lower() not in _LAYING)
        or bool({"what if", "wonder"} & {message.said(start, start + 2).lower(), first})
        or (
            first in _ASKING - {"did"}  # "did 4 of them" tells what was done
            and start + 1 < len(message.tokens)
            and message.tokens[start + 1].kind == "number"
        )
    )


def add(facts: list[Observation], fact: Observation) -> None:
    """Add a fact; a complaint and its number said apart become one reading."""
    for place, old in enumerate(facts):
        if isinstance(old, Reading) and isinstance(fact, Reading) and old.id == fact.id:
            if old.value == fact.value == 0 and (fact.over is None or old.over is None):
                facts[place] = replace(old, over=fact.over or old.over)  # the same nothing said twice
                return
            if fact.value == 0 and old.value and not any(mark in fact.words for mark in "0123456789"):
                return  # "1 thou, but I didn't note which side" takes nothing back
            if old.value is None and fact.value is not None:
                facts[place] = replace(fact, over=fact.over or old.over)
                return
            if fact.value is None:
                known = fact.sign_known and old.sign_known is False
                if known and old.value is not None:
                    facts[place] = replace(old, sign_known=True)
                elif fact.over is not None and old.over is None:
                    facts[place] = replace(old, over=fact.over)
                return
            if old.value == fact.value and old.over in (None, fact.over):
                facts[place] = fact
                return
        if isinstance(old, Sign) and isinstance(fact, Sign) and old.id == fact.id:
            if old.answer == "yes" and fact.answer not in ("no", "unknown"):
                facts[place] = fact
            return
        if isinstance(old, Action) and isinstance(fact, Action) and old.id == fact.id:
            return
        if isinstance(old, SetupFact) and isinstance(fact, SetupFact) and old.key == fact.key:
            return
    facts.append(fact)


def take_spots(message: Message, group: Group) -> None:
    """Mark the phrases and quantities of a group as understood."""
    for spot in message.spots_in(group.start, group.end):
        message.take(spot.start, spot.end)
    for quantity in message.within(group.start, group.end):
        message.take(quantity.start, quantity.end)
