"""What the person wants the assistant to do."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.terms import LONGEST, TERSE, is_term, polite_tokens
from askew.engine.language.commands.asked_for import Asking, is_asked_for
from askew.engine.language.commands.asked_in_rows import asked_in_rows, asks_for_sign
from askew.engine.language.commands.doubts import is_dropped, is_unsure, tells_not_known
from askew.engine.language.commands.lacking import lacking
from askew.engine.language.model import Context
from askew.engine.language.together.bearing import far_fetched
from askew.engine.language.together.evidence import elsewhere_beside
from askew.engine.language.together.not_known import leaves_sign_open
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Command

_IN_SO_MANY_WORDS = {"live_with", "report", "why", "dont_know", "help"}
"""Commands whose rows say more than the "can't" or the "don't know" that stands beside them."""
_ANSWERING = {"skip", "dont_know", "cannot", "why", "report"}
"""Commands whose rows are found in much other talk where they answer nothing that was asked."""
_LONG = {"fix", "live_with", "what_if"}
"""Commands that may be asked for in a long message."""


def command(message: Message, context: Context) -> Command | None:
    """Return the command that the message is, if it is one.

    Args:
        message: The message.
        context: What was asked, which "don't know" and "can't" answer.

    Returns:
        The command with its argument, or None.
    """
    words = [token.text for token in message.tokens if token.kind != "mark"]
    text = message.text.strip()
    if not words:
        return Command("help", words=text) if text == "?" else None
    names = message.names(0, len(message.tokens))
    if leaves_sign_open(message, context):
        return None
    named = asked_in_rows(message, context)
    if named in _IN_SO_MANY_WORDS:
        return Command(named, context.asked if named in ("dont_know", "cannot") else None, text)
    refusal = lacking(message, context, words, names)
    if refusal is not None:
        return refusal
    of_a_term = any(spot.name == "ask_word" and is_term(message, spot.end) for spot in message.spots)
    if of_a_term and "dont_know" in names:
        return Command("help", _argument("help", "ask_word", message), text)  # "dunno, what's a cylinder square"
    if tells_not_known(message, context, words, names):
        return Command("dont_know", context.asked, text)
    if named is not None:
        return Command(named, context.asked if named in ("dont_know", "cannot") else None, text)
    if len(words) > 2 * LONGEST + 7:
        return None
    polite = polite_tokens(message)
    bare = " ".join(token.text for at, token in enumerate(message.tokens) if at not in polite)
    if bare in lexicon().alone:
        return Command(lexicon().alone[bare], None, text)
    if is_unsure(message, context, polite):
        return Command("dont_know", context.asked, text)
    asked_for = _by_asking_words(message, words, polite)
    if asked_for is not None and asked_for.id == "quit" and context.asked == "instruments":
        return None if any(name.startswith("tool:") for name in names) else asked_for  # "a square, that's all"
    return asked_for


def doubtful(message: Message, asked: Command, context: Context) -> bool:
    """Tell whether the words of a message hardly speak of a command, which no row of words asks for either."""
    if not far_fetched(message, asked, context):
        return False
    alone = asked.id not in _ANSWERING or (context.asked is not None and not asks_for_sign(context))
    return not alone or asked_in_rows(message, context) != asked.id


def _by_asking_words(message: Message, words: list[str], polite: set[int]) -> Command | None:
    """Return the first command of the lexicon whose words of asking are said and ask for it."""
    for name, asking_word, before_a_term in lexicon().commands:
        spots = [spot for spot in message.spots if spot.name == asking_word]
        if not spots:
            continue
        at, width = spots[0].start, max(spot.end - spot.start for spot in spots)
        begins_with_term = before_a_term and at == 0  # "what's a gib, how would you put it to a lad"
        if len(words) > LONGEST + 3 and name not in _LONG and width <= TERSE and not begins_with_term:
            continue
        if elsewhere_beside(message, at) or (before_a_term and not is_term(message, spots[0].end)):
            continue
        before = at - sum(place < at for place in polite)
        if is_asked_for(name, Asking(message, words, at, before, width)):
            return Command(name, _argument(name, asking_word, message), message.text.strip())
    return None


def _argument(name: str, asking_word: str, message: Message) -> str | None:
    """Return how much to undo, or what is asked about: what follows the words of asking."""
    if name == "undo":
        numbers = [
            quantity
            for quantity in message.quantities
            if not (quantity.junk or quantity.pronoun or quantity.unit or is_dropped(message, quantity))
            and 0 < quantity.value < 1000
        ]
        if numbers:
            return str(int(numbers[0].value))
        return None
    if name not in ("why", "help", "what_if"):
        return None
    asking = next(spot for spot in message.spots if spot.name == asking_word)
    rest = message.said(asking.end, len(message.tokens)).strip(" ?.!,:")
    if not rest and name == "what_if":  # "if I turned the part, what would it read"
        rest = message.said(0, asking.start).strip(" ?.!,:")
    for article in ("the ", "is it ", "do you think it's ", "do you say ", "would it be "):
        rest = rest.removeprefix(article)
    return rest.removesuffix(" means").removesuffix(" mean").removesuffix(" are").removesuffix(" is") or None
