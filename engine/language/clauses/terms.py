"""How short a command is, and which of its words are terms of the trade, small, polite or unknown."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.word_tables import word_list

LONGEST = 9
"""So many words a command in few words may have."""
FEW = 4
"""So many words leave no room for a story."""
TERSE = 2
"""Words of asking that are no more may be chance."""
_LONGEST_TERM = 5
_NO_TERM = {
    "idiom",
    "saying",
    "polite",
    "weather",
    "buy",
    "history",
    "hypothetical",
    "have",
    "not",
    "big",
    "small",
}
"""Names of phrases that are no terms of the trade."""


def unknown_words(message: Message) -> int:
    """Return how many words of a message are neither known nor small."""
    small = word_list("clauses.toml", "words", "small") | word_list("clauses.toml", "evidence", "plain")
    small |= word_list("commands.toml", "asking", "starters")
    known = {at for spot in (*message.prepared_spots, *message.concepts) for at in range(spot.start, spot.end)}
    return sum(
        token.kind == "word" and at not in known and token.text not in small for at, token in enumerate(message.tokens)
    )


def polite_tokens(message: Message) -> set[int]:
    """Return the tokens of polite and filling words, which do not keep a command from coming first."""
    return {
        at
        for at, token in enumerate(message.tokens)
        if token.kind == "mark"
        or any(spot.name == "polite" and spot.start <= at < spot.end for spot in message.spots)
    }


def is_term(message: Message, at: int) -> bool:
    """Tell whether nothing but a term of the trade stands from a token on: "what is a witness mark"."""
    stop = next((i for i in range(at + 1, len(message.tokens)) if _ends_a_term(message, i)), len(message.tokens))
    rest = [i for i in range(at, stop) if message.tokens[i].kind != "mark"]
    told = [token.text for token in message.tokens[max(0, at - 2) : at]]
    if not 1 <= len(rest) <= _LONGEST_TERM or told in (["what", "a"], ["what", "an"]):  # "what a day"
        return False
    small = word_list("clauses.toml", "words", "small")
    terms = [spot for spot in message.spots if spot.name not in _NO_TERM and not spot.name.startswith("ask_")]
    trade = {i for spot in terms for i in range(spot.start, spot.end)}
    said = [i for i in rest if message.tokens[i].text not in small]
    return bool(said) and all(i in trade for i in said)


_TERM_ENDS = {",", "?", ".", "!", ";", "when", "how", "then", "please", "exactly", "supposed", "meant"}


def _ends_a_term(message: Message, at: int) -> bool:
    """Tell whether the name of a term ends before a token: "what's a gib, how would you put it"."""
    token = message.tokens[at]
    return token.text in _TERM_ENDS


def names_a_term(message: Message, at: int) -> bool:
    """Tell whether anything of the trade is named from a token on."""
    return any(
        spot.start >= at and spot.name not in _NO_TERM and not spot.name.startswith("ask_")
        for spot in message.prepared_spots
    )


def nothing_but(message: Message, at: int) -> bool:
    """Tell whether all words but the one at a token are small, polite or of asking."""
    small = word_list("clauses.toml", "words", "small") | word_list("commands.toml", "asking", "beside")
    small |= word_list("clauses.toml", "words", "opening") | word_list("commands.toml", "asking", "starters")
    polite = polite_tokens(message)
    return all(
        i == at or i in polite or token.kind != "word" or token.text in small for i, token in enumerate(message.tokens)
    )
