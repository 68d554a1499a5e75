"""What a line means in its case: an answer to what was just asked, or something said on its own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from askew.engine.answers import name_of
from askew.engine.case import Case
from askew.engine.language import Context, Heard, read
from askew.engine.language.echo import echo
from askew.engine.language.words.tokens import LONGEST
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Command, Observation, Reading, SetupFact, without_words
from askew.engine.questions import COMPLAINT
from askew.engine.safe import safe
from askew.engine.said import LineError, check_range
from askew.engine.seam import QuestionOut
from askew.engine.setup import SetupError, checked
from askew.engine.units import Habit
from askew.knowledge.load import load


@dataclass(frozen=True)
class Moment:
    """What a line is said into.

    Attributes:
        case: The case before it.
        unit: The unit of the last number, or None.
        last: What was told last.
        restated: Whole messages that a short answer to the last question stands for.
        question: The question asked, `pending` the check asked for.
        besides: The setup key asked for beside the case, for what was just worked out.
    """

    case: Case
    unit: Habit | None
    last: tuple[Observation, ...] = ()
    restated: tuple[str, ...] = ()
    question: QuestionOut | None = None
    pending: str | None = None
    besides: str | None = None

    def context(self, asked: str | None = None, options: tuple[str, ...] = ()) -> Context:
        """Return what gives short answers their meaning, where `asked` was asked with these options."""
        readings = {e.fact.id: e.fact for e in self.case.evidence if isinstance(e.fact, Reading)}
        return Context(
            asked=asked,
            options=options,
            unit=self.unit,
            setup=self.case.setup.told(),
            last=self.last,
            readings=readings,
        )


def plain_text(line: str) -> str:
    """Return a line of words made safe.

    Raises:
        LineError: It is empty, or too long to be read at once.
    """
    text = safe(line).strip()
    if not text:
        raise LineError("That line was empty.", "Say what you saw or measured, or: what next, why, help.")
    if len(text) > LONGEST:
        raise LineError(
            f"That line has {len(text)} characters; {LONGEST} is the most I read at once.",
            "Say it in shorter pieces, one thing at a time.",
        )
    return text


def hear(text: str, moment: Moment) -> Heard:
    """Read a message as an answer to the question, to the check asked for, or on its own: what fits best.

    An answer needs no repetition ("13 thou"), but a sentence that says by itself what it speaks of is not
    an answer to something else.
    """
    question, pending, besides = moment.question, moment.pending, moment.besides
    tries: list[tuple[str | None, tuple[str, ...]]] = [(None, moment.restated)]
    if question is not None and question.setup != COMPLAINT:
        tries.append((question.setup, tuple(question.options or ()) or moment.restated))
    if pending is not None:
        tries.append((pending, moment.restated))
    if besides is not None:
        listed = read(text, moment.context(besides))
        if any(isinstance(fact, SetupFact) and fact.key == besides for fact in listed.facts):
            return listed  # a list of cutters, where it was asked for, is not the cutter in use
    heard = [read(text, moment.context(asked, options)) for asked, options in tries]
    if heard[0].corrects and pending is not None and not heard[-1].corrects and pending in _measured(heard[-1]):
        return heard[-1]  # "opposite" of the other corner, which was asked for, is no other complaint
    plain = _measured(heard[0])
    # A number that was measured is no answer to a question about the job.
    fits = [
        h for (asked, _), h in zip(tries, heard, strict=True)
        if asked not in load().setup or (plain <= _measured(h) and _answers(h, asked, heard[0]))
    ]  # fmt: skip
    best = max([heard[0], *(h for h in fits[1:] if _answers_beside(heard[0], h))], key=_fit)
    answer = heard[-1] if pending is not None else best
    return answer if best is heard[0] and _retold(best, answer, moment.case, text) else best


def _answers(heard: Heard, key: str | None, plain: Heard) -> bool:
    """Tell whether what was heard as the answer to a question about the job answers it, or is told by itself as well.

    A bare "7" after a question with a choice is no length of something else.
    """
    about = {fact.key for fact in heard.facts if isinstance(fact, SetupFact)}
    answered = key in about or any(isinstance(fact, Command) for fact in heard.facts)
    return answered or {*map(without_words, heard.facts)} <= {*map(without_words, plain.facts)}


def _answers_beside(plain: Heard, answer: Heard) -> bool:
    """Tell whether a line that says something by itself answers what was asked as well: a number was left over in it.

    Else it is taken for what it says: who is asked for one thing and tells another was heard to answer it, too.
    """
    if not plain.facts:
        return True
    left = _words_left(plain)
    kept = {*map(without_words, plain.facts)} <= {*map(without_words, answer.facts)}
    return kept and len(left) > len(_words_left(answer)) and any(word[0].isdigit() for word in left)


def _words_left(heard: Heard) -> list[str]:
    """Return the words that nothing was made of."""
    return [word for part in heard.unread for word in part.split()]


def _retold(plain: Heard, answer: Heard, case: Case, text: str) -> bool:
    """Tell whether a line only tells the complaint's number once more where it answers the check just asked for.

    "That one is shut by 0.19" is the other corner where that was asked for, not the first corner measured again.
    """
    complaint = case.complaint
    if complaint is None or len(plain.facts) != 1 or len(answer.facts) != 1:
        return False
    again, told = plain.facts[0], answer.facts[0]
    if not isinstance(again, Reading) or not isinstance(told, Reading) or again.id != complaint.fact.id:
        return False
    anew = word_list("clauses.toml", "words", "anew") & {*text.lower().split()}
    return told.id != again.id and told.value == again.value and not anew


def _measured(heard: Heard) -> frozenset[str]:
    """Return the readings that a message gives a number of."""
    return frozenset(f.id for f in heard.facts if isinstance(f, Reading) and f.value is not None)


def _fit(heard: Heard) -> float:
    """How well a message was understood: facts that can be, less words that nothing was made of."""
    good = sum(1.0 if is_possible(fact) else -2.0 for fact in heard.facts)
    return good - 0.4 * len(_words_left(heard)) - (0.5 if heard.question is not None else 0.0)


def is_possible(fact: Observation) -> bool:
    """Say whether a reading or a setup fact can be."""
    try:
        check_possible([fact])
    except (LineError, SetupError):
        return False
    return True


def check_possible(facts: Iterable[Observation]) -> None:
    """See that every reading and every setup fact can be.

    Raises:
        LineError: A reading is beyond all reason.
        SetupError: A setup fact is.
    """
    for fact in facts:
        if isinstance(fact, Reading):
            check_range(fact)
        elif isinstance(fact, SetupFact) and fact.value is not None:
            checked(fact.key, fact.value)


def not_understood(unread: Sequence[str], nearest: Sequence[str]) -> LineError:
    """Return the refusal of words that nothing was made of, with the nearest meanings as its hint."""
    names = [name_of(id_) for id_ in nearest[:3]]
    words = ", ".join(f"“{safe(part)[:80]}”" for part in unread[:3])
    hint = (
        f"Did you mean {' or '.join(names)}?" if names else "Say a reading with its unit, what you saw, or: help."
    )
    return LineError(f"I made nothing of {words}.", hint)


def not_counted(heard: Heard, unit: Habit | None) -> LineError:
    """Return the refusal of what seems to be told of something else than this job, and what would be taken for it.

    Args:
        heard: What was made of the message, with something set aside in it.
        unit: The person's unit where the message shows none.
    """
    told = echo(heard.aside[:3], heard.unit or unit)
    return LineError(
        f"Not counted, for it sounds like another job, a plan or a question: {told}.",
        f"If it is so on this job, say just that: {told}.",
    )


def not_read(heard: Heard) -> list[str]:
    """Return the words that nothing was made of, but for numbers that wait for an answer about their unit."""
    waits = heard.question is not None
    return [part for part in heard.unread if not (waits and any(ch.isdigit() for ch in part))]
