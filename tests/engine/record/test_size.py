"""Long cases: what reading, adding and looking cost when there are very many entries."""

import time
import tracemalloc
from pathlib import Path

from askew.engine.record.disk import Disk
from askew.engine.record.journal import Journal
from askew.engine.record.lines import Header, Record, header_line, record_line
from askew.engine.record.store import Store
from askew.engine.record.turns import standing


def write_case(path: Path, count: int) -> None:
    header = Header(askew="case", format=1, id="0" * 16, knowledge="1", made="2026-05-01T10:00:00.000Z")
    fact = {
        "kind": "reading",
        "id": "sweep_x",
        "value": -0.0254,
        "over": 101.6,
        "sign_known": True,
        "bound": None,
    }
    lines = [header_line(header)]
    for seq in range(1, count + 1):
        data = {"text": f"sweep {seq} reads 1 thou low on the left", "facts": [fact], "unit": "thou"}
        lines.append(record_line(Record(seq, f"{seq:08x}", "2026-05-01T10:00:00.000Z", "turn", data)))
    path.write_bytes(b"".join(lines))


def test_a_case_of_100_000_entries_opens_in_seconds(tmp_path: Path, quick: Disk) -> None:
    path = tmp_path / "long.jsonl"
    write_case(path, 100_000)
    start = time.process_time()
    with Journal.open(path, disk=quick) as journal:
        took = time.process_time() - start
        assert len(journal.records) == 100_000
    print(f"100,000 entries, {path.stat().st_size / 1e6:.0f} MB: opened in {took:.2f} s of processor time")
    # About one second on the machine this was written on; the bound only has to catch a change of order.
    assert took < 6


def test_the_ten_thousandth_entry_costs_what_the_first_did(tmp_path: Path, quick: Disk, make_turn) -> None:
    with Journal.open(tmp_path / "a.jsonl", create=True, disk=quick) as journal:
        times = []
        for block in range(10):
            start = time.process_time()
            for number in range(1_000):
                journal.append(
                    "turn", make_turn(f"{block} {number}", kind="reading", id="sweep_x", value=0.1)
                )
            times.append(time.process_time() - start)
    print("10,000 entries, seconds per 1,000:", " ".join(f"{took:.3f}" for took in times))
    assert sorted(times)[5] < 3 * min(times[:3])
    assert len(standing(journal.records)) == 10_000


def test_opening_and_closing_leaves_nothing_in_memory(case: Path, quick: Disk) -> None:
    def many() -> None:
        for _ in range(300):
            with Journal.open(case, disk=quick) as journal:
                standing(journal.records)

    many()
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    many()
    grown = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    assert grown < 50_000


def test_two_hundred_cases_are_listed_at_once(tmp_path: Path) -> None:
    for number in range(200):
        write_case(tmp_path / f"2026-05-01-mill-{number}.jsonl", 30)
    start = time.process_time()
    assert len(Store(tmp_path).find()) == 200
    took = time.process_time() - start
    print(f"200 cases of 30 entries listed in {took:.2f} s")
    assert took < 3
