"""Commands by what a short message names, whatever the order of its words."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.terms import is_term, names_a_term, polite_tokens, unknown_words
from askew.engine.language.together.evidence import elsewhere_in
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.phrase_forms import CONCEPT
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Command

_LOOSE = 16
"""Words that a message may have to be a command in any order of words."""


def loose_command(message: Message) -> Command | None:
    """Return the command that a short message without any fact asks for, whatever the order of its words."""
    words = [token.text for token in message.tokens if token.kind != "mark"]
    measured = any(not quantity.junk and not quantity.pronoun for quantity in message.prepared)
    if not 1 < len(words) <= _LOOSE:
        return None
    if not _asking(message) or elsewhere_in(message) or unknown_words(message) > 1:
        return None
    for at, token in enumerate(message.tokens):
        if token.text in ("what's", "whats") and is_term(message, at + 1):
            return Command("help", message.said(at + 1, len(message.tokens)).strip(" ?.!"), message.text.strip())
    names = {spot.name.removeprefix(CONCEPT) for spot in message.concepts}
    if names_a_term(message, 0):
        names.add("TERM")
    for name, way in lexicon().loose:
        if measured and name != "what_if":
            continue
        if name == "what_if" and (not _of_setup(message) or _would_notice(message)):
            continue
        if all(bool(wanted & names) is needed for wanted, needed in way):
            return Command(name, _loose_argument(name, message), message.text.strip())
    return None


def _of_setup(message: Message) -> bool:
    """Tell whether a message names anything of the setup, which "what if" may change."""
    return any(spot.name.startswith(("choice:", "length:")) for spot in message.prepared_spots) or message.has(
        "pass", "bar", "turned", "gripped"
    )


def _would_notice(message: Message) -> bool:
    """Tell whether an "if" only says what somebody would notice: "if the plate were loose I would see it"."""
    words = word_list("commands.toml", "asking", "noticing")
    return any(
        token.text in words
        and {message.text_at(at - 1), message.text_at(at - 2)} & {"would", "i'd", "we'd", "id", "should"}
        and not {message.text_at(at - 2), message.text_at(at - 3)} & {"what", "how"}
        for at, token in enumerate(message.tokens)
    )


def _loose_argument(name: str, message: Message) -> str | None:
    """Return what follows "if" or "with" in a question of what would be."""
    if name != "what_if":
        return None
    start = next((spot.end for spot in message.concepts if spot.name == f"{CONCEPT}if"), 0)
    return message.said(start, len(message.tokens)).strip(" ?.!,:") or None


def _asking(message: Message) -> bool:
    """Tell whether a message asks or bids: by its mark, or by how one of its clauses begins."""
    if message.text.rstrip().endswith("?"):
        return True
    polite, starters = polite_tokens(message), word_list("commands.toml", "asking", "starters")
    for place, clause in enumerate(message.clauses):
        first = next((at for at in range(clause.start, clause.end) if at not in polite), clause.start)
        if {message.tokens[first].text, message.tokens[clause.start].text} & starters:
            return True
        if place == 0:  # "it would be hollow if ..." tells; what comes later must ask by a word of asking
            starters = word_list("commands.toml", "asking", "later")
    return False
