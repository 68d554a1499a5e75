"""A turn as it goes out: what was understood, said back, and where the case stands after it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from askew.engine.language.echo import echo
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign
from askew.engine.passed_over import aside_words
from askew.engine.safe import safe
from askew.engine.seam import HeardOut, ProofOut, QuestionOut, Turn
from askew.engine.setup import Setup
from askew.engine.standing import Standing, stand
from askew.engine.story import Event
from askew.engine.turn_record import KeptTurn
from askew.engine.units import Habit
from askew.knowledge.load import load


def turn_out(
    standing: Standing,
    *,
    number: int,
    facts: Iterable[Observation],
    unread: Iterable[str],
    question: QuestionOut | None,
    proof: Sequence[ProofOut],
    says: Sequence[str],
    saved: bool,
) -> Turn:
    """Return the answer to what was said.

    Args:
        standing: Where the case stands after it.
        number: How many turns stand.
        facts: What was understood, `unread` the words that nothing was made of.
        question: The question to ask now.
        proof: What the fix in force promised.
        says: Sentences of the answer.
        saved: All is on disk.
    """
    return Turn(
        turn=number,
        heard=[heard_out(fact) for fact in facts],
        unread=unread_out(unread),
        question=question,
        suspects=standing.suspects,
        cleared=standing.cleared,
        next=standing.next_out,
        verdict=standing.verdict or standing.found,
        proof=list(proof),
        cautions=standing.cautions,
        says=list(says),
        together=[list(pair) for pair in standing.together],
        doubtful=list(standing.doubtful),
        closed=standing.closed,
        saved=saved,
        spent=standing.spent,
    )


def heard_out(fact: Observation) -> HeardOut:
    """Return an observation as it is told back: id, value in mm, and the words it came from."""
    if isinstance(fact, SetupFact):
        value = list(fact.value) if isinstance(fact.value, tuple) else fact.value
        length = load().setup[fact.key].kind == "length"
        return HeardOut(
            kind="setup", id=fact.key, value=value, unit="mm" if length else None, words=safe(fact.words)
        )
    if isinstance(fact, Reading):
        return HeardOut(
            kind="reading",
            id=fact.id,
            value=fact.value,
            unit="mm",
            over=fact.over,
            bound=fact.bound,
            low=fact.low,
            high=fact.high,
            sign_known=fact.sign_known,
            words=safe(fact.words),
        )
    if isinstance(fact, Sign):
        return HeardOut(kind="sign", id=fact.id, answer=fact.answer, words=safe(fact.words))
    kind = "command" if isinstance(fact, Command) else "action"
    return HeardOut(kind=kind, id=fact.id, words=safe(fact.words))


def unread_out(unread: Iterable[str]) -> list[str]:
    """Return the words that nothing was made of, made safe."""
    return [safe(part)[:400] for part in unread]


def said_back(facts: Iterable[Observation], unit: Habit) -> str:
    """Return facts in one line of words; a check put aside or refused as what became of it."""
    told = [aside_words(fact) if isinstance(fact, Command) else echo([fact], unit) for fact in facts]
    return "; ".join(dict.fromkeys(words for words in told if words is not None))


def events_of(turns: Sequence[KeptTurn], standing: Standing) -> tuple[Event, ...]:
    """Return the turns of a case, for the record of its machine.

    Turns are answered in full where a record looks: the last one, and those before something was done.

    Args:
        turns: The turns that stand, in order.
        standing: Where the case stands after the last of them.
    """
    found = []
    for i, kept in enumerate(turns):
        last = i + 1 == len(turns)
        looked_at = last or any(isinstance(fact, Action) for fact in turns[i + 1].facts)
        turn = Turn(turn=i + 1)
        if looked_at:
            then = standing if last else stand(kept.case, standing.unit)
            # What was changed since the cut complained of is not how the machine stands now.
            changed = {n.source for n in then.numbers if n.old}
            turn.suspects = [s for s in then.suspects if s.source not in changed]
            turn.verdict = then.verdict
        heard = tuple(_over(heard_out(fact), kept.case.setup) for fact in kept.facts)
        found.append(Event(kept.day, "", heard, turn))
    return tuple(found)


def _over(heard: HeardOut, setup: Setup) -> HeardOut:
    """Return a reading with the length it was taken over, where it goes by one that was told before."""
    key = load().readings[heard.id].over if heard.kind == "reading" else None
    if key is None or heard.over is not None or not setup.known(key):
        return heard
    return heard.model_copy(update={"over": float(setup.value(key))})
