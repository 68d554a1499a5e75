"""A real pseudo-terminal with the program in it, and what a person would see of it."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from typing import Self

import pexpect
import pyte

MORE = "-- Enter for more"


class Terminal:
    """Runs the program in a terminal of a given size.

    Attributes:
        raw: Every byte that the program wrote.
    """

    def __init__(
        self,
        columns: int,
        rows: int,
        *args: str,
        home: Path,
        script: Path | None = None,
        extra: dict[str, str] | None = None,
    ) -> None:
        """Start the program (or a script in its place) with its own home and configuration."""
        ours = ("ASKEW", "NO_COLOR")
        environment = {key: value for key, value in os.environ.items() if not key.startswith(ours)}
        environment |= {
            "ASKEW_HOME": str(home / "home"),
            "ASKEW_CONFIG": str(home / "config.toml"),
            "TERM": "xterm-256color",
            "COLUMNS": str(columns),
            "LINES": str(rows),
            "LANG": "C.UTF-8",
            "PYTHONUTF8": "1",
        }
        command = [str(script)] if script else ["-m", "askew.cli.main"]
        self.screen = pyte.HistoryScreen(columns, rows, history=5000)
        self._stream = pyte.ByteStream(self.screen)
        self.raw = b""
        self.process = pexpect.spawn(
            sys.executable,
            [*command, *args],
            dimensions=(rows, columns),
            env=environment | (extra or {}),
            timeout=30,
        )

    def __enter__(self) -> Self:
        """Use it as a context."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the program."""
        self.process.close(force=True)

    def pump(self, seconds: float = 0.1) -> bool:
        """Take what the program writes for a while; False once it has ended."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                data = self.process.read_nonblocking(65536, timeout=0.05)
            except pexpect.TIMEOUT:
                continue
            except pexpect.EOF:
                return False
            self.raw += data
            self._stream.feed(data)
            if b"\x1b[6n" in data:  # the program asks where the cursor is
                self.process.send(f"\x1b[{self.screen.cursor.y + 1};{self.screen.cursor.x + 1}R")
        return True

    def until(self, *texts: str, seconds: float = 20) -> str:
        """Wait until one of the texts is on the screen, and return the screen."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            alive = self.pump()
            if any(text in self.shown() for text in texts):
                self.pump(0.15)
                return self.shown()
            if not alive:
                break
        raise AssertionError(f"none of {texts} appeared in:\n{self.shown()}")

    def ready(self, seconds: float = 20) -> str:
        """Wait for an empty prompt, or for the stop of a long text, and return the screen."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.pump(0.15)
            line = self.screen.display[self.screen.cursor.y].rstrip()
            if line == ">" or line.startswith(MORE):
                return self.shown()
        raise AssertionError(f"no prompt in:\n{self.shown()}")

    def say(self, line: str) -> str:
        """Type a line, go through what is long, and return the screen at the next prompt."""
        start = f"> {line[:24]}"
        before = self.everything().count(start)
        self.process.send(line + "\r")
        end = time.monotonic() + 20
        # Until the line is on the screen, an empty prompt is still the one before it.
        while self.everything().count(start) == before and time.monotonic() < end:
            self.pump()
        shown = self.ready()
        while MORE in self.screen.display[self.screen.cursor.y]:
            self.process.send("\r")
            self.pump(0.1)
            shown = self.ready()
        return shown

    def end(self) -> int:
        """Wait for the program to end and return its exit status."""
        while self.pump(0.2):
            pass
        self.process.close()
        return int(self.process.exitstatus if self.process.exitstatus is not None else -1)

    def shown(self) -> str:
        """Return the screen as text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def everything(self) -> str:
        """Return what scrolled off and the screen, as text."""
        columns = range(self.screen.columns)
        above = ["".join(line[x].data for x in columns).rstrip() for line in self.screen.history.top]
        return "\n".join([*above, self.shown()])
