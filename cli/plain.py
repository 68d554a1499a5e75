"""The talk as plain text: through a pipe, and for whatever is no terminal."""

from __future__ import annotations

import argparse
import dataclasses
import sys

from askew.cli import door
from askew.cli.chat.choices import resolved
from askew.cli.chat.words import habit_of, local
from askew.cli.emit import emit
from askew.cli.exits import NOT_SAVED, OK
from askew.cli.lines import wrap
from askew.cli.on_machine import name_machine
from askew.cli.pipe import converse
from askew.cli.screens.turn import turn_screen
from askew.cli.view import View, view_from
from askew.engine.seam import Turn
from askew.engine.units import Habit
from askew.knowledge.load import load


def talk_plain(args: argparse.Namespace) -> int:
    """Answer every line of standard input in plain text."""
    view = view_from(args)
    opened = door.open_file(args.case) if args.case is not None else door.open_memory()
    for notice in (*opened.notices, *name_machine(opened, args)):
        print(f"askew: {notice}", file=sys.stderr)  # noqa: T201
    teller = Teller(view, opened.consultation, kept=args.case is not None)
    last = converse(ShortForms(opened.consultation), sys.stdin.buffer, teller.tell)
    for said in opened.leave():
        emit(wrap(said, view), view)
    return OK if last.saved or args.case is None else NOT_SAVED


class ShortForms:
    """A consultation that also takes the number of an answer and whole names."""

    def __init__(self, consultation: door.Consultation) -> None:
        """Wrap a consultation."""
        self._consultation = consultation

    @property
    def unit(self) -> Habit:
        """The person's habit."""
        return self._consultation.unit

    def now(self) -> Turn:
        """Return the case as it stands."""
        return self._consultation.now()

    def speak(self, unit: Habit) -> Turn:
        """Answer in this unit from now on."""
        return self._consultation.speak(unit)

    def say(self, line: str) -> Turn:
        """Take one line, with its short forms written out; the wish for a unit is one of them."""
        own = local(line)
        if own is not None and own[0].id == "unit":
            return self.speak(habit_of(own[1]))
        return self._consultation.say(resolved(line, self.now().question, load()))


class Teller:
    """Shows one answer after another, each against the one before it."""

    def __init__(self, view: View, consultation: door.Consultation, *, kept: bool = True) -> None:
        """Show in a view; where the case is not kept nothing warns that it is not saved."""
        self._view = view
        self._consultation = consultation
        self._kept = kept
        self._before: Turn | None = None
        self._unit: Habit | None = None

    def tell(self, turn: Turn) -> None:
        """Show one answer."""
        shown = turn if self._kept else turn.model_copy(update={"saved": True})
        unit = self._view.habit or self._consultation.unit
        view = dataclasses.replace(self._view, habit=unit)
        if self._before is not None and unit != self._unit:
            # What stands in the old unit is said again.
            self._before = self._before.model_copy(update={"suspects": []})
        self._unit = unit
        # A new case has nothing to show before the first line.
        if turn.turn or turn.error or turn.heard or turn.says:
            emit(turn_screen(shown, load(), view, self._before), view)
            if turn.error is None:
                self._before = turn
