"""What is wrong in a knowledge file is told with file, table and key."""

import re
import shutil
from pathlib import Path

import pytest

import askew.knowledge
from askew.knowledge.load import KnowledgeError, load, load_from

SHIPPED = Path(askew.knowledge.__path__[0])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for file in SHIPPED.glob("*.toml"):
        shutil.copy(file, tmp_path)
    shutil.copytree(SHIPPED / "pictures", tmp_path / "pictures")
    return tmp_path


def change(folder: Path, file: str, old: str, new: str) -> None:
    """Replace the first match of a pattern in a file; fail where there is none."""
    text, count = re.subn(old, new, (folder / file).read_text(), count=1, flags=re.M)
    assert count == 1, f"{file} has no {old!r}"
    (folder / file).write_text(text)


def refused(folder: Path) -> str:
    with pytest.raises(KnowledgeError) as caught:
        load_from(folder)
    message = str(caught.value)
    assert "\n" not in message
    return message


def test_an_unchanged_copy_loads_and_is_the_same(folder: Path) -> None:
    assert load_from(folder) == load()


def test_load_reads_once() -> None:
    assert load() is load()


@pytest.mark.parametrize(
    "file",
    [
        f"{name}.toml"
        for name in (
            "sources",
            "readings",
            "signs",
            "actions",
            "commands",
            "setup",
            "checks",
            "remedies",
            "cautions",
            "instruments",
            "machines",
            "states",
            "glossary",
        )
    ],
)
def test_a_missing_file_is_named(folder: Path, file: str) -> None:
    (folder / file).unlink()
    assert refused(folder) == f"{file}: the file is missing"


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        # Missing fields.
        ("sources.toml", r'^name = "head tipped.*\n', "", ["sources.toml", "[nod]", "name", "required"]),
        ("checks.toml", r"^minutes = 6\n", "", ["checks.toml", "[pin_in_hole]", "minutes", "required"]),
        (
            "checks.toml",
            r'^explain = "The finish is.*\n',
            "",
            ["checks.toml", "[look_at_cut]", "explain", "required"],
        ),
        (
            "remedies.toml",
            r'^arithmetic = "tram"\n',
            "",
            ["remedies.toml", "[tram_head]", "arithmetic", "required"],
        ),
        (
            "glossary.toml",
            r'^explain = "A thousandth.*\n',
            "",
            ["glossary.toml", "[thou]", "explain", "required"],
        ),
        (
            "instruments.toml",
            r"^basis = .*\n",
            "",
            ["instruments.toml", "[dial_indicator]", "basis", "required"],
        ),
        # Wrong units, types, numbers.
        ("sources.toml", r'^unit = "slope"', 'unit = "degree"', ["sources.toml", "[tram]", "unit", "slope"]),
        (
            "sources.toml",
            r"^prior = .*",
            "prior = 1.5",
            ["sources.toml", "[tram]", "size.", "prior", "less than 1"],
        ),
        ("sources.toml", r"^healthy = .*", "healthy = nan", ["sources.toml", "[tram]", "healthy"]),
        (
            "sources.toml",
            r"^trouble = .*",
            "trouble = 1e-9",
            ["sources.toml", "[tram]", "trouble", "larger than healthy"],
        ),
        (
            "readings.toml",
            r"^limit = 25.0",
            "limit = inf",
            ["readings.toml", "[face_out_of_square]", "limit", "finite"],
        ),
        (
            "readings.toml",
            r"^scatter = 0.008",
            'scatter = "0.008"',
            ["readings.toml", "[face_out_of_square]", "scatter"],
        ),
        (
            "checks.toml",
            r"^minutes = 1\n",
            "minutes = 0\n",
            ["checks.toml", "[look_at_cut]", "minutes", "greater than 0"],
        ),
        (
            "checks.toml",
            r"^risk = 0.3\n",
            "risk = 3\n",
            ["checks.toml", "[look_for_chips]", "risk", "less than or equal to 1"],
        ),
        ("states.toml", r"^enter = 2.0", "enter = -2.0", ["states.toml", "[part_gripped]", "enter"]),
        (
            "signs.toml",
            r"at_least = 0.004, blur",
            'at_least = "a lot", blur',
            ["signs.toml", "[light_in_middle]", "evidence.yes.0.at_least"],
        ),
        (
            "remedies.toml",
            r'^arithmetic = "tram"',
            'arithmetic = "guess"',
            ["remedies.toml", "[tram_head]", "arithmetic"],
        ),
        # Unknown fields.
        (
            "checks.toml",
            r"^minutes = 1\n",
            "minutes = 1\nminuets = 1\n",
            ["checks.toml", "[look_at_cut]", "minuets", "not permitted"],
        ),
        (
            "cautions.toml",
            r"^when = ",
            "whenn = ",
            ["cautions.toml", "[isolate_power]", "whenn", "not permitted"],
        ),
        # Ids that lead nowhere.
        (
            "checks.toml",
            r'^gives = \["heel_marks"',
            'gives = ["heal_marks"',
            ["checks.toml", "[look_at_cut]", "gives", "'heal_marks'"],
        ),
        (
            "checks.toml",
            r'instruments = \[\["square"\]',
            'instruments = [["sqare"]',
            ["checks.toml", "[measure_twice]", "instruments", "'sqare'"],
        ),
        (
            "checks.toml",
            r'^states = \["part_gripped"\]',
            'states = ["part_griped"]',
            ["checks.toml", "[look_for_chips]", "states", "'part_griped'"],
        ),
        (
            "checks.toml",
            r'^disturbs = \["regripped"\]',
            'disturbs = ["regriped"]',
            ["checks.toml", "[look_for_chips]", "'regriped'"],
        ),
        (
            "checks.toml",
            r'^instead = "indicator_up_reference"',
            'instead = "nothing"',
            ["checks.toml", "[square_on_part]", "instead", "'nothing'"],
        ),
        (
            "checks.toml",
            r"^more_than = \{ passes",
            "more_than = { pases",
            ["checks.toml", "[fingernail]", "'pases'"],
        ),
        (
            "checks.toml",
            r'^known = \["wall_side"\]',
            'known = ["wal_side"]',
            ["checks.toml", "[up_the_wall]", "known", "'wal_side'"],
        ),
        (
            "checks.toml",
            r'^after = \["sweep_x"',
            'after = ["swep_x"',
            ["checks.toml", "[sweep_again]", "after", "'swep_x'"],
        ),
        (
            "checks.toml",
            r'moving_jaw_contact = \["bar"',
            'moving_jaw_contact = ["rod"',
            ["checks.toml", "[regrip_without_bar]", "moving_jaw_contact", "'rod'"],
        ),
        (
            "checks.toml",
            r'^cautions = \["sharp_burrs"\]',
            'cautions = ["blunt"]',
            ["checks.toml", "[fingernail]", "cautions", "'blunt'"],
        ),
        (
            "checks.toml",
            r"^minutes_on = \{ bench_mill",
            "minutes_on = { bench",
            ["checks.toml", "[small_cutter_cut]", "minutes_on", "'bench'"],
        ),
        (
            "checks.toml",
            r'^picture = "heel_marks"',
            'picture = "heels"',
            ["checks.toml", "[look_at_cut]", "picture", "'heels'"],
        ),
        (
            "remedies.toml",
            r'^serves = \["tram"\]',
            'serves = ["trams"]',
            ["remedies.toml", "[tram_head]", "serves", "'trams'"],
        ),
        (
            "remedies.toml",
            r'^does = \["shimmed"\]',
            'does = ["shim"]',
            ["remedies.toml", "[shim_column]", "does", "'shim'"],
        ),
        (
            "remedies.toml",
            r'^verify = \["sweep_x"',
            'verify = ["swept"',
            ["remedies.toml", "[tram_head]", "verify", "'swept'"],
        ),
        (
            "cautions.toml",
            r'^when = \["power_off"',
            'when = ["power_of"',
            ["cautions.toml", "[isolate_power]", "when", "'power_of'"],
        ),
        (
            "states.toml",
            r'^does = \["regripped"\]',
            'does = ["gripped"]',
            ["states.toml", "[part_gripped]", "does", "'gripped'"],
        ),
        (
            "actions.toml",
            r'^redraws = \["tram"',
            'redraws = ["tramp"',
            ["actions.toml", "[trammed]", "redraws", "'tramp'"],
        ),
        (
            "sources.toml",
            r'needs = \{ machine = \["bench_mill"\]',
            'needs = { machine = ["bench"]',
            ["sources.toml", "[column_swing]", "needs", "'bench'"],
        ),
        (
            "sources.toml",
            r"^\[tram\.size\.bench_mill\]",
            "[tram.size.big_mill]",
            ["sources.toml", "[tram]", "size", "'big_mill'"],
        ),
        (
            "readings.toml",
            r'^over = "sweep_diameter"',
            'over = "sweep"',
            ["readings.toml", "[sweep_x]", "over", "'sweep'"],
        ),
        (
            "signs.toml",
            r'reading = "step", outside',
            'reading = "stepp", outside',
            ["signs.toml", "[step_felt]", "evidence.yes", "'stepp'"],
        ),
        (
            "setup.toml",
            r"^labels = \{ bench_mill",
            "labels = { bench",
            ["setup.toml", "[machine]", "labels", "'bench'"],
        ),
        # An id or a key twice.
        ("checks.toml", r"\Z", '\n[other_corner]\nname = "again"\n', ["checks.toml", "[other_corner]"]),
        (
            "checks.toml",
            r"^minutes = 1\n",
            "minutes = 1\nminutes = 2\n",
            ["checks.toml", "[look_at_cut]", "minutes"],
        ),
        # What a file of tables cannot be.
        ("glossary.toml", r"^\[thou\]", "[Thou]", ["glossary.toml", "[Thou]", "small letters"]),
        ("glossary.toml", r"^\[thou\]", "[thou", ["glossary.toml", "line"]),
        ("glossary.toml", r"\A", 'version = "2"\n', ["glossary.toml", "[version]"]),
    ],
)
def test_a_fault_is_told_with_file_table_and_key(
    folder: Path, file: str, old: str, new: str, told: list[str]
) -> None:
    change(folder, file, old, new)
    message = refused(folder)
    for part in told:
        assert part in message, message


def test_a_source_that_nothing_serves_is_told(folder: Path) -> None:
    change(folder, "remedies.toml", r'^serves = \["jaw_rack"\]', 'serves = ["jaw_lift"]')
    assert refused(folder) == "remedies.toml: no remedy serves 'jaw_rack'"


def test_a_sign_that_no_check_gives_is_told(folder: Path) -> None:
    change(folder, "checks.toml", r'^gives = \["ink_print"\]', 'gives = ["paper_pulls_out"]')
    assert refused(folder) == "checks.toml: no check gives 'ink_print'"


def test_a_caution_that_nothing_calls_for_is_told(folder: Path) -> None:
    with (folder / "cautions.toml").open("a") as file:
        file.write('\n[lightning]\ntext = "Not in a storm."\n')
    assert refused(folder) == "cautions.toml: [lightning]: nothing calls for it"


def test_states_that_do_not_match_are_told(folder: Path) -> None:
    change(folder, "states.toml", r"^enter = 17.0", "enter = 3.0")
    assert "states.toml: [vise_on] opposite" in refused(folder)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("FROM ABOVE\n\u2014\n--\nSeen from above.\n", "line 2: a drawing is printable ASCII"),
        ("FROM ABOVE\n\t|\n--\nSeen from above.\n", "line 2: a drawing is printable ASCII"),
        ("FROM ABOVE\n" + "=" * 59 + "\n--\nSeen from above.\n", "line 2: 59 columns, at most 58"),
        ("FROM ABOVE\n====\n", "give its sentences after a line of two hyphens"),
        ("\n--\nSeen from above.\n", "should have at least 1 character"),
    ],
)
def test_a_drawing_that_will_not_do_is_told(folder: Path, text: str, told: str) -> None:
    (folder / "pictures" / "hollow.txt").write_text(text, encoding="utf-8")
    message = refused(folder)
    assert message.startswith("pictures/hollow.txt: ")
    assert told in message


def test_a_drawing_that_nothing_shows_is_told(folder: Path) -> None:
    shutil.copy(folder / "pictures" / "hollow.txt", folder / "pictures" / "moon.txt")
    assert refused(folder) == "pictures/moon.txt: nothing shows it"


def test_a_missing_drawing_is_told_where_it_is_called_for(folder: Path) -> None:
    (folder / "pictures" / "jaw_rack.txt").unlink()
    assert refused(folder) == "sources.toml: [jaw_rack] picture: no picture 'jaw_rack'"


def test_tables_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="frozen"):
        load().checks["ink"].minutes = 1.0  # type: ignore[misc]
