"""Preparing a message: its text cut into words, its quantities and phrases found, its clauses parted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from askew.engine.language.clauses.clauses import clauses
from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.phrases import meant, spots_around
from askew.engine.language.clauses.restated import restated
from askew.engine.language.clauses.slips import mended
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.roles import with_roles
from askew.engine.language.numbers.scanning import scan
from askew.engine.language.words.finding import find
from askew.engine.language.words.phrase_forms import CONCEPT
from askew.engine.language.words.spelling import respell, run_together
from askew.engine.language.words.stems import stem
from askew.engine.language.words.tokens import Token, tokenize
from askew.engine.language.words.word_tables import dialect

_MOST_QUANTITIES = 150
_LEADING_TO_A_NUMBER = {"in", "on", "at"}
_ARTICLES = {"the", "my", "this"}
_BOUNDING_A_NUMBER = {"about", "around"}
_THAN = "'n"
"""A "than" that was swallowed: "8 thou more'n the right"."""
_MILL = "mil"
"""What both "mil" and "milled" come down to."""
_MORE_THAN_A_NO = 3
"""From so many words and marks on an "n" before another word is "and", in fewer it is "no"."""


def prepare(text: str, as_said: bool = False) -> Message:
    """Cut a message up and find what is known in it.

    Args:
        text: The message as typed.
        as_said: Whether to keep what was taken back in the same breath, for corrections tell what was wrong, too.

    Returns:
        The message with its tokens, quantities, phrases and clauses.
    """
    tokens = _usual_tokens(text)
    tokens = tokens if as_said else restated(tokens)
    at = [index for index, token in enumerate(tokens) if token.kind != "mark"]
    stems = respell([stem(tokens[index].text) for index in at], [tokens[index].text for index in at])
    scanned = scan(tokens, _MOST_QUANTITIES)
    found = find(_no_mill(stems, at, scanned), _joined(tokens, at), at, _leading(tokens, at, scanned))
    concepts = tuple(spot for spot in found if spot.name.startswith(CONCEPT))
    spots = [spot for spot in found if not spot.name.startswith(CONCEPT)]
    around = spots_around(spots)
    quantities, extras = with_roles(scanned, around, tokens)
    spots = meant(spots, extras, quantities, around, tokens)
    message = Message(text, tokens, dict(zip(at, stems, strict=True)), quantities, spots, concepts=concepts)
    message.clauses = clauses(message)
    return message


def _usual_tokens(text: str) -> list[Token]:
    """Return the tokens of a text, slips mended and words of a dialect as they are usually said."""
    usual = dialect()
    tokens = [
        replace(token, text=usual[token.text]) if token.kind == "word" and token.text in usual else token
        for token in _parted(mended(tokenize(text)))
    ]
    if len(tokens) < _MORE_THAN_A_NO:
        return tokens
    return [
        replace(token, text="and") if token.text == "n" and after.kind != "mark" else token
        for token, after in zip(tokens, [*tokens[1:], Token("mark", "", 0, 0)], strict=True)
    ]


def _parted(tokens: Iterable[Token]) -> Iterable[Token]:
    """Yield the tokens, words that were run together as two."""
    for token in tokens:
        if token.text.endswith(_THAN) and len(token.text) > len(_THAN) + 2:
            cut = token.end - len(_THAN)
            yield replace(token, text=token.text.removesuffix(_THAN), end=cut)
            yield Token("word", "than", cut, token.end)
            continue
        at = run_together(token.text) if token.kind == "word" else None
        if at is None:
            yield token
            continue
        cut = token.start + at
        yield replace(token, text=token.text[:at], end=cut)
        yield Token("word", token.text[at:], cut, token.end)


def _joined(tokens: Sequence[Token], at: Sequence[int]) -> list[bool]:
    """Tell of each of the words at `at` whether nothing but a space or hyphen parts it from the one before."""
    return [
        place == 0
        or all(tokens[between].text in ("-", "'", "/") for between in range(at[place - 1] + 1, at[place]))
        for place in range(len(at))
    ]


def _no_mill(stems: Sequence[str], at: Sequence[int], scanned: Sequence[Quantity]) -> list[str]:
    """Return the stems of the words at `at` without each "mil" that is a unit: "six mil wall" is no milled wall."""
    units = {quantity.end - 1 for quantity in scanned if quantity.unit == "mil" and not quantity.junk}
    return ["" if index in units and word == _MILL else word for index, word in zip(at, stems, strict=True)]


def _leading(tokens: Sequence[Token], at: Sequence[int], scanned: Sequence[Quantity]) -> frozenset[int]:
    """Return the words at `at` that lead on to a number or a noun, so that no phrase ends with them."""
    begins = {quantity.head for quantity in scanned if tokens[quantity.head].kind == "number"}
    heads = {quantity.head for quantity in scanned if quantity.unit is not None}
    return frozenset(
        index
        for index in at
        if (index + 1 in begins and tokens[index].text in _LEADING_TO_A_NUMBER)
        or (index + 1 in heads and tokens[index].text in _BOUNDING_A_NUMBER)
        or (tokens[index].text == "in" and index + 1 < len(tokens) and tokens[index + 1].text in _ARTICLES)
    )
