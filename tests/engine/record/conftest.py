import os
from pathlib import Path

import pytest

from askew.engine.record.disk import Disk
from askew.engine.record.journal import Journal


class QuickDisk(Disk):
    """Skips fsync, which proves nothing where no power is cut and costs most of the time."""

    def fsync(self, fd: int) -> None:
        """Do nothing."""


@pytest.fixture(scope="session")
def quick() -> Disk:
    return QuickDisk()


@pytest.fixture(scope="session")
def full() -> bool:
    """Whether the long form was asked for: `ASKEW_FULL=1 pytest ...`."""
    return bool(os.environ.get("ASKEW_FULL"))


def turn(text: str, **fact: object) -> dict[str, object]:
    """Return the data of a turn like those a consultation writes."""
    return {"text": text, "facts": [fact] if fact else [], "unit": None}


@pytest.fixture
def make_turn():
    return turn


@pytest.fixture
def case(tmp_path: Path, quick: Disk) -> Path:
    """Return a closed case file with six entries, some beyond ASCII."""
    path = tmp_path / "corner.jsonl"
    with Journal.open(path, create=True, knowledge="1", disk=quick) as journal:
        journal.append("turn", turn("it's a knee mill", kind="setup", key="machine", value="knee_mill"))
        journal.append(
            "turn", turn("out of square ½ thou", kind="reading", id="face_out_of_square", value=0.0127)
        )
        journal.append("note", {"text": 'blue toolbox,\nthird drawer: "the good square"'})
        journal.append(
            "turn", turn("sweep reads −2 µm", kind="reading", id="sweep_x", value=-0.002, over=300.0)
        )
        journal.append("undo", {"turns": 1})
        journal.append(
            "turn", turn("sweep reads 2 µm", kind="reading", id="sweep_x", value=0.002, over=300.0)
        )
    return path
