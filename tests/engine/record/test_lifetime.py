"""The life of a case as a state machine: told, undone, acted, crashed, reopened, looked at, short of disk."""

import errno
import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    precondition,
    rule,
)

from askew.engine.record.disk import Disk
from askew.engine.record.journal import Journal, NotSaved, Record
from askew.engine.record.lines import record_line
from askew.engine.record.turns import follow, standing
from askew.engine.safe import safe

RUNS = 1_000 if os.environ.get("ASKEW_FULL") else 200
STEPS = 50


class MoodyDisk(Disk):
    """A disk without fsync that is sometimes full."""

    full = False

    def write(self, fd: int, data: memoryview) -> int:
        if self.full:
            os.write(fd, data[: len(data) // 3])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return super().write(fd, data)

    def fsync(self, fd: int) -> None:
        pass


class Lifetime(RuleBasedStateMachine):
    """Holds a case beside a plain list of what was acknowledged, and compares them after every step."""

    viewers = Bundle("viewers")

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.path = self.folder / "case.jsonl"
        self.disk = MoodyDisk()
        self.time = 1_000_000
        self.acknowledged: list[Record] = []
        self.said: list[Record] = []
        self.turns: list[str] = []
        self.count = 0
        self.opened: list[Journal] = []

    @initialize()
    def begin(self) -> None:
        self.journal = self.open()

    def open(self) -> Journal:
        journal = Journal.open(self.path, create=True, disk=self.disk, clock=lambda: str(self.time))
        self.opened.append(journal)
        return journal

    def add(self, kind: str, data: dict[str, object]) -> None:
        self.time += 1
        try:
            record = self.journal.append(kind, data)
            self.acknowledged = list(self.journal.records)
        except NotSaved as error:
            assert self.disk.full
            record = error.record
        assert record.data == data
        self.said.append(record)

    @rule(text=st.text(st.characters(categories=["L", "N", "P", "Sm"]), max_size=20), value=st.floats(-1, 1))
    def tell(self, text: str, value: float) -> None:
        self.count += 1
        name = f"{self.count}"
        data = {
            "text": safe(text),
            "name": name,
            "facts": [{"kind": "reading", "id": "sweep_x", "value": value}],
        }
        self.add("turn", data)
        self.turns.append(name)

    @rule(back=st.integers(0, 4))
    def undo(self, back: int) -> None:
        self.add("undo", {"turns": back})
        self.turns = self.turns[: max(0, len(self.turns) - back)]

    @rule(action=st.sampled_from(["regripped", "cleaned", "trammed"]))
    def act(self, action: str) -> None:
        self.count += 1
        name = f"{self.count}"
        self.add("turn", {"name": name, "facts": [{"kind": "action", "id": action}]})
        self.turns.append(name)

    @rule(back=st.integers(1, 10**6))
    def set_the_clock_back(self, back: int) -> None:
        self.time -= back

    @rule(full=st.booleans())
    def fill_or_empty_the_disk(self, full: bool) -> None:
        self.disk.full = full

    @rule(share=st.integers(0, 100), nuls=st.integers(0, 9))
    def crash_while_writing(self, share: int, nuls: int) -> None:
        """Die in the middle of an entry: some of its bytes, then perhaps a hole, are in the file."""
        line = record_line(
            Record(self.journal.last_seq + 1, "0" * 8, "t", "turn", {"name": "torn", "facts": []})
        )
        torn = line[: share * (len(line) - 2) // 100] + b"\0" * nuls
        self.journal.close()
        with self.path.open("ab") as file:
            file.write(torn)
        self.come_back()

    @rule()
    def close_and_reopen(self) -> None:
        self.journal.close()
        self.come_back()

    def come_back(self) -> None:
        """Open again: what was never acknowledged is gone, unless there is room to save it."""
        self.disk.full = False
        self.journal = self.open()
        assert not self.journal.read_only
        assert self.journal.records == self.acknowledged
        self.said = list(self.acknowledged)
        self.turns = [record.data["name"] for record in standing(self.said)]

    @rule(target=viewers)
    def second_process_looks(self) -> tuple[Journal, list[Record]]:
        viewer = self.open()
        assert viewer.read_only
        assert viewer.records == self.acknowledged
        before = self.path.read_bytes()
        with pytest.raises(NotSaved):
            viewer.append("turn", {"name": "intruder"})
        assert self.path.read_bytes() == before
        return viewer, list(self.acknowledged)

    @rule(pair=consumes(viewers))
    def second_process_leaves(self, pair: tuple[Journal, list[Record]]) -> None:
        viewer, seen = pair
        assert viewer.records[: len(seen)] == seen
        viewer.close()

    @precondition(lambda self: hasattr(self, "journal"))
    @invariant()
    def agrees(self) -> None:
        assert self.journal.records == self.said
        assert self.journal.saved == (self.said == self.acknowledged)
        assert [record.data["name"] for record in standing(self.journal.records)] == self.turns
        assert [record.seq for record in self.said] == list(range(1, len(self.said) + 1))
        step_by_step: list[Record] = []
        for record in self.journal.since(0):
            follow(step_by_step, record)
        assert step_by_step == standing(self.journal.records)

    def teardown(self) -> None:
        for journal in self.opened:
            journal.close()
        shutil.rmtree(self.folder)


TestLifetime = Lifetime.TestCase
TestLifetime.settings = settings(
    max_examples=RUNS, stateful_step_count=STEPS, deadline=None, suppress_health_check=list(HealthCheck)
)
