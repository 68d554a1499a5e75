"""The page and the Markdown as text: self-contained, everything escaped, nothing missing."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.report.document import html, markdown
from askew.engine.seam import Turn
from askew.engine.story import CaseStory, Event

from .stories import block_with_a_bar, nothing_said, ridged_plate

VOID = {"meta", "link", "br", "hr", "img"}


class Page(HTMLParser):
    """Tags with their attributes, the text, and whether every element is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "title"):
            self.words.append(data)


STORIES = [block_with_a_bar(), ridged_plate(), nothing_said()]


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.name)
def test_the_page_needs_nothing_else(story: CaseStory) -> None:
    text = html(story)
    page = Page(text)
    assert page.open == []
    assert {tag for tag, _ in page.tags}.isdisjoint(
        {"script", "img", "iframe", "object", "embed", "base", "form"}
    )
    for tag, attributes in page.tags:
        for name, value in attributes.items():
            assert not name.startswith("on"), (tag, name)
            if name in ("href", "src", "data", "action"):
                assert value == "data:,"
    assert "@import" not in text
    assert "url(" not in text
    assert re.findall(r"https?://[^\"' ]+", text.replace("http://www.w3.org/2000/svg", "")) == []
    assert "default-src 'none'" in text


@pytest.mark.parametrize("lay_out", [html, markdown])
def test_it_tells_the_whole_case(lay_out: object) -> None:
    assert callable(lay_out)
    text = lay_out(block_with_a_bar())
    for part in (
        "0.210 mm over 60 mm, corner closed",
        "Put right and proved",
        "cast iron",
        "front edge rises",
        "Took the bar or packing away",
        "85%",
        "86% of the error",
        "0.166 mm to 0.198 mm",
        "within 0.030 mm",
        "holds",
        "It would have to be 3.8 mm over 300",
        "take lighter cuts",
        "Switch off and isolate",
        "manual stand above this report",
    ):
        assert part in text, part
    assert "Nothing was understood" not in text


def test_what_is_not_settled_is_said() -> None:
    for text in (html(ridged_plate()), markdown(ridged_plate())):
        assert "Not settled yet" in text
        assert "No reading so far can tell these apart" in text
        assert "The step was felt, not measured." in text
        assert "believed, not proved" in text


def test_an_empty_case_is_a_page_too() -> None:
    for text in (html(nothing_said()), markdown(nothing_said())):
        assert "Nothing has been said yet" in text
        assert "Nothing has been changed yet." in text


NASTY = '<script>alert(1)</script> "x" & \' | `a` *b* [c](http://d) {{ 7*7 }} \x1b[31m \u202e'


def test_words_from_outside_cannot_act() -> None:
    story = CaseStory("<b>&", "mm", (Event("2031-05-03", NASTY, (), Turn(turn=1, doubtful=[NASTY])),))
    text = html(story)
    assert "<script" not in text
    assert "<b>&" not in text
    assert "{{ 7*7 }}" in text
    said = "".join(Page(text).words)
    assert "<script>alert(1)</script>" in said
    rows = [line for line in markdown(story).splitlines() if "alert" in line and line.startswith("|")]
    assert len(rows) == 1
    assert len(re.findall(r"(?<!\\)\|", rows[0])) == 5
    assert "<script" not in rows[0].replace("\\<", "")
    assert "\x1b" not in markdown(story)


@given(st.text(max_size=200))
@settings(max_examples=60, deadline=None)
def test_any_words_leave_the_page_and_the_tables_whole(words: str) -> None:
    story = CaseStory("case", "mm", (Event("2031-05-03", words, (), Turn(turn=1)),))
    assert Page(html(story)).open == []
    tables = [line for line in markdown(story).split("\n") if line.startswith("| 1 |")]
    assert len(tables) == 1
    assert len(re.findall(r"(?<!\\)(?:\\\\)*\|", tables[0])) == 5


def palette(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z0-9]+): (#[0-9a-f]{6});", block))


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_colours_can_be_told_from_the_paper(scheme: str) -> None:
    """WCAG 2.1: 4.5 to 1 for text (1.4.3), 3 to 1 for what is drawn (1.4.11)."""
    style = html(nothing_said())
    block = (
        style.split("color-scheme: light;")[1] if scheme == "light" else style.split("color-scheme: dark;")[1]
    )
    colours = palette(block.split("}")[0])
    for paper in (colours["paper"], colours["card"]):
        for name in ("ink", "soft", "good", "bad", "accent"):
            assert contrast(colours[name], paper) >= 4.5, name
        for name in ("c0", "c1", "c2", "c3", "c4", "bar", "against"):
            assert contrast(colours[name], paper) >= 3.0, name


def test_pictures_in_markdown_stand_in_blocks() -> None:
    text = markdown(block_with_a_bar(), {"Belief": ["A | B"], "Face": ["---"]})
    assert "### Belief\n\n```text\nA | B\n```" in text
    assert "### Face\n\n```text\n---\n```" in text
