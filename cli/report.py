"""`askew report`: one file that tells a whole case."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.exits import NO_CASE, OK, USAGE, Refusal
from askew.cli.say import say

if TYPE_CHECKING:
    from askew.engine.story import CaseStory

PLOT_WIDTH = 72


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew report`."""
    parser.add_argument(
        "case",
        nargs="?",
        metavar="CASE",
        help="name of the case, or enough of its beginning, or a file; else the last",
    )
    parser.add_argument(
        "--to",
        metavar="FILE",
        help="where to write it, ending in .html or .md; else CASE.html here; - writes to the output",
    )
    parser.add_argument(
        "--screen", action="store_true", help="show the pictures here instead of writing a file"
    )
    parser.add_argument("--markdown", action="store_true", help="Markdown instead of HTML")
    parser.add_argument("--replace", action="store_true", help="write over a file that exists")


def run(args: argparse.Namespace) -> int:
    """Write the report, say where, and return the exit status."""
    from askew.engine.record.private import NotWritten, write_private

    path = case_path(args.case)
    if args.screen:
        return _show(story_of(path, args.unit), args)
    target = Path(args.to) if args.to not in (None, "-") else None
    if target is not None and target.suffix.lower() not in (".html", ".htm", ".md"):
        raise Refusal("The report's file must end in .html or .md.", USAGE)
    as_markdown = args.markdown or (target is not None and target.suffix.lower() == ".md")
    text = _laid_out(story_of(path, args.unit), as_markdown)
    if args.to == "-":
        sys.stdout.write(text)
        return OK
    target = target or Path(f"{path.stem}{'.md' if as_markdown else '.html'}")
    try:
        write_private(target, text, replace=args.replace)
    except NotWritten as error:
        hint = " Or add --replace." if "exists already" in str(error) else ""
        raise Refusal(f"{error}{hint}") from None

    say(f"Wrote {target}", args)
    return OK


def case_path(name: str | None) -> Path:
    """Return the file of a case by its name, the beginning of it, or its path; the last one without.

    Raises:
        Refusal: There is none.
    """
    from askew.engine.record.journal import JournalError
    from askew.engine.record.store import Store

    if name is not None and Path(name).is_file():
        return Path(name)
    try:
        path = Store().path(name) if name is not None else Store().latest()
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None
    if path is None:
        raise Refusal("There is no case yet; say what came out wrong first: askew talk.", NO_CASE)
    return path


def story_of(path: Path, unit: str | None = None) -> CaseStory:
    """Return the story of the case in a file, told in `unit` where it is given.

    Raises:
        Refusal: The file is no case.
    """
    from dataclasses import replace

    from askew.engine.record.journal import Journal, JournalError
    from askew.engine.report.replay import story

    try:
        with Journal.open(path, write=False) as journal:
            told = story(journal, path.stem)
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None
    return replace(told, unit="in" if unit == "in" else "mm") if unit else told


def _show(story: CaseStory, args: argparse.Namespace) -> int:
    from askew.cli.emit import emit
    from askew.cli.lines import BLANK, Line, wrap
    from askew.cli.screens.said import drawn_lines
    from askew.cli.view import view_from
    from askew.engine.report.view import build

    view = view_from(args)
    report = build(story)
    lines: list[Line] = wrap(report.headline, view, style="title")
    # For a screen reader no picture is drawn: no width is given, and the numbers stand alone.
    for title, drawing in pictures(story, 0 if view.linear else view.width, ascii_=view.ascii).items():
        lines += [BLANK, *wrap(title, view, style="strong"), *drawn_lines(drawing, view)]
    emit(lines, view)
    return OK


def pictures(story: CaseStory, width: int, *, ascii_: bool = False) -> dict[str, list[str]]:
    """Return the pictures of a case as lines of text, by title: belief, budget, face, sweep."""
    from askew.cli.plots.belief import belief
    from askew.cli.plots.budget import budget
    from askew.cli.plots.clock import clock
    from askew.cli.plots.face import face
    from askew.engine.report.shapes import circle_of
    from askew.engine.report.view import build

    report = build(story)
    found: dict[str, list[str]] = {}
    if report.belief:
        found["Belief over the checks"] = belief(report.belief, width, ascii_=ascii_)
    if report.budget:
        found["Error budget"] = budget(report.budget, width, ascii_=ascii_)
    if report.face is not None:
        found["The face, seen along the feed"] = face(report.face, story.unit, width, ascii_=ascii_)
    if report.sweep is not None:
        circle = circle_of(report.sweep.x, report.sweep.y)
        found["The last sweep"] = clock(circle, report.sweep.over, story.unit, width, ascii_=ascii_)
    return found


def _laid_out(story: CaseStory, as_markdown: bool) -> str:
    from askew.engine.report.document import html, markdown

    return markdown(story, pictures(story, PLOT_WIDTH, ascii_=True)) if as_markdown else html(story)
