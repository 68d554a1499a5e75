"""Invented cases told by hand, turn by turn, for the tests of the report."""

from __future__ import annotations

from askew.engine.seam import (
    ClearedOut,
    ErrorOut,
    HeardOut,
    NextOut,
    SizeOut,
    SuspectOut,
    Turn,
    VerdictOut,
)
from askew.engine.setup import Setup
from askew.engine.story import CaseStory, Event, Range

SETUP = Setup(
    machine="knee_mill",
    cutter_diameter=80.0,
    passes=1,
    feed_axis="x",
    part_across=60.0,
    part_along=90.0,
    part_height=60.0,
    part_depth=60.0,
    material="cast_iron",
    moving_jaw_contact="bar",
    grip_height=40.0,
    instruments=("dial_indicator", "square", "feelers"),
    tolerance=0.03,
)


def suspect(
    source: str, chance: float, share: float, mid: float, spread: float, unit: str = "mm"
) -> SuspectOut:
    size = SizeOut(mid=mid, low=mid - spread, high=mid + spread, unit=unit)
    return SuspectOut(source=source, probability=chance, share=share, size=size, because=[])


def reading(id_: str, value: float | None, over: float | None = None, **more: object) -> HeardOut:
    return HeardOut(kind="reading", id=id_, value=value, over=over, unit="mm", sign_known=True, **more)


def block_with_a_bar() -> CaseStory:
    """A cast block held with a round bar comes out 0.21 mm out of square; the bar rolled it."""
    cleared = ClearedOut(
        source="table_droop",
        needed=None,
        plausible=0.02,
        unit="mm",
        because="It hollows along the table and leans nothing.",
    )
    head = ClearedOut(
        source="tram",
        needed=0.0127,
        plausible=0.0008,
        unit="slope",
        because="It would have to be 3.8 mm over 300; what is plausible is 0.24.",
    )
    start = [
        suspect("jaw_lift", 0.42, 0.45, 0.09, 0.12),
        suspect("off_centre_push", 0.38, 0.40, 0.08, 0.12),
        suspect("chip_behind_jaw", 0.17, 0.11, 0.02, 0.06),
        suspect("nod", 0.12, 0.03, 0.0001, 0.0004, "slope"),
        suspect("square_error", 0.06, 0.01, 0.00003, 0.0002, "slope"),
    ]
    rise = [
        suspect("off_centre_push", 0.55, 0.52, 0.11, 0.07),
        suspect("jaw_lift", 0.51, 0.41, 0.085, 0.07),
        suspect("chip_behind_jaw", 0.08, 0.03, 0.005, 0.03),
        suspect("nod", 0.09, 0.02, 0.00006, 0.0003, "slope"),
        suspect("square_error", 0.05, 0.01, 0.00003, 0.0002, "slope"),
    ]
    plain = [
        suspect("off_centre_push", 0.985, 0.86, 0.182, 0.016),
        suspect("jaw_lift", 0.11, 0.07, 0.014, 0.01),
        suspect("chip_behind_jaw", 0.05, 0.02, 0.004, 0.012),
        suspect("nod", 0.07, -0.03, -0.0001, 0.00012, "slope"),
        suspect("square_error", 0.05, 0.01, 0.00003, 0.0002, "slope"),
        suspect("fixed_jaw_lean", 0.04, 0.01, 0.00003, 0.0001, "slope"),
    ]
    check = NextOut(
        check="clamp_watch",
        minutes=3,
        readings=["clamp_rise"],
        how=["Set an indicator on the front top edge."],
        expects=[],
        because="most learned per minute",
    )
    cautions = ["isolate_power", "eye_protection"]
    verdict = VerdictOut(
        sources=["off_centre_push"],
        explained=0.86,
        unexplained=0.012,
        remedies=["bar_for_taper"],
        verify=["face_out_of_square", "clamp_rise_plain"],
    )
    said: list[tuple[str, list[HeardOut], Turn]] = [
        (
            "the top is out of square, corner closed 0.21 over 60",
            [reading("face_out_of_square", -0.21, 60.0)],
            Turn(turn=1, suspects=start, cleared=[cleared, head], next=check, cautions=cautions, spent=3),
        ),
        (
            "knee mill, 80 mm face mill, one pass, cast iron, round bar at the moving jaw",
            [
                HeardOut(kind="setup", id="machine", value="knee_mill"),
                HeardOut(kind="setup", id="cutter_diameter", value=80.0),
            ],
            Turn(turn=2, suspects=start, cleared=[cleared, head], next=check, cautions=cautions, spent=3),
        ),
        (
            "dial says <0.19> & up when I tighten it; 100% sure",
            [reading("clamp_rise", 0.19)],
            Turn(turn=3, suspects=rise, cleared=[cleared, head], next=check, cautions=cautions, spent=6),
        ),
        (
            "nonsense |pipe| *star*",
            [],
            Turn(
                turn=3,
                error=ErrorOut(message="Nothing was understood.", hint="Say what you measured."),
                spent=6,
            ),
        ),
        (
            "without the bar it rises 0.014",
            [
                HeardOut(kind="action", id="bar_removed", words="without the bar"),
                reading("clamp_rise_plain", 0.014),
            ],
            Turn(
                turn=4,
                suspects=plain,
                cleared=[cleared, head],
                verdict=verdict,
                cautions=[*cautions, "Less grip: take lighter cuts."],
                spent=10,
            ),
        ),
        (
            "cut it again with paper, hollow 0.004",
            [HeardOut(kind="action", id="recut"), reading("hollow_across", 0.004, 60.0)],
            Turn(
                turn=5, suspects=plain, cleared=[cleared, head], verdict=verdict, cautions=cautions, spent=20
            ),
        ),
        (
            "now square within 0.012, closed",
            [reading("face_out_of_square", -0.012, 60.0)],
            Turn(
                turn=6, suspects=plain, cleared=[], verdict=verdict, cautions=cautions, closed=True, spent=21
            ),
        ),
    ]
    return CaseStory(
        name="motor-foot",
        unit="mm",
        events=tuple(
            Event("2031-05-0" + str(3 + i // 5), t, tuple(h), turn) for i, (t, h, turn) in enumerate(said)
        ),
        setup=SETUP,
        predicted={
            "face_out_of_square": Range(-0.221, -0.203, -0.185),
            "hollow_across": Range(0.0, 0.0012, 0.004),
        },
        sizes={"off_centre_push": 0.182, "jaw_lift": 0.014, "nod": -0.0001, "tram": 0.00008},
    )


def ridged_plate() -> CaseStory:
    """A wide plate cut in three passes has a step; not settled, in inches, two suspects nobody told apart."""
    step = 0.0009 * 25.4
    suspects = [
        suspect("nod", 0.64, 0.7, 0.0004, 0.0002, "slope"),
        suspect("spindle_growth", 0.36, 0.5, 0.012, 0.011),
        suspect("stress_bow", 0.1, -0.2, -0.004, 0.01),
    ]
    return CaseStory(
        name="wide-plate",
        unit="in",
        events=(
            Event(
                "2031-06-01",
                "a step I can feel, back side higher, 9 tenths",
                (reading("step", step),),
                Turn(
                    turn=1,
                    suspects=suspects,
                    together=[["nod", "spindle_growth"]],
                    doubtful=["The step was felt, not measured."],
                ),
            ),
        ),
        setup=Setup(
            machine="bench_mill",
            cutter_diameter=50.8,
            passes=3,
            pass_spacing=38.0,
            part_across=127.0,
            part_along=200.0,
        ),
        sizes={"nod": -0.0004, "spindle_growth": 0.012, "tram": 0.0002},
        predicted={"step": Range(0.01, 0.02, 0.03)},
    )


def nothing_said() -> CaseStory:
    """A case in which nothing has been said."""
    return CaseStory(name="empty", unit="mm", events=())
