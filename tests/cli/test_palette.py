"""Colours: readable on black and on white (WCAG 2.1, relative luminance and contrast ratio), never alone."""

from __future__ import annotations

import io
import re

import pytest
from scripted import TURNS

from askew.cli.emit import emit, encodable, to_ascii
from askew.cli.lines import Span
from askew.cli.palette import COLOURS, PROMPT_STYLE
from askew.cli.screens.turn import turn_screen
from askew.cli.view import View
from askew.knowledge.load import load

Colour = tuple[int, int, int]


def luminance(colour: Colour) -> float:
    """Relative luminance as WCAG 2.1 defines it."""
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in (v / 255 for v in colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio as WCAG 2.1 defines it."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def parsed(text: str) -> Colour:
    """Return a colour from its hexadecimal form."""
    red, green, blue = (int(text[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue


def test_the_measure_is_that_of_the_guideline() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.01)  # from memory


@pytest.mark.parametrize("style", COLOURS)
def test_every_colour_is_readable_on_black_and_on_white(style: str) -> None:
    colour = COLOURS[style]  # type: ignore[index]
    assert contrast(colour, (0, 0, 0)) >= 4.5
    assert contrast(colour, (255, 255, 255)) >= 4.5
    # It is in the 6 x 6 x 6 cube or the grey ramp of the 256 colours, so that no terminal rounds it away.
    cube = {0, 95, 135, 175, 215, 255}
    assert set(colour) <= cube or (len(set(colour)) == 1 and (colour[0] - 8) % 10 == 0)


@pytest.mark.parametrize("name", PROMPT_STYLE)
def test_every_colour_of_the_prompt_is_readable(name: str) -> None:
    colours = re.findall(r"(bg:)?(#[0-9a-f]{6})", PROMPT_STYLE[name])
    back = [parsed(colour) for ground, colour in colours if ground]
    front = [parsed(colour) for ground, colour in colours if not ground]
    for colour in front:
        for ground in back or [(0, 0, 0), (255, 255, 255)]:
            assert contrast(colour, ground) >= 4.5


def test_colour_adds_nothing_that_the_text_does_not_say() -> None:
    plain, coloured = io.StringIO(), io.StringIO()
    for turn in TURNS:
        emit(turn_screen(turn, load(), View(width=70)), View(width=70), plain)
        emit(turn_screen(turn, load(), View(width=70)), View(width=70, colour=True), coloured)
    bare = re.sub(r"\x1b\[[0-9;]*m", "", coloured.getvalue())
    assert [line.rstrip() for line in bare.splitlines()] == plain.getvalue().splitlines()


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "latin-1", "cp437", "utf-8"])
def test_every_screen_can_be_written_in_every_code_page(encoding: str) -> None:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding, newline="\n")
    for turn in TURNS:
        emit(turn_screen(turn, load(), View(width=70)), View(width=70), stream)
    shown = raw.getvalue().decode(encoding)
    assert "81% of the error" in shown
    assert "\x1a" not in shown


def test_ascii_is_ascii_and_keeps_the_meaning() -> None:
    out = io.StringIO()
    view = View(width=70, ascii=True)
    emit(
        [(Span("\u00b10.5\u00b0, 3 \u00b5m, caf\u00e9, \u6f22"),), *turn_screen(TURNS[0], load(), view)],
        view,
        out,
    )
    assert out.getvalue().isascii()
    assert out.getvalue().startswith("+-0.5 deg, 3 um, cafe, ?\n")
    assert "########.. would make 81% of the error" in out.getvalue()


def test_what_an_encoding_has_is_left_alone() -> None:
    assert encodable("\u00b5 \u2588", "cp1252") == "\u00b5 #"
    assert to_ascii("plain") == "plain"
