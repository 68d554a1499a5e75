"""The chat on a real terminal, interrupted at any instant and left in every way."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pexpect
import pytest

from askew.engine.record.journal import Journal, JournalError
from askew.engine.record.turns import standing

FULL = bool(os.environ.get("ASKEW_FULL"))


def kept(path: Path) -> list[str]:
    """Return the texts of the turns on disk."""
    try:
        with Journal.open(path, write=False) as journal:
            return [turn.data["text"] for turn in standing(journal.records)]
    except JournalError:
        return []


class Chat:
    """A chat in a terminal of its own."""

    def __init__(self, path: Path, *options: str) -> None:
        self.path = path
        words = ["-m", "askew.cli.main", "talk", *options, "--case", str(path)]
        # High enough that nothing has to be paged.
        self.terminal = pexpect.spawn(sys.executable, words, timeout=30, dimensions=(400, 100))
        self.seen = b""
        self.wait_until(lambda: b">" in self.seen)

    def drain(self) -> None:
        """Read what there is, so that the program never waits for the terminal."""
        try:
            while True:
                self.seen += self.terminal.read_nonblocking(1 << 16, timeout=0.02)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return

    def wait_until(self, done, patience: float = 30) -> None:
        end = time.monotonic() + patience
        while not done():
            assert time.monotonic() < end, self.seen[-2000:]
            self.drain()

    def say(self, line: str) -> None:
        """Say a line and wait until it is on disk."""
        self.terminal.send(line + "\r")
        self.wait_until(lambda: line in kept(self.path))

    def leave(self) -> int | None:
        """Press Ctrl-D and return the exit status."""

        def gone() -> bool:
            # What is typed while an answer is on its way may be dropped by the terminal, so press again.
            with contextlib.suppress(OSError):
                self.terminal.send("\x04")
            self.drain()
            time.sleep(0.3)
            return not self.terminal.isalive()

        self.wait_until(gone)
        self.terminal.close()
        return self.terminal.exitstatus


@pytest.fixture(params=[(), ("--plain",)], ids=["prompt", "plain"])
def chat(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Chat]:
    chat = Chat(tmp_path / "talk.case", *request.param)
    yield chat
    with contextlib.suppress(OSError):  # one test has closed the terminal itself
        chat.terminal.close(force=True)


def readings() -> Iterator[str]:
    number = 0
    while True:
        number += 1
        yield f"sweep over 300 mm is 0.{number:03} mm low on the left"


def test_an_interrupt_at_any_instant_loses_nothing_and_ends_nothing(chat: Chat) -> None:
    chance = random.Random(4)
    lines = readings()
    certain: list[str] = []
    for _ in range(100 if FULL else 3):
        interrupted = next(lines)
        for char in interrupted[: chance.choice([3, 20, len(interrupted)])]:
            chat.terminal.send(char)
        if chance.random() < 0.7:
            chat.terminal.send("\r")
        time.sleep(chance.uniform(0, 0.3))
        chat.terminal.send("\x03")
        time.sleep(chance.uniform(0, 0.1))
        chat.drain()
        certain.append(next(lines))
        chat.say(certain[-1])
    assert chat.leave() == 0
    said = kept(chat.path)
    assert [line for line in said if line in certain] == certain
    with Journal.open(chat.path) as journal:
        assert journal.notices == ()


@pytest.mark.parametrize(
    "ending", [signal.SIGTERM, signal.SIGHUP, None], ids=["SIGTERM", "SIGHUP", "terminal-closed"]
)
def test_a_chat_that_is_cut_off_leaves_a_complete_case(chat: Chat, ending: int | None) -> None:
    lines = readings()
    said = [next(lines) for _ in range(2)]
    for line in said:
        chat.say(line)
    chat.terminal.send(next(lines)[:12])
    if ending is None:
        os.close(chat.terminal.child_fd)
    else:
        chat.terminal.kill(ending)
    end = time.monotonic() + 20
    while chat.terminal.isalive() and time.monotonic() < end:
        if ending is not None:
            chat.drain()
        time.sleep(0.05)
    assert not chat.terminal.isalive()
    assert kept(chat.path) == said
    with Journal.open(chat.path) as journal:
        assert journal.notices == ()
