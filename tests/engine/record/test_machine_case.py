"""What a case leaves in the record of its machine, and what it does not."""

from __future__ import annotations

from askew.engine.record.machine import checked
from askew.engine.record.machine_case import entries_of
from askew.engine.seam import HeardOut, SizeOut, SuspectOut, Turn, VerdictOut
from askew.engine.story import Event


def reading(id_: str, value: float, over: float | None = None, **more: object) -> HeardOut:
    return HeardOut(kind="reading", id=id_, value=value, over=over, sign_known=True, **more)


def suspect(source: str, mid: float, half: float, unit: str) -> SuspectOut:
    size = SizeOut(mid=mid, low=mid - half, high=mid + half, unit=unit)
    return SuspectOut(source=source, probability=0.9, share=0.5, size=size, because=[])


def verdict(*sources: str) -> Turn:
    return Turn(
        turn=1,
        suspects=[
            suspect("tram", 3e-4, 3e-5, "slope"),
            suspect("jaw_lift", 0.1, 0.01, "mm"),
            suspect("chip_behind_jaw", 0.1, 0.01, "mm"),
        ],
        verdict=VerdictOut(sources=list(sources), explained=0.9, unexplained=0.0, remedies=[], verify=[]),
    )


def act(id_: str) -> HeardOut:
    return HeardOut(kind="action", id=id_, words="did it")


def event(*heard: HeardOut, turn: Turn | None = None) -> Event:
    return Event("2031-04-05", "", heard, turn or Turn(turn=1))


def test_readings_of_the_machine_are_kept_and_those_of_the_part_are_not() -> None:
    entries = entries_of(
        "plate-4", [event(reading("sweep_x", 0.02, 300.0), reading("hollow_across", 0.004, 60.0))]
    )
    assert [(entry.id, entry.value, entry.over, entry.case) for entry in entries] == [
        ("sweep_x", 0.02, 300.0, "plate-4")
    ]


def test_what_is_vague_is_not_kept() -> None:
    vague = [
        reading("sweep_x", 0.02, 300.0, bound="at_least"),
        reading("sweep_x", 0.02),  # over a length nobody gave
        HeardOut(kind="reading", id="sweep_x", value=0.02, over=300.0, sign_known=False),
        HeardOut(kind="reading", id="sweep_x", value=None, over=300.0),
    ]
    assert entries_of("x", [event(*vague)]) == []
    (about,) = entries_of("x", [event(reading("sweep_x", 0.02, 300.0, bound="about"))])
    assert about.sd is not None


def test_only_what_moves_the_machine_is_a_correction() -> None:
    entries = entries_of("x", [event(act("trammed"), act("regripped"), act("recut"), act("shimmed"))])
    assert [entry.id for entry in entries] == ["trammed", "shimmed"]


def test_the_verdict_stands_before_what_put_it_right() -> None:
    events = [event(turn=verdict("tram", "jaw_lift", "chip_behind_jaw")), event(act("trammed")), event()]
    entries = entries_of("x", events)
    assert [(entry.kind, entry.id) for entry in entries] == [
        ("verdict", "tram"),
        ("verdict", "jaw_lift"),
        ("correction", "trammed"),
    ]
    tram = entries[0]
    assert tram.value is not None
    assert tram.sd is not None
    assert (tram.over, round(tram.value, 9)) == (300.0, 0.09)
    assert abs(tram.sd - 3e-5 * 300 / 1.645) < 1e-6
    for entry in entries:
        checked(entry)


def test_a_case_without_a_verdict_leaves_none() -> None:
    assert entries_of("x", [event(), event()]) == []
