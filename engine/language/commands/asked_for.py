"""Whether words of asking make a message a command, or are part of a story."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.terms import (
    FEW,
    LONGEST,
    TERSE,
    names_a_term,
    nothing_but,
    polite_tokens,
    unknown_words,
)
from askew.engine.language.commands.doubts import tells_a_number
from askew.engine.language.together.attempt import asks

_ARTICLES = {"the", "teh", "my", "a", "his", "this", "that"}

_DOINGS = {
    "quit": ("shim_it",),
    "undo": ("regrip", "bar"),
    "next": (
        *("correct", "came_square", "same", "out_of_square", "lock"),
        *("regrip", "shim_it", "change_cutter", "tram_it", "bar_out", "turn_part", "cut_again"),
    ),
}
"""What somebody does at the machine, whose words sound like asking for one of these."""


@dataclass(frozen=True, slots=True)
class Asking:
    """Words of asking in a message.

    Attributes:
        message: The message.
        words: Its words, without marks.
        at: The token that the words of asking begin at.
        before: How many words that are not just polite stand before them.
        width: How many words they are.
    """

    message: Message
    words: list[str]
    at: int
    before: int
    width: int

    def begins_a_clause(self) -> bool:
        """Tell whether a clause begins with the words of asking."""
        return any(clause.start == self.at for clause in self.message.clauses)


def is_asked_for(name: str, asking: Asking) -> bool:
    """Tell whether the asking words make the message a command rather than part of a story.

    Args:
        name: The command that they would ask for.
        asking: The words and where they stand.

    Returns:
        Whether they ask for it.
    """
    if asking.width == 1 and name != "undo" and asking.message.tokens[asking.at].text.endswith("ed"):
        return False  # "reported", "skipped": told, not asked for
    if asking.message.has(*_DOINGS.get(name, ())):
        return False  # "packed up the front of the column", "I'll take it out and put it back in"
    check = _CHECKS.get(name)
    return check is not None and check(asking)


_OF_THE_CASE = {"you", "your", "it", "it's", "its", "that", "this", "that's", "thats", "ain't", "the", "my", "we"}
"""One of these follows a "how come" that asks the assistant; "how come old hands never use it" asks anybody."""


def _is_why(asking: Asking) -> bool:
    message, width = asking.message, asking.width
    after = message.text_at(asking.at + width)
    if message.text_at(asking.at + width - 1) == "come" and after.isalpha() and after not in _OF_THE_CASE:
        return False
    return asking.before <= 3 and (
        width > 1 or not unknown_words(message) or names_a_term(message, asking.at + width)
    )


def _is_undo(asking: Asking) -> bool:
    count, width = len(asking.words), asking.width
    few = count <= FEW if width > TERSE else count < FEW  # "scrub the last two"
    return (
        asking.before <= 3
        and (not tells_a_number(asking.message) or few)
        and (width > 1 or not unknown_words(asking.message))
    )


def _is_next(asking: Asking) -> bool:
    begins = asking.width > TERSE and asking.begins_a_clause()
    first = asking.before <= 2 and (asking.width >= 2 or len(asking.words) <= 3)
    return not tells_a_number(asking.message) and (first or begins)


_OTHERS = {"he", "she", "they", "him", "them", "who", "nobody", "everybody", "everyone"}


def _is_skip(asking: Asking) -> bool:
    message, words, width = asking.message, asking.words, asking.width
    if words[0] in ("i", "i'd", "don't") and message.has("head", "shim_it", "shim_word", "tram_it"):
        return False  # "I'd rather not touch the head"
    if message.has("tighten", "release", "needle") or tells_a_number(message):
        return False  # "nothing moves on tightening"
    if {message.text_at(asking.at - 1), message.text_at(asking.at - 2)} & _OTHERS:
        return False  # "fourteen grand, he can forget it"
    if asking.before == 0 and len(message.tokens) > width and message.tokens[width].kind == "mark":
        return True  # "skip, do it later"
    if width == 1:
        return asking.before == 0 and len(words) <= 2
    last = asking.before + width >= len(words)  # "I give up on this one, skip it"
    short = asking.before <= 1 and len(words) <= width + 3
    covered = {at for spot in message.spots if spot.name == "ask_skip" for at in range(spot.start, spot.end)}
    return last or short or len(words) - len(covered | polite_tokens(message)) <= 1


def _is_what_if(asking: Asking) -> bool:
    return asking.before <= 2 or asking.words[0] in ("if", "suppose", "supposing")


def _is_what_to_do(asking: Asking) -> bool:
    message = asking.message
    return not tells_a_number(message) and (
        asking.before <= 3 or (asking.width >= 2 and asks(message, 0, len(message.tokens)))
    )


def _is_help(asking: Asking) -> bool:
    enough = asking.before <= 5 if asking.width >= 2 else len(asking.words) <= 3
    return not tells_a_number(asking.message) and enough


def _is_report_or_quit(asking: Asking) -> bool:
    after = asking.at + asking.width
    if asking.message.tokens[after - 1].text == "left" and asking.message.said(after, after + 1).lower() in _ARTICLES:
        return False  # "who left the coolant on"
    if asking.width == 1 and not nothing_but(asking.message, asking.at):
        return False  # "exit is on the left"
    if any(spot.name.startswith("tool:") and spot.end <= asking.at for spot in asking.message.spots):
        return False  # "a caliper and a square, that's all"
    enough = asking.before <= 5 if asking.width >= 2 else len(asking.words) <= LONGEST
    return not tells_a_number(asking.message) and enough


_CHECKS: Mapping[str, Callable[[Asking], bool]] = {
    "why": _is_why,
    "undo": _is_undo,
    "next": _is_next,
    "skip": _is_skip,
    "what_if": _is_what_if,
    "fix": _is_what_to_do,
    "live_with": _is_what_to_do,
    "help": _is_help,
    "report": _is_report_or_quit,
    "quit": _is_report_or_quit,
}
"""When the words of asking ask for a command, by the command."""
