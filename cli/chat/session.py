"""The chat: reads a message, answers it, and keeps what is needed in sight."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from askew.cli.chat import first
from askew.cli.chat.loading import Loaded, Loader, load_case
from askew.cli.chat.words import LocalWord, Saying, habit_of, local, sayings
from askew.cli.chat.working import working
from askew.cli.emit import emit
from askew.cli.exits import NOT_SAVED, OK, Refusal
from askew.cli.lines import BLANK, TIE, Line, Span, span, wrap
from askew.cli.pager import page
from askew.cli.view import View, settings_of, view_of

if TYPE_CHECKING:
    from askew.cli.chat.reader import Reader
    from askew.engine.seam import Turn


def chat(args: argparse.Namespace) -> int:
    """Hold a chat on the terminal; return the exit status when the person leaves."""
    settings = settings_of(args)
    on = {name: bool(known.value) for name, known in settings.items()}
    session = Session(view_of(settings), Loader(lambda: load_case(args)))
    if on["linear"] or on["plain"]:
        return session.run(_linear_reader(session, keep=on["history"]))
    return session.run(_prompt_reader(session, on))


def _linear_reader(session: Session, *, keep: bool) -> Reader:
    from askew.cli.chat.history import history_file
    from askew.cli.chat.reader import LinearReader

    # Nothing may appear beside a line that is being typed, so everything is loaded before the first prompt.
    session.begin()
    return LinearReader(history_file() if keep else None, session.sayings)


def _prompt_reader(session: Session, on: dict[str, bool]) -> Reader:
    from askew.cli.chat.history import open_history
    from askew.cli.chat.prompt import Hooks, PromptReader

    hooks = Hooks(session.sayings, session.status, session.help)
    reader = PromptReader(
        session.view,
        open_history(keep=on["history"]),
        hooks,
        suggestions=on["suggestions"],
        popup=on["popup"],
    )
    hooks.shown = lambda: session.load_behind(reader)
    session.greet()
    return reader


class Session:
    """A chat's state between messages.

    Attributes:
        view: How to show things; its unit follows the person.
    """

    def __init__(self, view: View, loader: Loader) -> None:
        """Begin with a loader that has not started."""
        self.view = view
        self._loader = loader
        self._loaded: Loaded | None = None
        self._turn: Turn | None = None
        self._greeted = False
        self._ahead = ""  # typed while something long was shown a screenful at a time
        self._reader: Reader | None = None

    @property
    def _case(self) -> Loaded:
        """The open case, waited for where it still loads."""
        return self._loaded or self._loader.wait()

    # ---- what the prompt asks

    def sayings(self) -> Sequence[Saying]:
        """Return everything that can be said now."""
        loaded = self._loader.ready
        return sayings(loaded.known if loaded else None)

    def status(self) -> str:
        """Return the status line: the next check, the time spent, and where help is."""
        if self._loaded is None or self._turn is None:
            return "getting ready ..." if self._loader.ready is None else "? help"
        from askew.cli.screens.status import status_text

        return status_text(self._turn, self._case.known, self.view.width - 1)

    def help(self) -> str:
        """Print what can be said, and return what was typed meanwhile."""
        return page(first.help_screen(self.sayings(), self.view), self.view)

    # ---- the beginning

    def greet(self) -> None:
        """Print what the program is for, once."""
        if not self._greeted:
            self._greeted = True
            emit(first.first_screen(self.view), self.view)

    def load_behind(self, reader: Reader) -> None:
        """Load while the person reads; what there is to tell then appears above the prompt."""
        self._loader.start(lambda: self._loaded_behind(reader))

    def _loaded_behind(self, reader: Reader) -> None:
        """Show what there is to tell, else leave the line being typed alone; runs in the loading thread."""
        loaded = self._loader.ready
        if loaded is None or loaded.turn.turn or loaded.opened.notices or loaded.turn.says or self._bench_words(loaded):
            reader.call(self._begin_above)
        else:
            self._take(loaded)
            reader.refresh()

    def _begin_above(self) -> str:
        self.begin()
        typed, self._ahead = self._ahead, ""
        return typed

    def begin(self) -> None:
        """Wait for the case and show it, once; a new case only greets.

        Raises:
            Refusal: The case cannot be used.
        """
        if self._loaded is not None:
            return
        loaded = self._loader.wait()
        resumed = loaded.turn.turn > 0
        if not resumed:
            self.greet()
        self._take(loaded)
        self._tell_notices(loaded)
        if resumed:
            from askew.cli import door

            emit(first.resumed_lines(loaded.opened.name, door.about(loaded.opened), self.view), self.view)
            self._show(loaded.turn, None)
        else:
            self._tell_opening(loaded.turn)
            self._offer_bench()

    def _tell_opening(self, turn: Turn) -> None:
        """Say what a new case starts from."""
        from askew.cli import door
        from askew.cli.chat import bench

        for said in turn.says:
            emit(wrap(said, self.view), self.view)
        machine = door.machine_of(self._case.opened)
        if machine:
            self._keep_bench({bench.NAMED: machine})

    def _take(self, loaded: Loaded) -> None:
        self._loaded = loaded
        self._turn = loaded.turn
        if self.view.habit is None:
            self.view = replace(self.view, habit=loaded.opened.consultation.unit)

    def _tell_notices(self, loaded: Loaded) -> None:
        for notice in loaded.opened.notices:
            emit(wrap(notice, self.view, style="warn"), self.view)

    def _offer_bench(self) -> None:
        kept = self._bench_words(self._case)
        if kept:
            offer = [span(f"Last time: {kept}. Say ", "dim"), Span(f"same{TIE}bench", "accent")]
            emit(wrap([*offer, Span(" to use that again.", "dim")], self.view), self.view)

    def _bench_words(self, loaded: Loaded) -> str:
        from askew.cli.chat import bench

        return bench.in_words(bench.read_bench(bench.bench_file()), loaded.known)

    # ---- the talk

    def run(self, reader: Reader) -> int:
        """Read and answer until the person leaves; everything acknowledged is on the disk then."""
        self._reader = reader
        leaving = False
        while not leaving:
            try:
                message, self._ahead = reader.read(self._ahead), ""
            except EOFError:
                break
            for line in message.split("\n"):
                leaving = self.answer(line) or leaving
        return self._leave()

    def _leave(self) -> int:
        if self._loaded is None or self._turn is None:
            return OK
        for said in self._case.opened.leave():
            emit(wrap(said, self.view), self.view)
        if not self._turn.saved:
            emit(wrap("The last things said are NOT on the disk.", self.view, style="warn"), self.view)
            return NOT_SAVED
        if self._turn.turn:
            text = f"Case {self._case.opened.name} is kept."
            emit(wrap(text if self._turn.closed else f"{text} askew goes on with it.", self.view), self.view)
        return OK

    def answer(self, line: str) -> bool:
        """Answer one line; return True when the person wants to leave."""
        if not line.strip():
            return False
        self.begin()
        question = (self._turn or self._case.turn).question
        # "mm" may be the answer to a question rather than the wish to see mm.
        answers = [option.lower() for option in (question.options if question else None) or []]
        own = local(line) if line.strip().lower() not in answers else None
        if own is not None and self._own(*own, asked=line):
            return False
        return self._say(line)

    def _say(self, line: str) -> bool:
        from askew.cli.chat.choices import resolved

        last = self._turn or self._case.turn
        line = resolved(line, last.question, self._case.known)
        consultation = self._case.opened.consultation
        unit_before = consultation.unit
        self._lay_out(line)
        try:
            with working(self.view):
                turn = consultation.say(line)
        except KeyboardInterrupt:
            turn = consultation.now()
            emit(wrap("Stopped. This is how the case stands:", self.view), self.view)
        if consultation.unit != unit_before or last.turn == 0:
            self.view = replace(self.view, habit=consultation.unit)
        self._show(turn, last)
        if turn.error is None:
            self._turn = turn
            self._learn(turn)
        return any(heard.kind == "command" and heard.id == "quit" for heard in turn.heard)

    def _show(self, turn: Turn, before: Turn | None) -> None:
        from askew.cli.screens.turn import turn_screen

        lines = turn_screen(turn, self._case.known, self.view, before)
        self._stop_at(lines)

    def _stop_at(self, lines: Sequence[Line]) -> None:
        """Write lines, a screenful at a time; all at once where the next message was typed meanwhile."""
        if self._reader is not None and self._reader.typed_ahead():
            emit(lines, self.view)
        else:
            self._ahead += page(lines, self.view)

    def _learn(self, turn: Turn) -> None:
        from askew.cli.chat import bench

        path = bench.bench_file()
        kept = bench.read_bench(path)
        learnt = bench.learn(turn, kept, self._case.opened.consultation.unit)
        if learnt != kept:
            bench.write_bench(path, learnt)

    # ---- the chat's own words

    def _own(self, word: LocalWord, rest: str, *, asked: str) -> bool:
        """Answer one of the chat's own words; False where the engine should have it after all."""
        does: dict[str, Callable[[str], list[Line] | None]] = {
            "help": lambda _: first.help_screen(self.sayings(), self.view),
            "keys": lambda _: first.keys_screen(self.view),
            "explain": lambda rest: self._explain(
                rest, sure=asked.lower().startswith(("explain", "help", "define"))
            ),
            "show": lambda _: self._everything(),
            "cleared": lambda _: self._cleared(),
            "new": lambda _: self._new(),
            "unit": self._change_unit,
            "suggestions": self._suggest,
            "bench": lambda _: self._same_bench(),
            "my_bench": lambda _: self._my_bench(),
            "machine": self._on_machine,
        }
        lines = does[word.id](rest)
        if lines is None:
            return False
        self._stop_at(lines)
        return True

    def _explain(self, words: str, *, sure: bool) -> list[Line] | None:
        from askew.cli.glossary import entries, find
        from askew.cli.screens.explain import explain_screen

        if not sure and not find(words, entries(self._case.known)):
            return None
        return explain_screen(words, self._case.known, self.view)[1]

    def _everything(self) -> list[Line]:
        from askew.cli.screens.turn import turn_screen

        return turn_screen(self._case.opened.consultation.now(), self._case.known, self.view)

    def _cleared(self) -> list[Line]:
        from askew.cli.screens.cleared import cleared_screen

        turn = self._case.opened.consultation.now()
        lines = cleared_screen(turn, self._case.known, self.view, most=len(turn.cleared))
        return lines or wrap("Nothing is cleared yet.", self.view)

    def _new(self) -> list[Line]:
        from askew.cli import door

        old = self._case.opened
        opened = door.open_new()
        machine, kept = door.machine_of(old), old.leave()
        if machine:
            # The same person at the same machine; its record has just learnt from the case put aside.
            with contextlib.suppress(Refusal):
                door.begin_on(opened, machine, date.today(), asked=False)
        loaded = Loaded(self._case.known, opened, opened.consultation.now())
        self._take(loaded)
        self._tell_notices(loaded)
        self._tell_opening(loaded.turn)
        self._offer_bench()
        lines = [line for said in kept for line in wrap(said, self.view)]
        return [*lines, BLANK, *wrap(f"Case {old.name} is put aside, saved. What came out wrong?", self.view)]

    def _change_unit(self, word: str) -> list[Line]:
        turn = self._case.opened.consultation.speak(habit_of(word))
        self.view = replace(self.view, habit=habit_of(word))
        # What stands in the old unit is said again; the rest has not changed.
        self._show(turn, turn.model_copy(update={"suspects": []}))
        self._turn = turn
        return []

    def _suggest(self, word: str) -> list[Line]:
        on = word.lower() == "on"
        if self._reader is not None:
            self._reader.set_suggestions(on)
        keep = f"To keep it so: askew config suggestions={'true' if on else 'false'}"
        return wrap(f"Suggestions are {'on' if on else 'off'}. {keep}", self.view)

    def _same_bench(self) -> list[Line] | None:
        from askew.cli.chat import bench

        kept = bench.read_bench(bench.bench_file())
        if not kept:
            return wrap(
                "Nothing about a bench is kept yet; say what mill and what instruments you have.", self.view
            )
        if bench.NAMED in kept:
            self._stop_at(self._on_machine(kept[bench.NAMED]))
        if kept.get(bench.UNIT) == "in" and self._turn is not None and not self._turn.turn:
            # Nobody has shown a unit yet in this case; the bench was told in inches.
            self._change_unit("inches")
        self._say(bench.as_line(kept))
        return []

    def _lay_out(self, line: str) -> None:
        """Before a fix or a plan, tell the case of the cutters and leaves that were told once, where it lacks them."""
        from askew.cli import door
        from askew.cli.chat import bench

        laid = bench.laid_out(line, lambda key: door.knows(self._case.opened, key), self._case.known)
        if laid is not None:
            said, told = laid
            self._case.opened.consultation.say(told)
            emit(wrap(f"From last time: {said}.", self.view, style="dim"), self.view)

    def _my_bench(self) -> list[Line]:
        from askew.cli.chat import bench
        from askew.cli.screens.bench import bench_screen

        return bench_screen(bench.read_bench(bench.bench_file()), self._case.known, self.view)

    def _on_machine(self, name: str) -> list[Line]:
        """Put a new case on a machine, and keep its name for the next one."""
        from askew.cli import door
        from askew.cli.chat import bench

        opened = self._case.opened
        before = door.machine_of(opened)
        try:
            amiss = door.begin_on(opened, name.lower(), date.today())
        except Refusal as refusal:
            return wrap(str(refusal), self.view, style="warn")
        if amiss:
            return [line for said in amiss for line in wrap(said, self.view, style="warn")]
        if before:
            return []
        self._keep_bench({bench.NAMED: name.lower()})
        self._turn = opened.consultation.now()
        return [line for said in self._turn.says for line in wrap(said, self.view)]

    def _keep_bench(self, learnt: dict[str, str]) -> None:
        from askew.cli.chat import bench

        path = bench.bench_file()
        kept = bench.read_bench(path)
        if {**kept, **learnt} != kept:
            bench.write_bench(path, {**kept, **learnt})
