"""The engine loads in a thread of its own while the person reads the first lines and types."""

from __future__ import annotations

import argparse
import dataclasses
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from askew.cli import door
from askew.cli.on_machine import name_machine, wished

if TYPE_CHECKING:
    from askew.engine.seam import Turn
    from askew.knowledge.load import Knowledge


@dataclass(frozen=True, slots=True)
class Loaded:
    """What is there once loading is done.

    Attributes:
        known: The knowledge.
        opened: The open case.
        turn: The case as it stands.
    """

    known: Knowledge
    opened: door.Opened
    turn: Turn


def load_case(args: argparse.Namespace) -> Loaded:
    """Open a case: the file named, else the last one if it is still open, else a new one.

    A machine named on the command line wants a case of its own, unless the last open one is on it.

    Raises:
        Refusal: The file cannot be used, or there is no such machine.
    """
    from askew.knowledge.load import load

    known, machine = load(), wished(args)
    if args.case is not None:
        opened = door.open_file(args.case)
    else:
        last = None if args.new else door.open_last()
        if last is not None and machine is not None and door.machine_of(last) != machine:
            last.close()
            last = None
        opened = last or door.open_new()
    amiss = name_machine(opened, args)
    opened = dataclasses.replace(opened, notices=(*opened.notices, *amiss))
    return Loaded(known, opened, opened.consultation.now())


class Loader:
    """Runs a function in a thread and hands over what it returned or raised."""

    def __init__(self, work: Callable[[], Loaded]) -> None:
        """Keep the work; `start` begins it."""
        self._work = work
        self._thread = threading.Thread(target=self._run, name="askew-load", daemon=True)
        self._result: Loaded | None = None
        self._error: BaseException | None = None
        self._then: Callable[[], None] | None = None

    def start(self, then: Callable[[], None] | None = None) -> None:
        """Begin, once; `then` is called from the thread when it is done."""
        if not self._thread.ident:
            self._then = then
            self._thread.start()

    def _run(self) -> None:
        try:
            self._result = self._work()
        except BaseException as error:  # handed over to whoever waits
            self._error = error
        if self._then is not None:
            self._then()

    @property
    def ready(self) -> Loaded | None:
        """What was loaded, or None while it still loads or where it failed."""
        return self._result

    def wait(self) -> Loaded:
        """Return what was loaded.

        Raises:
            BaseException: Whatever the work raised.
        """
        self.start()
        self._thread.join()
        if self._result is None:
            raise self._error or RuntimeError("loading ended without a result")
        return self._result
