"""One turn: something said in, a `Turn` out. The only door that the screens use.

A line is understood (`said` for JSON, `language` for words), folded into the case, kept in the journal before it
is acknowledged, and answered: belief, rules, next check, question or verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from askew.engine import answers
from askew.engine.asks import PATTERNS, asked_for
from askew.engine.begin import beginning, read_beginning
from askew.engine.case import Case, tell
from askew.engine.kept import BadFactError, from_json, to_json
from askew.engine.language import Context, Heard, read
from askew.engine.language.echo import echo
from askew.engine.lasting import MOST_MENDS
from askew.engine.mend import Mend, made_fix, open_fix, proof_out, redrawn, unmade
from askew.engine.mend import from_json as mend_from_json
from askew.engine.mend import to_json as mend_to_json
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign
from askew.engine.planner.available import available
from askew.engine.questions import COMPLAINT, question_about
from askew.engine.record.disk import undisturbed
from askew.engine.record.journal import BadRecord, Journal, NotSaved, Record
from askew.engine.record.migrate import bring_forward, load_renames, vocabulary
from askew.engine.record.turns import facts_of, local_day
from askew.engine.record.turns import standing as standing_turns
from askew.engine.remedies.parts import differing
from askew.engine.safe import BadJson, safe, strict_json
from askew.engine.said import LineError, Said, check_range, parse
from askew.engine.seam import ErrorOut, HeardOut, QuestionOut, Turn
from askew.engine.setup import Setup, SetupError, checked
from askew.engine.standing import Standing, stand
from askew.engine.story import Event
from askew.engine.units import Habit
from askew.knowledge.load import Knowledge, load

LONGEST_TEXT = 4096
LONGEST_LINE = 65536
SAME_CUT = {
    "turned_error": "face_out_of_square", "fine_cutter_error": "face_out_of_square",
    "cross_feed_hollow": "hollow_across", "cross_feed_step": "step", "reversed_step": "step",
}  # fmt: skip
"""What is read of a cut made anew, and the complaint that it is where nothing was complained of before."""
MOST_TOLD = 5
"""Things taken back that are named."""
ASIDE = {"skip": "Put aside for now", "cannot": "Cannot be made here", "dont_know": "Left open"}
"""What becomes of a check or a question that the person passes over."""


@dataclass(frozen=True)
class _Kept:
    """A turn that counts: the case after it, what it said, the unit spoken in by then, and on which day."""

    case: Case
    facts: tuple[Observation, ...]
    unit: Habit | None
    day: str


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
        self._kept: list[_Kept] = []
        begun = next((r.data for r in journal.records if r.kind == "memory"), {})
        self.begun = read_beginning(begun, self.knowledge)
        self._opening: list[str] = []
        self._asked = _last_asked(journal.records)
        self._standing: Standing | None = None
        self._told: frozenset[str] = frozenset()
        self._restated: tuple[str, ...] = ()
        self._worked_out: tuple[Command, str] | None = None
        self._worked_lines: list[str] = []
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
        """Answer in this unit from now on, until a number shows another; kept with the case like anything said."""
        name = "inches" if unit == "in" else "millimetres"
        return self._take(f"in {name}", (), unit, (), [f"Answers are in {name} from now on."])

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
        """What stands of this case, for the record of its machine.

        Turns are answered in full where a record looks: the last one, and those before something was done.
        """
        found = []
        for i, kept in enumerate(self._kept):
            last = i + 1 == len(self._kept)
            looked_at = last or any(isinstance(fact, Action) for fact in self._kept[i + 1].facts)
            turn = Turn(turn=i + 1)
            if looked_at:
                standing = self.standing if last else stand(kept.case, self.unit)
                # What was changed since the cut complained of is not how the machine stands now.
                changed = {n.source for n in standing.numbers if n.old}
                turn.suspects = [s for s in standing.suspects if s.source not in changed]
                turn.verdict = standing.verdict
            heard = tuple(_over(heard_out(fact), kept.case.setup) for fact in kept.facts)
            found.append(Event(kept.day, "", heard, turn))
        return tuple(found)

    # --- hearing ---------------------------------------------------------------------------------------

    def _json(self, line: str) -> Turn:
        said: Said = parse(strict_json(line, max_bytes=LONGEST_LINE))
        if said.undo:
            return self._undo(said.undo)
        if said.ask is not None:
            return self._words(said.ask)
        return self._take(line, said.facts, None, ())

    def _words(self, line: str) -> Turn:
        text = safe(line).strip()
        if not text:
            return self._refused(
                "That line was empty.", "Say what you saw or measured, or: what next, why, help."
            )
        if len(text) > LONGEST_TEXT:
            return self._refused(
                f"That line has {len(text)} characters; {LONGEST_TEXT} is the most I read at once.",
                "Say it in shorter pieces, one thing at a time.",
            )
        request = asked_for(text)
        if request is not None:
            return self._requested(request)
        heard = self._heard(text)
        facts = tuple(heard.facts)
        commands = [fact for fact in facts if isinstance(fact, Command)]
        if commands and len(commands) == len(facts):
            return self._command(text, commands[0], heard.unit)
        facts = tuple(fact for fact in facts if not isinstance(fact, Command))
        if heard.question is not None and not facts:
            self._restated = heard.question.restated
            turn = self._turn(says=[heard.question.text])
            return turn.model_copy(update={"unread": list(heard.unread)})
        if not facts:
            return self._not_understood(heard.unread or (text,), heard.nearest)
        for fact in facts:
            if isinstance(fact, Reading):
                check_range(fact)
            elif isinstance(fact, SetupFact) and fact.value is not None:
                checked(fact.key, fact.value)
        if heard.corrects and self._kept:
            self._take_back(1)
        more = [heard.question.text] if heard.question is not None else []
        followed = self._followed(facts)
        if followed and self._asked is not None and self._tells_proof(facts, self._pending()):
            name = self.knowledge.remedies[self._asked.remedy].name
            more.append(f"Taken that this was done and the face cut again: {name}. If not, say undo.")
        facts = (*followed, *map(self._over_the_same, self._first_told(facts)))
        return self._take(text, facts, heard.unit, heard.unread, more)

    def _heard(self, text: str) -> Heard:
        """Read a message as an answer to the question, to the check asked for, or on its own: what fits best.

        An answer needs no repetition ("13 thou"), but a sentence that says by itself what it speaks of is not
        an answer to something else.
        """
        question, pending = self.standing.question, self._pending()
        tries: list[tuple[str | None, tuple[str, ...]]] = [(None, self._restated)]
        if question is not None and question.setup != COMPLAINT:
            tries.append((question.setup, tuple(question.options or ()) or self._restated))
        if pending is not None:
            tries.append((pending, self._restated))
        if self._besides is not None:
            listed = read(text, self._context(self._besides, ()))
            if any(isinstance(fact, SetupFact) and fact.key == self._besides for fact in listed.facts):
                return listed  # a list of cutters, where it was asked for, is not the cutter in use
        heard = [read(text, self._context(asked, options)) for asked, options in tries]
        plain = _measured(heard[0])
        # A number that was measured is no answer to a question about the job.
        fits = [
            h for (asked, _), h in zip(tries, heard, strict=True)
            if asked not in self.knowledge.setup or plain <= _measured(h)
        ]  # fmt: skip
        return max(fits, key=_fit)

    def _first_told(self, facts: Sequence[Observation]) -> Sequence[Observation]:
        """A cut that was told of only after the part was turned or the cutter changed is what came out wrong."""
        kinds = self.knowledge.readings
        told = any(isinstance(f, Reading) and kinds[f.id].complaint for f in facts)
        if told or self.case.complaint is not None:
            return facts
        return [
            replace(f, id=SAME_CUT[f.id]) if isinstance(f, Reading) and f.id in SAME_CUT else f for f in facts
        ]

    def _over_the_same(self, fact: Observation) -> Observation:
        """A corner told without its length was measured over the same length as the complaint's."""
        complaint = self.case.complaint
        if not isinstance(fact, Reading) or fact.over is not None or complaint is None:
            return fact
        kinds, said = self.knowledge.readings, complaint.fact
        same = kinds[fact.id].over is not None and kinds[fact.id].over == kinds[said.id].over
        return replace(fact, over=said.over) if same and isinstance(said, Reading) and said.over else fact

    def _followed(self, facts: Sequence[Observation]) -> tuple[Action, ...]:
        """What the steps of the check just asked for had the person do before its reading, unless they said so.

        On the scriptable seam actions are said, never assumed.
        """
        pending = self._pending()
        if self._asked is not None and self._tells_proof(facts, pending):
            return tuple(Action(a, "as asked") for a in self._asked.actions)
        if pending is None:
            return ()
        check = self.knowledge.checks[pending]
        ids = {fact.id for fact in facts if isinstance(fact, Reading | Sign)}
        if not ids & set(check.gives):
            return ()
        said = {fact.id for fact in facts if isinstance(fact, Action)}
        implied = {
            a for id_ in ids & set(self.knowledge.readings) for a in self.knowledge.readings[id_].implies
        }
        return tuple(Action(a, "as asked") for a in check.first if a not in said | implied)

    def _tells_proof(self, facts: Sequence[Observation], pending: str | None) -> bool:
        """Say whether the complaint is read anew after a fix was asked for, and nothing said of what was done."""
        complaint = self.case.complaint
        if complaint is None or any(isinstance(fact, Action) for fact in facts):
            return False
        if pending is not None and complaint.fact.id in self.knowledge.checks[pending].gives:
            return False
        told = [
            f for f in facts if isinstance(f, Reading) and f.id == complaint.fact.id and f.value is not None
        ]
        return bool(told) and isinstance(complaint.fact, Reading) and told[-1].value != complaint.fact.value

    def _context(self, asked: str | None, options: tuple[str, ...]) -> Context:
        readings = {e.fact.id: e.fact for e in self.case.evidence if isinstance(e.fact, Reading)}
        known = self._kept[-1].unit if self._kept else None
        return Context(
            asked=asked,
            options=options,
            unit=known,
            setup=self.setup.told(),
            last=self._kept[-1].facts if self._kept else (),
            readings=readings,
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
        mend = self._made(facts, case)
        record: dict[str, Any] = {
            "text": text[:LONGEST_TEXT],
            "facts": [to_json(fact) for fact in facts],
            "unit": unit,
            "asked": asked,
        }
        if mend is not None:
            case = self._mended(mend, facts, asked)
            record["mend"] = mend_to_json(mend)
            self._asked = None
        with undisturbed():  # a Ctrl-C finds the turn kept both here and on disk, or in neither
            saved = self._save("turn", record)
            self._keep(case, facts, unit, date.today().isoformat())
            self._standing, self._restated = None, ()
        says = [
            *([self._in_words(facts)] if not text.lstrip().startswith("{") else []),
            *more,
            *self._tricks(facts),
        ]
        told, self._besides = {fact.key for fact in facts if isinstance(fact, SetupFact)}, None
        if self._worked_out is not None and self._worked_out[1] in told:
            # What was worked out with the usual leaves or cutters is worked out with the person's own.
            says += self._work_anew(self._worked_out[0])
        turn = self._turn(facts, unread, [line for line in says if line])
        self._sum_up(turn)
        if turn.closed and self.keeper is not None:
            turn.says.extend(self.keeper(self))
        return turn.model_copy(update={"saved": saved and turn.saved})

    def _mended(self, mend: Mend, facts: Sequence[Observation], asked: str | None) -> Case:
        """Return the case after facts that are a fix, or prove one."""
        done = [fact.id for fact in facts if isinstance(fact, Action)]
        case = tell(self.case, facts, asked, redrawn(mend, done))
        return replace(case, mends=(*case.mends, mend)[-MOST_MENDS:])

    def _keep(
        self, case: Case, facts: Iterable[Observation], unit: Habit | None, day: str
    ) -> None:
        """Keep a turn; it speaks in the unit of the last number, its own or one before."""
        before = self._kept[-1].unit if self._kept else None
        self._kept.append(_Kept(case, tuple(facts), unit or before, day))

    def _made(self, facts: Sequence[Observation], after: Case) -> Mend | None:
        """Return the fix that what was said amounts to, promised from what was believed before it.

        Once the cause is named every action may be one. What was done earlier is seen to have been one when the
        complaint is measured again.
        """
        done = [fact.id for fact in facts if isinstance(fact, Action)]
        complaint, standing = self.case.complaint, self.standing
        read = {fact.id for fact in facts if isinstance(fact, Reading) and fact.value is not None}
        proving = complaint is not None and complaint.fact.id in read and open_fix(self.case) is None
        if proving:
            done = [*unmade(self.case), *done]
        if not done or not (proving or standing.verdict is not None or self._asked is not None):
            return None
        if not proving and self._asked is None and set(done) <= self._left_by_check():
            return None
        return made_fix(done, standing, self._asked, after)

    def _left_by_check(self) -> frozenset[str]:
        """What the check just made ends with (a part out of the vise): no fix, even where it settled the case."""
        case = self.case
        last = case.evidence[-1] if case.evidence else None
        if last is None or any(done.when > last.when for done in case.done):
            return frozenset()
        checks = self.knowledge.checks
        made = [checks[id_] for id_ in case.made if last.fact.id in checks[id_].gives]
        return frozenset(action for check in made for action in check.disturbs)

    def _tricks(self, facts: Sequence[Observation]) -> list[str]:
        """What serves instead of a check that cannot be made."""
        checks = self.knowledge.checks
        named = [f.argument for f in facts if isinstance(f, Command) and f.id == "cannot" and f.argument]
        refused = [checks[id_] for id_ in named if id_ in checks]
        possible = set(available(self.case)) if refused else set()
        return [
            f"Instead of {check.name}, this serves: {checks[check.instead].name}."
            for check in refused
            if check.instead is not None and check.instead in possible
        ]

    def _pending(self) -> str | None:
        return self.standing.next.id if self.standing.next is not None else None

    def _sum_up(self, turn: Turn) -> None:
        if turn.verdict is not None or turn.closed:
            complaint = self.case.complaint
            causes = turn.verdict.sources if turn.verdict is not None else []
            self._save(
                "summary",
                {
                    "state": "closed" if turn.closed else "open",
                    "complaint": complaint.fact.id if complaint else None,
                    "causes": causes,
                },
            )

    def _save(self, kind: str, data: dict[str, Any]) -> bool:
        try:
            self.journal.append(kind, data)
        except NotSaved:
            return False
        return True

    def _undo(self, turns: int) -> Turn:
        if not self._kept:
            return self._refused("There is nothing to take back.", "Say what came out wrong.")
        turns = min(turns, len(self._kept))
        gone = [self._in_words(kept.facts) or f"the wish for {kept.unit}" for kept in self._kept[-turns:]]
        self._take_back(turns)
        return self._turn(says=["Took back:", *(f"- {words}" for words in gone[-MOST_TOLD:])])

    def _in_words(self, facts: Sequence[Observation]) -> str:
        """Return facts as they are said back; a check put aside or refused as what became of it."""
        known, told = self.knowledge, []
        for fact in facts:
            if not isinstance(fact, Command):
                told.append(echo([fact], self.unit))
            elif fact.argument is not None and fact.argument in known.checks and fact.id in ASIDE:
                told.append(f"{ASIDE[fact.id]}: {known.checks[fact.argument].name}")
            elif fact.argument is not None:
                told.append(f"{ASIDE['dont_know']}: {answers.name_of(fact.argument)}")
        return "; ".join(dict.fromkeys(told))

    def _take_back(self, turns: int) -> None:
        with undisturbed():
            self._save("undo", {"turns": turns})
            del self._kept[-turns:]
            self._asked = self._worked_out = self._besides = None
            self._standing, self._restated = None, ()

    def _command(self, text: str, command: Command, unit: Habit | None) -> Turn:
        if command.id in PATTERNS:
            return self._requested(command)
        if command.id == "undo":
            count = command.argument if command.argument and command.argument.isdigit() else "1"
            return self._undo(max(1, int(count)))
        if command.id in ("cannot", "skip", "dont_know"):
            facts = self._aside(command)
            if not facts:
                return self._turn(says=["There is nothing asked just now."])
            return self._take(text, facts, unit, ())
        turn = self._turn((command,), (), answers.answer(command, self.standing, self.unit))
        if command.id == "report":
            turn.budget = answers.entries(self.standing)
        return turn

    def _requested(self, request: Command) -> Turn:
        """Answer a request that carries a sentence of its own."""
        self._worked_out = self._besides = None
        says = self._work_out(request)
        if self._worked_out is not None:
            key = self._worked_out[1]
            self._besides = None if self.setup.known(key) or key in self.case.dont_know else key
        return self._turn((request,), (), says)

    def _work_anew(self, request: Command) -> list[str]:
        """Return what a request comes to now where it differs from before."""
        before = self._worked_lines
        new = self._work_out(request)
        if new == before:
            return ["With those it stays as it was worked out."]
        return ["With those:", *differing(new, before)]

    def _work_out(self, request: Command) -> list[str]:
        """Return what a request comes to; remember what lies on the bench that it goes by."""
        # the arithmetic of remedies is wanted only now: it would make every start slower
        from askew.engine import ahead  # noqa: PLC0415

        goes_by: str | None = None
        if request.id == "what_if":
            facts = read(request.argument or "", self._context(None, ())).facts
            says = ahead.what_if(facts, self.standing, self.unit)
        elif request.id == "live_with":
            says, goes_by = ahead.live_with(self.standing, self.unit)
        else:
            says, asked = ahead.how_to_fix(answers.meant(request.argument), self.standing, self.unit)
            if asked is not None:
                self._asked = asked
                goes_by = ahead.made_from(asked)
                self._save("fix", {"mend": mend_to_json(asked)})
        self._worked_out = (request, goes_by) if goes_by else None
        self._worked_lines = list(says)
        return says

    def _question(self) -> QuestionOut | None:
        """The question to ask now: what lies on the bench for what was just worked out, else about the case."""
        return question_about(self._besides) if self._besides is not None else self.standing.question

    def _aside(self, command: Command) -> tuple[Observation, ...]:
        """What a refusal without a name is about: the question or the check just asked for."""
        pending, question = self._pending(), self._question()
        known = self.knowledge
        if command.argument in known.checks:
            return (command,)
        if command.id == "dont_know" or (command.id == "skip" and pending is None and question is not None):
            command = replace(command, id="dont_know")
            if question is not None:
                return (replace(command, argument=question.setup),)
            if pending is None:
                return ()
            gives = known.checks[pending].gives
            open_ = [Sign(id_, "unknown", command.words) for id_ in gives if id_ in known.signs]
            return (
                *open_,
                *(replace(command, argument=id_) for id_ in gives),
                replace(command, id="skip", argument=pending),
            )
        named = [
            id_ for id_, check in known.checks.items() if command.argument and command.argument in check.gives
        ]
        if named:
            return tuple(replace(command, argument=id_) for id_ in named)
        return (replace(command, argument=pending),) if pending is not None else ()

    def _not_understood(self, unread: Sequence[str], nearest: Sequence[str]) -> Turn:
        names = [answers.name_of(id_) for id_ in nearest[:3]]
        words = ", ".join(f"“{safe(part)[:80]}”" for part in unread[:3])
        hint = (
            f"Did you mean {' or '.join(names)}?"
            if names
            else "Say a reading with its unit, what you saw, or: help."
        )
        turn = self._refused(f"I made nothing of {words}.", hint)
        return turn.model_copy(update={"unread": [safe(part)[:400] for part in unread]})

    def _refused(self, message: str, hint: str) -> Turn:
        return self._turn().model_copy(update={"error": ErrorOut(message=safe(message), hint=safe(hint))})

    def _turn(
        self, facts: Iterable[Observation] = (), unread: Iterable[str] = (), says: Sequence[str] = ()
    ) -> Turn:
        standing = self.standing
        turn = Turn(
            turn=len(self._kept),
            heard=[heard_out(fact) for fact in facts],
            unread=[safe(part)[:400] for part in unread],
            question=self._question(),
            suspects=standing.suspects,
            cleared=standing.cleared,
            next=standing.next_out,
            verdict=standing.verdict or standing.found,
            proof=proof_out(self._asked, self.case, self.unit) if self._asked else standing.proof,
            cautions=standing.cautions,
            says=[*says, *(note for note in standing.notes if note not in self._told)],
            together=[list(pair) for pair in standing.together],
            doubtful=list(standing.doubtful),
            closed=standing.closed,
            saved=self.journal.saved,
            spent=standing.spent,
        )
        self._told = frozenset(standing.notes)
        return turn

    # --- replaying -------------------------------------------------------------------------------------

    def _replay(self, turn: Record) -> None:
        facts: list[Observation] = []
        for item in facts_of(turn):
            try:
                facts.append(from_json(item))
            except BadFactError as error:
                self.notices.append(f"Entry {turn.seq} holds {error}; it was left out.")
        unit, asked = turn.data.get("unit"), turn.data.get("asked")
        known = isinstance(asked, str) and asked in self.knowledge.checks
        case = tell(self.case, facts, asked if known else None)
        mend = mend_from_json(turn.data["mend"]) if "mend" in turn.data else None
        if mend is not None:
            case = self._mended(mend, facts, asked if known else None)
        self._keep(case, facts, unit if unit in ("in", "mm") else None, local_day(turn.time))


def _last_asked(records: Sequence[Record]) -> Mend | None:
    """Return the fix asked for last, where nothing came of it yet."""
    asked: Mend | None = None
    for record in records:
        if record.kind == "fix":
            asked = mend_from_json(record.data.get("mend"))
        elif record.kind == "undo" or "mend" in record.data:
            asked = None
    return asked


def _over(heard: HeardOut, setup: Setup) -> HeardOut:
    """Return a reading with the length it was taken over, where it goes by one that was told before."""
    key = load().readings[heard.id].over if heard.kind == "reading" else None
    if key is None or heard.over is not None or not setup.known(key):
        return heard
    return heard.model_copy(update={"over": float(setup.value(key))})


def _measured(heard: Heard) -> frozenset[str]:
    """Return the readings that a message gives a number of."""
    return frozenset(f.id for f in heard.facts if isinstance(f, Reading) and f.value is not None)


def _fit(heard: Heard) -> float:
    """How well a message was understood: facts that can be, less words that nothing was made of."""
    good = sum(1.0 if _possible(fact) else -2.0 for fact in heard.facts)
    unread = sum(len(part.split()) for part in heard.unread)
    return good - 0.4 * unread - (0.5 if heard.question is not None else 0.0)


def _possible(fact: Observation) -> bool:
    try:
        if isinstance(fact, Reading):
            check_range(fact)
        elif isinstance(fact, SetupFact) and fact.value is not None:
            checked(fact.key, fact.value)
    except (LineError, SetupError):
        return False
    return True


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
