"""What was seen, chosen, done or asked for in words that no phrase took, as the network weighs them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.choosing import choosing_words
from askew.engine.language.learned import told as learned
from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.bearing import meaning_of, names_only_material
from askew.engine.language.words.word_tables import knowledge_rows
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign, name_of

NOT_DONE = {"not", "hypothetical", "planned", "intended", "to_do", "some_day", "might_be", "unsure"}
"""Phrases that say of something that it was not done."""

NOT_SAID = {"hypothetical", "planned", "some_day", "might_be", "ask_what_if"}
"""Phrases of what was neither done nor seen: "if the table went a foot it would show"."""

LIKELY, DONE = 0.65, 0.85
"""From these chances on something seen or chosen is taken without a phrase, and something done or asked for."""

SURE = 0.9
"""From this chance on it is taken whatever else was told, and in the place of another answer that is doubted."""

DOUBTED, MEANT, NEVER = 0.1, 0.4, 0.01
"""Below the first chance the answer that a phrase gave to a sign is doubted: it gives way to one from the second on,
and below the third the sign is let go, if it was not asked for."""

CHOSEN = 0.55
"""From this chance on something of the setup is taken where nothing else was told; but no material, for people name one
in asking for a speed."""

ORDERED = 0.95
"""From this chance on something is asked for where nothing was told, in whatever words."""

UNTOLD = {Sign: 0.01, SetupFact: 0.02, Command: 0.003}
"""Below these chances a message as a whole does not tell what a phrase in it did."""

LOOSE = 0.35
"""The same for a sign that no phrase told, but all its words together; that one is left open rows tell."""

HARDLY_TOLD = {Sign: 0.6, SetupFact: 0.15, Command: 0.4, Reading: 0.3}
"""Below these it does not tell what it does not speak of either; of readings those without a number."""

HARDLY_OPEN = 0.25
"""The same of a sign that is left open: why it is not known takes more words than what it is."""

SPOKEN = 0.5
"""From this chance on a message speaks of a thing, whatever it says of it."""

HALF = 0.5
"""Below this chance nothing is heard to be none where something is only supposed: "I'd expect it to sit still"."""

LONG = 50
"""A message of more words and marks tells much that the whole of it hardly shows."""

_OPEN = ":unknown"
_IRON = "material:=cast_iron"


def answer_of(fact: Observation) -> str | None:
    """Return the name under which a fact without a number is learned; None for readings and sizes."""
    if isinstance(fact, Sign):
        return f"{fact.id}:{fact.answer}"
    if isinstance(fact, Action | Command):
        return f"{'!' if isinstance(fact, Action) else '$'}{fact.id}"
    if isinstance(fact, SetupFact) and isinstance(fact.value, str | bool):
        return f"{fact.key}:={fact.value}"
    return None


def fact_of(answer: str, words: str) -> Observation:
    """Return the fact that was learned under a name."""
    if answer[0] in "!$":
        return Action(answer[1:], words) if answer[0] == "!" else Command(answer[1:], words=words)
    name, _, value = answer.partition(":")
    if value[0] != "=":
        return Sign(name, value, words)
    return SetupFact(name, {"True": True, "False": False}.get(value[1:], value[1:]), words=words)


def add_answers(trial: Trial, text: str, context: Context) -> None:
    """Add what the words of a message likely tell though no phrase told it.

    Args:
        trial: The attempt at the message; its facts change in place.
        text: The message.
        context: What was asked for.
    """
    may_be = learned.surely(trial.message, context.asked)
    sure_undone = trial.message.all_names & NOT_DONE
    least = min(CHOSEN, LIKELY)
    for answer in sorted((name for name, chance in may_be.items() if chance >= least), key=lambda name: -may_be[name]):
        fact = fact_of(answer, text)
        if may_be[answer] < (CHOSEN if isinstance(fact, SetupFact) and context.asked is None else LIKELY):
            continue
        told = {_family(name_of(old)) for old in trial.facts}
        if _family(name_of(fact)) in told or (isinstance(fact, Action) and sure_undone):
            continue
        if answer.endswith(_OPEN) and name_of(fact) != context.asked and trial.message.all_names & NOT_SAID:
            continue
        if _untenable(trial, fact):
            continue
        alone = not told and context.asked is None
        if alone and isinstance(fact, SetupFact) and (_left_by_phrases(trial.message, fact) or fact.key == "material"):
            continue
        if isinstance(fact, Action | Command) and may_be[answer] < DONE and context.asked is None:
            continue
        if isinstance(fact, Command) and told:
            continue
        trial.facts.append(fact)


def add_sure(trial: Trial, text: str, context: Context) -> None:
    """Add what the words of a message surely tell, and put it in the place of another answer that they hardly tell.

    Args:
        trial: The attempt at the message; its facts change in place.
        text: The message.
        context: What was asked for.
    """
    may_be = learned.surely(trial.message, context.asked)
    for answer in sorted((name for name, chance in may_be.items() if chance >= SURE), key=lambda name: -may_be[name]):
        fact = fact_of(answer, text)
        if isinstance(fact, Command) and (trial.facts or context.asked or may_be[answer] < ORDERED):
            continue
        if _untenable(trial, fact):
            continue
        if isinstance(fact, Action) and trial.message.all_names & (NOT_DONE | {"saying"}):
            continue
        if not trial.facts and context.asked is None and _left_by_phrases(trial.message, fact):
            continue
        if answer.endswith(_OPEN) and name_of(fact) != context.asked:
            continue  # whether that is said of this sign rows of words settle
        same = [old for old in trial.facts if _family(name_of(old)) == _family(name_of(fact))]
        if any(may_be.get(answer_of(old) or "", 1.0) >= DOUBTED or _is_sure(trial, old) for old in same):
            continue
        trial.facts[:] = [old for old in trial.facts if old not in same]
        trial.facts.append(fact)


def drop_untold(trial: Trial, phrased: Sequence[Observation], context: Context) -> None:
    """Let go of what a message as a whole does not tell, though a phrase or a row stood in it; not of a long one.

    Args:
        trial: The attempt at the message; its facts change in place.
        phrased: What phrases in it told.
        context: What was asked for.
    """
    if len(trial.message.tokens) > LONG:
        return
    may_be = learned.answers(trial.message, context.asked)
    about = learned.meanings(trial.message, context.asked)
    supposed = bool(trial.message.all_names & NOT_SAID)
    for fact in list(trial.facts):
        if name_of(fact) == context.asked or _is_sure(trial, fact) or names_only_material(fact):
            continue
        loose = not any(fact is one for one in phrased)
        chance, spoken = _chance(fact, may_be), about.get(meaning_of(fact), 1.0)
        if _untold(fact, chance, spoken, loose, supposed):
            trial.facts.remove(fact)


def _chance(fact: Observation, may_be: Mapping[str, float]) -> float:
    """Return the chance that an answer is told, 1 for what is none; "no" and "none" say the same of where a sign is."""
    names = {answer_of(fact) or ""}
    if isinstance(fact, Sign) and fact.answer in ("no", "none"):
        names = {f"{fact.id}:no", f"{fact.id}:none"}
    return max((may_be[name] for name in names if name in may_be), default=1.0)


def _untold(fact: Observation, chance: float, spoken: float, loose: bool, supposed: bool) -> bool:
    """Tell whether a message does not tell a fact; what is told loosely, or only supposed, must be likelier.

    Args:
        fact: What was heard.
        chance: The chance that it is told as it was heard.
        spoken: The chance that the message speaks of it at all.
        loose: Whether no phrase told it, but all words together.
        supposed: Whether something in the message is only supposed.
    """
    if isinstance(fact, Reading):
        return not fact.value and spoken < (HALF if supposed else HARDLY_TOLD[Reading])
    if isinstance(fact, Action):
        return supposed and chance < SURE
    if isinstance(fact, Sign) and loose and chance < (0.0 if fact.answer == "unknown" else LOOSE):
        return True
    left_open = isinstance(fact, Sign) and fact.answer == "unknown"
    hardly = HARDLY_OPEN if left_open else HARDLY_TOLD.get(type(fact), 0.0)
    return chance < UNTOLD.get(type(fact), 0.0) or (spoken < SPOKEN and chance < hardly)


def borne_out(fact: Observation, message: Message, context: Context) -> bool:
    """Tell whether the words of a message likely give an answer that was found as if it had been asked for."""
    return learned.answers(message, context.asked).get(answer_of(fact) or "", 1.0) >= LIKELY


def rather_told(message: Message, fact: Sign, other: str, context: Context) -> bool:
    """Tell whether a message surely gives a sign the answer it has, and hardly another."""
    chances = learned.answers(message, context.asked)
    return chances.get(f"{fact.id}:{fact.answer}", 0.0) >= SURE and chances.get(f"{fact.id}:{other}", 1.0) < DOUBTED


def _left_by_phrases(message: Message, fact: Observation) -> bool:
    """Tell whether a phrase of a choice stands in a message, and no rule took it: "drilled and tapped two holes"."""
    return isinstance(fact, SetupFact) and f"choice:{fact.key}={fact.value}" in message.all_names


def _untenable(trial: Trial, fact: Observation) -> bool:
    """Tell whether something stands against a fact, however likely the words of a message make it.

    A casting may be of anything; shims and cutters that are listed lie ready, and are not used by that.
    """
    listed = any(isinstance(old, SetupFact) and isinstance(old.value, tuple) for old in trial.facts)
    return (
        (answer_of(fact) == _IRON and not _names_iron(trial.message))
        or (listed and isinstance(fact, SetupFact | Action))
        or implied(fact, trial.facts)
    )


def implied(fact: Observation, heard: Sequence[Observation]) -> bool:
    """Tell whether a deed is one that a reading of the message implies, so that it would be done twice."""
    rows = knowledge_rows("readings.toml")
    readings = [one for one in heard if isinstance(one, Reading)]
    return isinstance(fact, Action) and any(fact.id in rows[one.id].get("implies", ()) for one in readings)


def _is_sure(trial: Trial, fact: Observation) -> bool:
    return any(fact is sure for sure in trial.sure)


def _names_iron(message: Message) -> bool:
    return any(token.text in choosing_words("iron") for token in message.tokens)


def mend_signs(trial: Trial, context: Context) -> None:
    """Give signs the answer that their words tell where the one a phrase gave is hardly told, or let go of them.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    if not any(isinstance(fact, Sign) for fact in trial.facts):
        return
    chances = learned.answers(trial.message, context.asked)
    heard = {answer_of(fact) for fact in trial.facts}
    for place, fact in reversed([*enumerate(trial.facts)]):
        if not isinstance(fact, Sign) or _is_sure(trial, fact):
            continue
        name = f"{fact.id}:{fact.answer}"
        if chances.get(name, 1.0) >= DOUBTED:
            continue
        likelier = [
            other
            for other, chance in chances.items()
            if chance >= MEANT and ":=" not in other and _of_family(other) == _of_family(name) and other not in heard
        ]
        if likelier:
            trial.facts[place] = fact_of(max(likelier, key=chances.__getitem__), fact.words)
        elif chances[name] < NEVER and fact.id != context.asked:
            del trial.facts[place]


def _of_family(answer: str) -> str:
    return _family(answer.partition(":")[0])


def _family(name: str) -> str:
    """Return the name that signs share which are looked for along the feed or across it, at the ends or the middle."""
    return "light" if name.startswith("light_") else name
