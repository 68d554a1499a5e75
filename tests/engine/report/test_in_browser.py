"""The page in a real browser: both colour schemes, phone and desktop, and on paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from askew.engine.report.document import html
from askew.engine.story import CaseStory

from .chromium import Measured, measured, needs_chromium, pdf
from .stories import block_with_a_bar, ridged_plate

pytestmark = needs_chromium

FRAMES = {
    "phone-light": (390, "light"),
    "phone-dark": (390, "dark"),
    "small-phone": (320, "light"),
    "desktop-light": (1200, "light"),
    "desktop-dark": (1200, "dark"),
}
STORIES = [block_with_a_bar, ridged_plate]


@pytest.fixture(scope="module", params=STORIES, ids=lambda make: make.__name__)
def pages(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Measured]:
    make: Callable[[], CaseStory] = request.param
    return measured(tmp_path_factory.mktemp("page"), html(make()), FRAMES)


def test_it_fits_every_width(pages: dict[str, Measured]) -> None:
    for name, page in pages.items():
        assert page.wide == FRAMES[name][0]
        assert page.scroll <= page.wide, name
        assert page.over == [], name


def test_it_follows_the_colour_scheme(pages: dict[str, Measured]) -> None:
    for name, page in pages.items():
        paper, ink = page.brightness("paper"), page.brightness("ink")
        assert (paper > 0.9) if "dark" not in name else (paper < 0.02), name
        high, low = max(paper, ink), min(paper, ink)
        assert (high + 0.05) / (low + 0.05) >= 7.0, name  # WCAG 2.1, success criterion 1.4.6


def test_drawings_are_there_and_legible(pages: dict[str, Measured]) -> None:
    for name, page in pages.items():
        assert page.drawings == 2, name
        assert page.clashes == [], name
        assert page.outside == [], name
        assert page.smallest >= (11.0 if page.wide >= 390 else 9.0), name


def test_every_section_is_there(pages: dict[str, Measured]) -> None:
    wanted = ["job", "Setup", "seen", "belief", "budget", "face", "done", "Proof", "Cautions"]
    for page in pages.values():
        assert len(page.sections) == len(wanted)
        for word, title in zip(wanted, page.sections, strict=True):
            assert word in title


def test_a_chosen_theme_beats_the_readers(tmp_path: Path) -> None:
    page = measured(tmp_path, html(block_with_a_bar(), "dark"), {"f": (800, "light")})["f"]
    assert page.brightness("paper") < 0.02
    page = measured(tmp_path, html(block_with_a_bar(), "light"), {"f": (800, "dark")})["f"]
    assert page.brightness("paper") > 0.9


def test_it_prints(tmp_path: Path) -> None:
    printed = pdf(tmp_path, html(block_with_a_bar(), "dark"))
    assert printed.startswith(b"%PDF-")
    sheets = len(re.findall(rb"/Type\s*/Page\b", printed))
    assert 2 <= sheets <= 5
