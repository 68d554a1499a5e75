"""A report laid out: one HTML page that needs nothing else, or Markdown."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Literal

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from askew.engine.phrases import chance_words, share_words
from askew.engine.report import pictures
from askew.engine.report.view import Report, build
from askew.engine.safe import safe
from askew.engine.story import CaseStory

Theme = Literal["light", "dark"]


def html(story: CaseStory, theme: Theme | None = None) -> str:
    """Return the report as one HTML page without scripts or links.

    Args:
        story: The case.
        theme: Light or dark; None follows the reader's own choice. Paper is always light.
    """
    report = build(story)
    drawings: dict[str, list[tuple[str, Markup]]] = {"belief": [], "face": []}
    for shape, width in (("wide", pictures.WIDE), ("narrow", pictures.NARROW)):
        drawings["belief"].append((shape, _drawn(pictures.belief(report.belief, width))))
        if report.face is not None:
            drawings["face"].append((shape, _drawn(pictures.face(report.face, width, story.unit))))
    page = _environment(escape=True).get_template("report.html.j2")
    return page.render(r=report, drawings=drawings, theme=theme, enlarged=_enlarged(report)) + "\n"


def markdown(story: CaseStory, drawings: Mapping[str, Sequence[str]] | None = None) -> str:
    """Return the report as Markdown (CommonMark with tables).

    Args:
        story: The case.
        drawings: Pictures in plain text, lines by title, each set as a block of its own at the end.
    """
    page = _environment(escape=False).get_template("report.md.j2")
    return page.render(r=build(story), drawings=drawings or {}) + "\n"


def _drawn(svg: str) -> Markup:
    return Markup(svg)  # noqa: S704 - engine.report.svg escapes every word and attribute it is given


def _enlarged(report: Report) -> str:
    if report.face is None:
        return ""
    return f"{pictures.enlargement(report.face, pictures.WIDE):.0f}"


@cache
def _environment(escape: bool) -> Environment:
    def source(name: str) -> str:
        return (files("askew.engine.report") / name).read_text(encoding="utf-8")

    made = Environment(
        loader=FunctionLoader(source),
        autoescape=escape,  # noqa: S701 - Markdown has its own escapes, the filters below
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["chance"] = chance_words
    made.filters["share"] = share_words
    made.filters["cell"] = _cell
    made.filters["plain"] = _plain
    return made


# What means something to Markdown, anywhere in a line.
_MARKS = str.maketrans({mark: f"\\{mark}" for mark in "\\`*_{}[]<>#|~$"} | {"&": "&amp;"})
# A list, or a line under a heading.
_BEGINS = re.compile(r"([-+=]+|\d{1,9}[.)])(\s|$)")


def _plain(text: str) -> str:
    """Return text that Markdown shows as it is, on one line."""
    out = safe(text).translate(_MARKS)
    return f"&#{ord(out[0])};{out[1:]}" if _BEGINS.match(out) else out


def _cell(text: str) -> str:
    """Return text for a cell of a table, never empty."""
    return _plain(text) or "&nbsp;"
