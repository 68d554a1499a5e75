"""What was tried in one sentence and read in the next, and the near misses that keep their own matter."""

from __future__ import annotations

import pytest

from askew.engine.language import read
from askew.engine.language.words.word_tables import table
from askew.engine.observations import Reading


def readings(text: str) -> dict[str, float | None]:
    return {fact.id: fact.value for fact in read(text).facts if isinstance(fact, Reading)}


@pytest.mark.parametrize(
    ("text", "name", "mm"),
    [
        ("Heaved on the saddle with my boot against the base. The clock went 4 thou.", "push_pull_y", 0.1016),
        ("Levered the spindle nose with a bar of wood. Needle flicked 3 tenths.", "spindle_push_pull", 0.00762),
        ("Spun my square round on the same edge. There's a gap of 2 thou, standing open.", "square_flip", 0.0508),
        ("Slackened the vise with the clock on the job. The front edge dropped 0.03 mm.", "release_change", 0.03),
        (
            "Square on the vise bed, the jaw leans back 1 thou. Then the needle up the fixed jaw said 2 thou back.",
            "fixed_jaw_travel",
            0.0508,
        ),
    ],
)
def test_a_number_belongs_to_what_was_tried_before_it(text: str, name: str, mm: float) -> None:
    assert readings(text).get(name) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("I won't shove the saddle about. The corner is open 4 thou.", "push_pull_y"),
        ("Pushed the table back home. The ridge stands 3 thou proud.", "push_pull_x"),
        ("Turned my square round for the photo. The hole leans left 2 thou.", "square_flip"),
        ("Undid the vise for lunch. The step is 0.03 mm, back side high.", "release_change"),
        ("Should I lean on the head? Runout is 4 tenths.", "push_pull_z"),
    ],
)
def test_a_number_with_a_matter_of_its_own_keeps_it(text: str, name: str) -> None:
    assert name not in readings(text)


@pytest.mark.parametrize(
    ("text", "name", "mm"),
    [
        ("Let it sit till it was at room temperature. The error came down by 2 thou.", "cooled_change", -0.0508),
        ("After facing along the other axis the middle is low, 0.02 mm.", "cross_feed_hollow", 0.02),
        ("Turned it a quarter and cut it. Now the corner is open 4 thou.", "turned_error", 0.1016),
        ("Turned it a quarter and cut it, open 4 thou. Prior to that it was 2 closed.", "face_out_of_square", -0.0508),
    ],
)
def test_a_number_belongs_to_the_deed_before_it(text: str, name: str, mm: float) -> None:
    assert readings(text).get(name) == pytest.approx(mm)


def test_a_deed_alone_is_no_reading() -> None:
    assert not readings("Instead of pushing it I pulled it, same pass, other direction of travel, nothing else.")


def test_every_class_of_the_scenes_is_used() -> None:
    lists = table("scenes.toml")
    used = {"unreal"}
    for scene in lists["scenes"].values():
        used |= {name for way in scene.get("ways", ()) for part in way.split() for name in part.split("|")}
        used |= {name for key in ("never", "told", "mention") for name in scene.get(key, ())}
    assert set(lists["classes"]) == used & set(lists["classes"])


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("Miked the parallels. Front one is 1.2505, back one 1.2500.", 0.0127),
        ("Put both parallels in the mic: 30.04 mm for the nearer, 30.00 for the farther.", 0.04),
        ("Checked my parallels. 20.00 for the rear one and 20.03 for the front one, mm.", 0.03),
    ],
)
def test_heights_of_two_parallels_are_told_apart_from_them(text: str, mm: float) -> None:
    assert readings(text).get("parallels_height") == pytest.approx(mm)


def test_sizes_of_the_part_on_its_parallels_are_not_those_of_the_parallels() -> None:
    text = "Sat on the parallels, the job measures 20.05 at the front and 20.00 at the back."
    assert "parallels_height" not in readings(text)
