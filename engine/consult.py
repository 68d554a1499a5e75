"""One turn: something said in, a `Turn` out. The only door that the screens use.

A line is understood (`said` for JSON, `hearing` for words), completed with what goes without saying (`unsaid`),
folded into the case, kept in the journal before it is acknowledged (`turn_record`), and answered (`turn_out`).
What follows from the case alone is in `standing`; here is only what passes from one line to the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np

from askew.engine import answers
from askew.engine.asks import PATTERNS, asked_for
from askew.engine.begin import beginning, read_beginning
from askew.engine.case import Case, tell
from askew.engine.fix_told import fix_told, mended
from askew.engine.hearing import (
    Moment,
    check_possible,
    hear,
    is_possible,
    not_counted,
    not_read,
    not_understood,
    plain_text,
)
from askew.engine.how_to import asks_nothing_else, steps_asked
from askew.engine.language import Heard
from askew.engine.language.words.tokens import LONGEST
from askew.engine.mend import proof_out
from askew.engine.mend import to_json as mend_to_json
from askew.engine.observations import Command, Observation, SetupFact
from askew.engine.passed_over import ASIDE, instead_of, passed_over
from askew.engine.questions import question_about
from askew.engine.record.disk import undisturbed
from askew.engine.record.journal import BadRecord, Journal, NotSaved, Record
from askew.engine.record.migrate import bring_forward, load_renames, vocabulary
from askew.engine.record.turns import local_day
from askew.engine.record.turns import standing as standing_turns
from askew.engine.safe import BadJson, safe, strict_json
from askew.engine.said import LineError, Said, parse
from askew.engine.seam import ErrorOut, QuestionOut, Turn
from askew.engine.setup import Setup, SetupError
from askew.engine.standing import Standing, stand
from askew.engine.story import Event
from askew.engine.take_back import named, not_the_last, told_by, turns_back
from askew.engine.turn_out import events_of, said_back, turn_out, unread_out
from askew.engine.turn_record import KeptTurn, last_asked, read_turn, summary_record, turn_record
from askew.engine.unit_asked import UnitAsked
from askew.engine.units import Habit
from askew.engine.unsaid import first_told, followed, over_the_same, tells_proof
from askew.engine.worked_out import WorkedOut, work_out, worked_anew
from askew.knowledge.load import Knowledge, load

LONGEST_LINE = 65536
MOST_TOLD = 5
"""Things taken back that are named."""


class Consultation:
    """A consultation over a journal. Reopening the journal gives the same belief to the last bit."""

    def __init__(self, journal: Journal, knowledge: Knowledge | None = None) -> None:
        """Replay what the journal holds.

        Args:
            journal: Where turns are kept; `Journal.in_memory()` keeps none.
            knowledge: Unused but for a check that the shipped knowledge loads; kept for callers.

        Attribute `keeper`, where it is set, is called when the case closes, and returns what to say of it.
        """
        self.knowledge = knowledge or load()
        self.journal = journal
        self.notices: list[str] = []
        self.keeper: Callable[[Consultation], Sequence[str]] | None = None
        self._kept: list[KeptTurn] = []
        begun = next((r.data for r in journal.records if r.kind == "memory"), {})
        self.begun = read_beginning(begun, self.knowledge)
        self._opening: list[str] = []
        self._asked = last_asked(journal.records)
        self._standing: Standing | None = None
        self._told: frozenset[str] = frozenset()
        self._unit_asked: UnitAsked | None = None
        self._worked: WorkedOut | None = None
        self._besides: str | None = None
        turns, told = bring_forward(
            standing_turns(journal.records), vocabulary(self.knowledge), load_renames()
        )
        self.notices += told
        for turn in turns:
            self._replay(turn)

    # --- what the screens need -------------------------------------------------------------------------

    @property
    def case(self) -> Case:
        """The case as it stands."""
        return self._kept[-1].case if self._kept else self.begun.case

    @property
    def setup(self) -> Setup:
        """The setup in force."""
        return self.case.setup

    @property
    def unit(self) -> Habit:
        """The person's habit: inches or millimetres; millimetres until a number shows it."""
        return self._kept[-1].unit or "mm" if self._kept else "mm"

    @property
    def standing(self) -> Standing:
        """What is believed and planned as the case stands."""
        if self._standing is None:
            self._standing = stand(self.case, self.unit)
        return self._standing

    def now(self) -> Turn:
        """Return the case as it stands; before anything was said also what it begins with."""
        return self._turn(says=[] if self._kept else self._opening)

    def samples(self, count: int, seed: int = 0) -> dict[str, np.ndarray]:
        """Return draws of every source's present size from the posterior, mm or rad, (count,) each."""
        return self.standing.samples(count, seed)

    def say(self, line: str) -> Turn:
        """Take one line, plain words or JSON, and answer.

        Bad input changes nothing and comes back as `Turn.error`.
        """
        try:
            if line.lstrip().startswith("{"):
                return self._json(line)
            return self._words(line)
        except (LineError, SetupError) as error:
            return self._refused(str(error), error.hint)
        except BadRecord as error:
            return self._refused(str(error), "Say it in shorter pieces, one thing at a time.")
        except BadJson as error:
            return self._refused(str(error), "One JSON object a line; askew talk --schema prints the forms.")

    def speak(self, unit: Habit) -> Turn:
        """Answer in this unit from now on, until a number shows another; kept with the case like anything said.

        A number whose unit is still asked about is of this one.
        """
        name = "inches" if unit == "in" else "millimetres"
        facts = tuple(fact for fact in self._told_in(unit) if is_possible(fact))
        return self._take(f"in {name}", facts, unit, (), [f"Answers are in {name} from now on."])

    def remember(
        self,
        machine: str,
        memory: Mapping[str, tuple[float, float, float]],
        kind: str | None = None,
        *,
        unit: Habit | None = None,
        more: Sequence[str] = (),
    ) -> Turn:
        """Start from what is known of a machine; only a case in which nothing has been said yet can.

        Args:
            machine: The machine's name, kept with the case.
            memory: By source: mean, standard deviation (mm or rad), and the chance that it still holds.
            kind: Kind of machine, so that nobody has to say it.
            unit: Unit in which to tell what is known; None: the person's habit.
            more: Sentences that belong to the opening, such as what is due for a look.
        """
        if self._kept or self.begun.machine:
            return self._refused(
                "This case has begun without the machine's record."
                if not self.begun.machine
                else f"This case is on {self.begun.machine} already.",
                "Name the machine when a case is new.",
            )
        self.begun = beginning(machine, kind, memory)
        self._save("memory", self.begun.to_json())
        self._standing = None
        self._opening = [*self.begun.says(unit or self.unit), *more]
        return self.now()

    @property
    def events(self) -> tuple[Event, ...]:
        """What stands of this case, for the record of its machine; see `events_of`."""
        return events_of(self._kept, self.standing)

    # --- hearing ---------------------------------------------------------------------------------------

    def _json(self, line: str) -> Turn:
        said: Said = parse(strict_json(line, max_bytes=LONGEST_LINE))
        if said.undo:
            return self._undo(said.undo)
        if said.ask is not None:
            return self._words(said.ask)
        return self._take(line, said.facts, None, ())

    def _words(self, line: str) -> Turn:
        text = plain_text(line)
        request = asked_for(text)
        if request is not None:
            return self._requested(request)
        settled = self._unit_asked.answered(text) if self._unit_asked is not None else None
        heard = hear(settled or text, self._moment())
        facts = self._with_late_unit(heard, settled)
        commands = [fact for fact in facts if isinstance(fact, Command)]
        steps = steps_asked(text, self._pending()) if asks_nothing_else(heard) else []
        if steps:
            return self._turn(says=steps)
        if commands and len(commands) == len(facts):
            return self._command(text, commands[0], heard)
        facts = tuple(fact for fact in facts if not isinstance(fact, Command))
        if heard.question is not None:
            self._unit_asked = UnitAsked(heard.question, facts)
        if heard.question is not None and not facts:
            turn = self._turn(says=[heard.question.text])
            return turn.model_copy(update={"unread": not_read(heard)})
        if not facts:
            unread = heard.unread or (text,)
            refusal = not_counted(heard, self.unit) if heard.aside else not_understood(unread, heard.nearest)
            turn = self._refused(str(refusal), refusal.hint)
            return turn.model_copy(update={"unread": unread_out(unread)})
        check_possible(facts)
        shown, before = heard.unit, list[str]()
        if heard.corrects and self._kept:
            shown = shown or self._kept[-1].unit  # a number put right without its unit is still told in theirs
            self._take_back(1)
        elif self._kept and any(wish.id == "undo" for wish in commands):
            before = self._taken_back(1)  # "strike that number, the dial was bumped: it is 3 thou at the back"
        more = [*before, heard.question.text] if heard.question is not None else before
        more += [str(not_counted(heard, self.unit))] if heard.aside else []
        pending = self._pending()
        taken = followed(facts, self.case, pending, self._asked)
        if taken and self._asked is not None and tells_proof(facts, self.case, pending):
            name = self.knowledge.remedies[self._asked.remedy].name
            more.append(f"Taken that this was done and the face cut again: {name}. If not, say undo.")
        told = (over_the_same(fact, self.case) for fact in first_told(facts, self.case))
        turn = self._take(text, (*taken, *told), shown, not_read(heard), more)
        wished = self._also_shown(commands[0]) if commands and turn.error is None else []
        return turn.model_copy(update={"says": [*turn.says, *wished]}) if wished else turn

    def _also_shown(self, wish: Command) -> list[str]:
        """Return what a wish told beside facts shows; what would change the case is left to be said alone."""
        if wish.id in PATTERNS:
            return list(self._work_out(wish).says)
        return list(answers.answer(wish, self.standing, self.unit)) if wish.id in answers.SHOWN else []

    def _with_late_unit(self, heard: Heard, settled: str | None) -> tuple[Observation, ...]:
        """Return what a line tells, with the earlier line whose unit was asked about if this one shows or names it."""
        asked, facts = self._unit_asked, tuple(heard.facts)
        if asked is None or (settled is None and not facts):
            return facts
        if settled is not None:
            self._unit_asked = None
            return asked.new(facts)
        return facts if heard.corrects else (*self._told_in(heard.unit, facts), *facts)

    def _told_in(self, unit: Habit | None, said: Sequence[Observation] = ()) -> tuple[Observation, ...]:
        """Return what the line whose unit was asked about tells in this one, beside what was said since."""
        asked = self._unit_asked
        whole = asked.shown(unit) if asked is not None else None
        if asked is None or whole is None:
            return ()
        self._unit_asked = None
        heard = hear(whole, self._moment()).facts
        return asked.new([fact for fact in heard if not isinstance(fact, Command)], said)

    def _moment(self) -> Moment:
        """What the next line is said into."""
        return Moment(
            case=self.case,
            unit=self._kept[-1].unit if self._kept else None,
            last=self._kept[-1].facts if self._kept else (),
            restated=self._unit_asked.question.restated if self._unit_asked is not None else (),
            question=self.standing.question,
            pending=self._pending(),
            besides=self._besides,
        )

    # --- answering -------------------------------------------------------------------------------------

    def _take(
        self,
        text: str,
        facts: Sequence[Observation],
        unit: Habit | None,
        unread: Iterable[str],
        more: Sequence[str] = (),
    ) -> Turn:
        """Keep facts as a turn and answer."""
        asked = self._pending()
        case = tell(self.case, facts, asked)
        mend = fix_told(facts, self.standing, case, self._asked)
        record = turn_record(text[:LONGEST], facts, unit, asked, mend)
        if mend is not None:
            case = mended(self.case, mend, facts, asked)
            self._asked = None
        with undisturbed():  # a Ctrl-C finds the turn kept both here and on disk, or in neither
            saved = self._save("turn", record)
            self._keep(case, facts, unit, date.today().isoformat())
            self._standing = None
        says = [
            *([said_back(facts, self.unit)] if not text.lstrip().startswith("{") else []),
            *more,
            *instead_of(facts, self.case),
        ]
        told, self._besides = {fact.key for fact in facts if isinstance(fact, SetupFact)}, None
        if self._worked is not None and self._worked.goes_by in told:
            # What was worked out with the usual leaves or cutters is worked out with the person's own.
            says += worked_anew(self._worked, self._work_out(self._worked.request))
        turn = self._turn(facts, unread, [line for line in says if line])
        if turn.verdict is not None or turn.closed:
            self._save("summary", summary_record(self.case, turn))
        if turn.closed and self.keeper is not None:
            turn.says.extend(self.keeper(self))
        return turn.model_copy(update={"saved": saved and turn.saved})

    def _keep(
        self, case: Case, facts: Iterable[Observation], unit: Habit | None, day: str
    ) -> None:
        """Keep a turn; it speaks in the unit of the last number, its own or one before."""
        before = self._kept[-1].unit if self._kept else None
        self._kept.append(KeptTurn(case, tuple(facts), unit or before, day))

    def _pending(self) -> str | None:
        return self.standing.next.id if self.standing.next is not None else None

    def _save(self, kind: str, data: dict[str, Any]) -> bool:
        try:
            self.journal.append(kind, data)
        except NotSaved:
            return False
        return True

    def _undo(self, turns: int) -> Turn:
        if not self._kept:
            return self._refused("There is nothing to take back.", "Say what came out wrong.")
        return self._turn(says=self._taken_back(turns))

    def _undo_named(self, words: frozenset[str]) -> Turn:
        """Take the last message back where it tells of what is named; else say which does."""
        meant = turns_back(words, self._kept, self.unit)
        if not self._kept or (meant is not None and meant[0] == 1):
            return self._undo(1)
        return self._refused(*not_the_last(meant, told_by(self._kept[-1:], self.unit)[0], self.unit))

    def _taken_back(self, turns: int) -> list[str]:
        """Take messages back and return what they told."""
        gone = told_by(self._kept[-turns:], self.unit)
        self._take_back(len(gone))
        return ["Took back:", *(f"- {words}" for words in gone[-MOST_TOLD:])]

    def _take_back(self, turns: int) -> None:
        with undisturbed():
            self._save("undo", {"turns": turns})
            del self._kept[-turns:]
            self._asked = self._worked = self._besides = None
            self._standing = self._unit_asked = None

    def _command(self, text: str, command: Command, heard: Heard) -> Turn:
        if command.id in PATTERNS:
            return self._requested(command)
        if command.id == "undo":
            count = command.argument if command.argument and command.argument.isdigit() else None
            turn = self._undo(max(1, int(count))) if count else self._undo_named(named(text))
            return turn.model_copy(update={"unread": unread_out(not_read(heard))})
        if command.id in ASIDE:
            facts = passed_over(command, self._pending(), self._question())
            if not facts:
                return self._turn(says=["There is nothing asked just now."])
            return self._take(text, facts, heard.unit, ())
        turn = self._turn((command,), (), answers.answer(command, self.standing, self.unit))
        if command.id == "report":
            turn.budget = answers.entries(self.standing)
        return turn

    def _requested(self, request: Command) -> Turn:
        """Answer a request that carries a sentence of its own."""
        self._worked = self._besides = None
        worked = self._work_out(request)
        key = worked.goes_by
        if key is not None and not self.setup.known(key) and key not in self.case.dont_know:
            self._besides = key
        return self._turn((request,), (), worked.says)

    def _work_out(self, request: Command) -> WorkedOut:
        """Return what a request comes to; remember the fix it asks for, and what on the bench it goes by."""
        worked = work_out(request, self.standing, self._moment().context())
        if worked.asked is not None:
            self._asked = worked.asked
            self._save("fix", {"mend": mend_to_json(worked.asked)})
        self._worked = worked if worked.goes_by else None
        return worked

    def _question(self) -> QuestionOut | None:
        """The question to ask now: what lies on the bench for what was just worked out, else about the case."""
        return question_about(self._besides) if self._besides is not None else self.standing.question

    def _refused(self, message: str, hint: str) -> Turn:
        return self._turn().model_copy(update={"error": ErrorOut(message=safe(message), hint=safe(hint))})

    def _turn(
        self, facts: Iterable[Observation] = (), unread: Iterable[str] = (), says: Sequence[str] = ()
    ) -> Turn:
        standing = self.standing
        turn = turn_out(
            standing,
            number=len(self._kept),
            facts=facts,
            unread=unread,
            question=self._question(),
            proof=proof_out(self._asked, self.case, self.unit) if self._asked else standing.proof,
            says=[*says, *(note for note in standing.notes if note not in self._told)],
            saved=self.journal.saved,
        )
        self._told = frozenset(standing.notes)
        return turn

    # --- replaying -------------------------------------------------------------------------------------

    def _replay(self, turn: Record) -> None:
        read = read_turn(turn)
        self.notices += read.notices
        case = tell(self.case, read.facts, read.asked)
        if read.mend is not None:
            case = mended(self.case, read.mend, read.facts, read.asked)
        self._keep(case, read.facts, read.unit, local_day(turn.time))
