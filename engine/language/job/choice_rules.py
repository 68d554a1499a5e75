"""When a choice word is meant as a fact: by setup.toml's `accept`, not denied, and no part of another phrase."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.choice_checks import CHECKS
from askew.engine.language.job.choosing import LONG, choosing_words
from askew.engine.language.model import Context
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.stems import stem
from askew.engine.language.words.tokens import text_at
from askew.engine.language.words.word_tables import items, table

_DENIED_WITHIN = 3
_NEVER_SURE = 99


@dataclass(frozen=True, slots=True)
class _Rule:
    """When a choice word is meant as a fact; the sections `accept` of setup.toml.

    Attributes:
        at_least: Words that a phrase must have.
        begins: Words that it must begin with, none for any.
        never_begins: Words that a phrase of one or two must not begin with.
        never: What must not be named in the message,
        sure_from: unless the phrase has so many words.
        needs: One of these must be named or be among the words, none for any.
        alone_never: Single words that are too short to go by.
        never_choices: Choices that are only heard when they were asked for.
        never_before: What must not follow, as beginnings of words.
    """

    at_least: int
    sure_from: int
    begins: frozenset[str]
    never_begins: frozenset[str]
    never: frozenset[str]
    needs: frozenset[str]
    alone_never: frozenset[str]
    never_choices: frozenset[str]
    never_before: frozenset[str]

    def fits(self, message: Message, spot: Spot, choice: str) -> bool:
        """Tell whether a phrase is meant as a fact, as far as single words can tell."""
        first, width = text_at(message.tokens, spot.start), spot.end - spot.start
        named = message.all_names | message.word_set
        return (
            width >= self.at_least
            and (not self.begins or bool({first, message.words.get(spot.start, "")} & self.begins))
            and (width >= LONG - 1 or first not in self.never_begins)
            and (width >= self.sure_from or not self.never & named)
            and (not self.needs or bool(self.needs & named))
            and not (width == 1 and first in self.alone_never and not message.sized_before(spot.start))
            and choice not in self.never_choices
            and not any(text_at(message.tokens, spot.end).startswith(word) for word in self.never_before)
        )


def _items_of(row: Mapping[str, Any], name: str) -> frozenset[str]:
    return frozenset(items(row.get(name, "")))


@cache
def _rules() -> Mapping[str, _Rule]:
    return {
        key: _Rule(
            at_least=row.get("at_least", 1),
            sure_from=row.get("sure_from", _NEVER_SURE),
            begins=_items_of(row, "begins") | {stem(word) for word in _items_of(row, "begins")},
            **{
                name: _items_of(row, name)
                for name in ("never_begins", "never", "needs", "alone_never", "never_choices", "never_before")
            },
        )
        for key, row in table("setup.toml")["accept"].items()
    }


def _denied(message: Message, spot: Spot) -> bool:
    """Tell whether a choice is named only to be denied: "not steel", "wasn't a face mill", "no longer the quill"."""
    if text_at(message.tokens, spot.end) in ("no", "nope") and text_at(message.tokens, spot.end + 1) in ("", ",", "."):
        return True  # "gunmetal no, it's brass"
    at, seen = spot.start - 1, 0
    while at >= 0 and seen < _DENIED_WITHIN and message.tokens[at].kind == "word":
        word = message.tokens[at].text
        if word in choosing_words("denying"):
            return True
        if word not in choosing_words("between"):
            return False
        at, seen = at - 1, seen + 1
    return False


def accepted(message: Message, spot: Spot, key: str, choice: str, context: Context) -> bool:
    """Tell whether a choice word is meant as a fact, not as part of some other phrase.

    Args:
        message: The message.
        spot: Where it names the choice.
        key: The setup key that it would be a choice of.
        choice: What would be chosen.
        context: What was asked; an answer is taken without further checks unless it is denied.

    Returns:
        Whether it is a fact.
    """
    inside = [
        other
        for other in message.spots_in(max(0, spot.start - 4), spot.end + 5)
        if other is not spot
        and other.start <= spot.start
        and other.end >= spot.end
        and other.end - other.start > spot.end - spot.start
    ]
    at_jaw = key == "moving_jaw_contact" and message.has("moving_jaw")  # the "bar" of "bright bar" is at the jaw
    hiding = ("choice:", "tool:") if not at_jaw else ("choice:moving_jaw_contact", "tool:")
    if any(other.name.startswith(hiding) for other in inside) and _not_only_material(message, key):
        return False
    if key != "leaned_on_purpose" and choice not in ("plain", "false") and _denied(message, spot):
        return False
    if key == context.asked or (key == "hole_made_by" and context.asked == "hole_depth"):
        return True
    rule = _rules().get(key)
    if rule is not None and not rule.fits(message, spot, choice):
        return False
    check = CHECKS.get(key)
    return check is None or check(message, spot, choice, context)


def _not_only_material(message: Message, key: str) -> bool:
    """Tell whether a longer phrase hides this one, as "aluminium sheet" at a jaw hides the material."""
    return key != "material" or message.has("moving_jaw", "jaw", "vise")
