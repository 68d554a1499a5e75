"""Where a chip was, told against where it was not; and places that were only looked at, with nothing there."""

from __future__ import annotations

from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.together.attempt import Trial
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Sign

_NEAR = 4
"""So many words after a "no" or a "not" the chip may be named that was not there."""


def settle_chip(trial: Trial) -> None:
    """Take a chip for found elsewhere, or for not found, where the places beside it belong to the search.

    Args:
        trial: The attempt at the message; its facts change in place.
    """
    message = trial.message
    if message.has("table") and not message.has("part_noun", "face", "chip", "under_part"):
        trial.facts[:] = [fact for fact in trial.facts if not (isinstance(fact, Sign) and fact.id == "dent_found")]
    for at, fact in enumerate(trial.facts):
        if not isinstance(fact, Sign) or fact.id not in ("chip_found", "dent_found"):
            continue
        if fact.answer not in ("no", "unknown") and _only_looked(message, fact.id):
            trial.facts[at] = replace(fact, answer="no")
        elif fact.id == "chip_found" and fact.answer in ("no", "yes") and _lay_elsewhere(message):
            trial.facts[at] = replace(fact, answer="elsewhere")


def _only_looked(message: Message, name: str) -> bool:
    """Tell whether places are named only as looked at: "looked under it and behind the jaw, not a chip in sight"."""
    texts = [token.text for token in message.tokens]
    looking = next((at for at, text in enumerate(texts) if text in _words("looking")), None)
    if looking is None or set(texts) & _words("but_found"):
        return False
    thing = "chip" if name == "chip_found" else "dent"
    named = [spot.start for spot in message.spots if spot.name == thing]
    refusals = [at for at, text in enumerate(texts) if text in _words("none") and at > looking]
    late = any(text in _words("nothing") for text in texts[looking:])
    return late or any(0 < spot - refusal <= _NEAR for spot in named for refusal in refusals)


def _lay_elsewhere(message: Message) -> bool:
    """Tell whether it lay where nothing bears, whatever is denied then: "in the collet, nowhere near the vise"."""
    lay = [spot.start for spot in message.spots if spot.name == "elsewhere"]
    refusals = [spot.start for spot in message.spots if spot.name in ("not", "nothing", "no")]
    denied = any(0 < place - refusal <= _NEAR for place in lay for refusal in refusals)
    beside = message.mask(0, len(message.tokens)) & (lexicon().bits["behind_jaw"] | lexicon().bits["under_part"])
    return bool(lay) and not denied and not beside


def _words(name: str) -> frozenset[str]:
    return word_list("clauses.toml", "looked_at", name)
