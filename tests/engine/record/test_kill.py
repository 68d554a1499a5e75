"""SIGKILL at random instants of a process that keeps a case, its start and its exports included."""

import os
import random
import select
import signal
import time
from pathlib import Path

import pytest

from askew.engine.record.bundle import unpack
from askew.engine.record.journal import Journal
from askew.engine.record.store import of_journal, write_bundle

if not hasattr(os, "fork"):
    pytest.skip("needs fork", allow_module_level=True)


def keep_a_case(path: Path, told: int, number: int) -> None:
    """Open the case and add to it until killed; each acknowledgement is one line on `told`."""
    with Journal.open(path, create=True) as journal:
        os.write(told, f"open {journal.last_seq}\n".encode())
        while True:
            kind, data = (
                ("undo", {"turns": 1}) if number % 7 == 3 else ("turn", {"text": str(number), "facts": []})
            )
            record = journal.append(kind, data)
            os.write(told, f"{record.seq} {record.id}\n".encode())
            if number % 11 == 5:
                write_bundle(
                    [of_journal("case", journal)], path.with_name(f"out-{number}-{os.getpid()}"), "t"
                )
            number += 1


def start(path: Path, number: int) -> tuple[int, int]:
    """Fork a process that keeps the case; return its id and where it tells."""
    hear, told = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(hear)
            keep_a_case(path, told, number)
        finally:
            os._exit(1)
    os.close(told)
    return child, hear


def hear_all(hear: int) -> list[str]:
    with os.fdopen(hear, encoding="ascii") as lines:
        return lines.read().splitlines()


def test_nothing_acknowledged_is_lost_to_a_kill(tmp_path: Path, full: bool) -> None:
    path = tmp_path / "case.jsonl"
    chance = random.Random(11)
    acknowledged: dict[int, str] = {}
    kills = 1_000 if full else 100
    before_open = exports = 0
    for number in range(kills):
        child, hear = start(path, len(acknowledged))
        # Half of them at once, while it opens the case; half while it is writing.
        if number % 2:
            select.select([hear], [], [], 5)
        time.sleep(chance.uniform(0, 0.02))
        os.kill(child, signal.SIGKILL)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
        lines = hear_all(hear)
        before_open += not lines
        acknowledged |= {int(seq): id_ for seq, id_ in (line.split() for line in lines) if seq != "open"}
        if path.exists():
            with Journal.open(path, create=True) as journal:
                assert not journal.read_only, journal.notices
                known = {record.seq: record.id for record in journal.records}
                assert acknowledged.items() <= known.items()
                assert not any("Damage" in notice for notice in journal.notices)
                # An entry may have been on the disk before it could be acknowledged.
                acknowledged = known
        for bundle in tmp_path.glob("out-*"):
            assert len(unpack(bundle.read_bytes())) == 1
            bundle.unlink()
            exports += 1
    print(f"kills: {kills} ({before_open} before the case was open), exports seen: {exports}")
    print(f"lost: 0 of {len(acknowledged)} acknowledged")
    assert len(acknowledged) > kills // 4  # however slow the disk is
    assert 0 < before_open < kills


def test_two_processes_never_write_at_once(tmp_path: Path) -> None:
    path = tmp_path / "case.jsonl"
    children = [start(path, 1_000 * number) for number in range(4)]
    time.sleep(0.3)
    for child, _ in children:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    writers = [lines for lines in map(hear_all, (hear for _, hear in children)) if len(lines) > 1]
    assert len(writers) == 1
    with Journal.open(path) as journal:
        assert not any("Damage" in notice or "same number" in notice for notice in journal.notices)
