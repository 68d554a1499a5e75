"""`askew foresee`: what a cut will look like and read, or how far out it would have to be."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from askew.cli.exits import OK, REFUSED, Refusal

if TYPE_CHECKING:
    from askew.cli.lines import Line
    from askew.cli.view import View
    from askew.engine.foresee import Foresight, Needed, Request
    from askew.engine.units import Habit

MOST_CHARACTERS = 64 * 1024
"""Longest request that is read from standard input."""

SHOWN = 5e-4
"""Readings smaller than this (mm) are left out of the list for people: nothing at a machine shows them."""

_LENGTH = re.compile(r"([-+]?\d+(?:\.\d*)?|[-+]?\.\d+)(e[-+]?\d{1,2})?\s*([a-z_]*)", re.IGNORECASE)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew foresee`."""
    parser.add_argument(
        "words", nargs="*", help='the cut in plain words, such as "80 mm cutter, face 60 wide"'
    )
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="a fact of the setup by its key, such as cutter_diameter=2in or feed_axis=y",
    )
    parser.add_argument(
        "--source",
        action="append",
        default=[],
        metavar="NAME=SIZE",
        help="a source of error: a length (jaw_lift=0.2mm), or a slope (tram=5.5thou/24in, tram=0.0003)",
    )
    parser.add_argument(
        "--needed",
        metavar="READING=VALUE",
        help="the other way round: how far out each source would have to be, alone, to make this reading",
    )
    parser.add_argument("--svg", metavar="FILE", type=Path, help="also write the drawing to this file")
    parser.add_argument(
        "--json", action="store_true", help="read the request from standard input and answer as one JSON line"
    )


def run(args: argparse.Namespace) -> int:
    """Do it, and return the exit status."""
    if args.json:
        return _run_json(sys.stdin, sys.stdout)
    from askew.cli.emit import emit
    from askew.cli.view import view_from
    from askew.engine.foresee import ForeseeError, foresee, needed

    view = view_from(args)
    view = replace(view, habit=view.habit or _typed_unit(args))
    request, left_over = _request(args)
    try:
        if args.needed:
            lines = _needed_screen(needed(request), request, view)
        else:
            seen = foresee(request)
            if args.svg:
                _write_svg(seen, args.svg)
            lines = _screen(seen, view, left_over)
    except ForeseeError as error:
        raise Refusal(f"{error} {error.hint}") from None
    emit(lines, view)
    return OK


# --- JSON --------------------------------------------------------------------------------------------


def _run_json(source: TextIO, out: TextIO) -> int:
    """Answer every request on a stream, each with one line of JSON, flushed."""
    status, asked = OK, False
    for text in _objects(source):
        asked = True
        answer = _answer(text)
        status = REFUSED if "error" in answer else status
        out.write(json.dumps(answer, allow_nan=False, separators=(",", ":")) + "\n")
        out.flush()
    if not asked:
        out.write(json.dumps(_error("Nothing came in.", 'Send {"setup": {...}, "sources": {...}}.')) + "\n")
        return REFUSED
    return status


def _objects(source: TextIO) -> Iterator[str]:
    """Yield each JSON object, whether it stands on one line or on several; what is no object as it came."""
    text = ""
    while line := source.readline(MOST_CHARACTERS):
        text += line
        if not text.strip():
            text = ""
        elif len(text) >= MOST_CHARACTERS or not _unfinished(text):
            yield text
            text = ""
    if text.strip():
        yield text


def _unfinished(text: str) -> bool:
    try:
        json.loads(text)
    except json.JSONDecodeError as error:
        return text.lstrip().startswith("{") and error.pos >= len(text.rstrip())
    except RecursionError:
        return False
    return False


def _answer(text: str) -> dict[str, Any]:
    from pydantic import ValidationError

    from askew.engine.foresee import ForeseeError, Request, foresee, needed

    try:
        data = json.loads(text, object_pairs_hook=_once)
        request = Request.model_validate(data)
        if request.reading is not None:
            return {"needed": [_needed_row(row) for row in needed(request)]}
        return foresee(request).as_json()
    except ForeseeError as error:
        return _error(str(error), error.hint)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])[:80] or "the request"
        return _error(f"{where}: {first['msg']}.", 'Send {"setup": {...}, "sources": {...}}.')
    except (ValueError, RecursionError) as error:
        why = str(error) if isinstance(error, _TwiceError) else "That is not one JSON object."
        return _error(why, 'Send {"setup": {...}, "sources": {...}}.')


class _TwiceError(ValueError):
    """A key stands twice in one JSON object."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _TwiceError(f"The key {key[:40]!r} stands twice.")
        found[key] = value
    return found


def _error(message: str, hint: str) -> dict[str, Any]:
    return {"error": {"message": message, "hint": hint}}


def _needed_row(row: Needed) -> dict[str, Any]:
    return {
        "source": row.source,
        "needed": row.size,
        "usual": row.usual,
        "unit": row.unit,
        "believable": row.believable,
    }


# --- flags -------------------------------------------------------------------------------------------


def _request(args: argparse.Namespace) -> tuple[Request, list[str]]:
    """Return the request that the command line makes, and the words that nothing was made of."""
    from askew.engine.foresee import Request

    setup: dict[str, Any] = {}
    left_over: list[str] = []
    if args.words:
        setup, left_over = _from_words(" ".join(args.words))
    for pair in args.set:
        key, value = _pair(pair, "KEY=VALUE")
        setup[key] = _fact(key, value)
    sources = {}
    for pair in args.source:
        name, size = _pair(pair, "NAME=SIZE")
        sources[name] = _size(size)
    if not args.needed:
        return Request(setup=setup, sources=sources), left_over
    reading, text = _pair(args.needed, "READING=VALUE")
    amount, _, span = text.partition("/")
    over = _length(span) if span else None
    return Request(setup=setup, sources=sources, reading=reading, value=_length(amount), over=over), left_over


def _typed_unit(args: argparse.Namespace) -> Habit | None:
    """Return the unit that the first length on the command line is in; None where it tells nothing."""
    from askew.engine.language.numbers.scanning import scan
    from askew.engine.language.words.tokens import tokenize

    texts = [*([args.needed] if args.needed else []), *args.source, *args.set, " ".join(args.words)]
    for text in texts:
        for quantity in scan(tokenize(text.partition("=")[2] or text)):
            if quantity.habit is not None and not quantity.junk:
                return quantity.habit
    return None


def _from_words(text: str) -> tuple[dict[str, Any], list[str]]:
    from askew.engine.language.reader import read
    from askew.engine.observations import SetupFact

    heard = read(text)
    facts = {f.key: f.value for f in heard.facts if isinstance(f, SetupFact)}
    other = [f.words for f in heard.facts if not isinstance(f, SetupFact)]
    return facts, [*other, *heard.unread]


def _pair(text: str, form: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise Refusal(f"{text[:60]!r} is not of the form {form}.")
    return name.strip(), value.strip()


def _fact(key: str, value: str) -> Any:
    from askew.knowledge.load import load

    kind = load().setup.get(key)
    if kind is None or kind.kind == "choice":
        return value
    if kind.kind == "flag":
        return {"yes": True, "true": True, "no": False, "false": False}.get(value.lower(), value)
    if kind.kind in ("names", "cutters"):
        return [item.strip() for item in value.split(",")]
    if kind.kind == "lengths":
        return [_length(item) for item in value.split(",")]
    return _length(value)


def _size(text: str) -> float:
    """Return a source's size: mm, or a slope as a plain number or as one length over another."""
    amount, slash, span = text.partition("/")
    if not slash:
        return _length(amount)
    under = _length(span)
    if under == 0:
        raise Refusal(f"{text[:60]!r} goes over no length; write for example 5.5thou/24in.")
    return _length(amount) / under


def _length(text: str) -> float:
    from askew.engine.units import lengths, to_mm

    found = _LENGTH.fullmatch(text.strip())
    unit = (found[3].lower() or "mm") if found else ""
    if found is None or unit not in lengths():
        raise Refusal(f"{text[:60]!r} is not a length; write for example 0.2mm, 5.5thou or 2in.")
    return float(to_mm(Decimal(found[1] + (found[2] or "")), unit))


# --- screens -----------------------------------------------------------------------------------------


def _screen(seen: Foresight, view: View, left_over: list[str]) -> list[Line]:
    from askew.cli.face_picture import face_picture
    from askew.cli.lines import heading, labelled, span, wrap
    from askew.cli.speech import name_of, signed
    from askew.engine.units import format_length, format_span
    from askew.knowledge.load import load

    known = load()
    lines = heading("What the cut will look like", view)
    if view.linear:
        lines += wrap(_in_words(seen, view), view)
    else:
        lines += [(span(text),) for text in face_picture(seen, min(view.width, 60))]
        lines += [(), *wrap(_in_words(seen, view), view)]
    lines += heading("What each reading will be", view)
    shown = {id_: one for id_, one in seen.readings.items() if abs(one.value) >= SHOWN}
    for id_, one in shown.items():
        kind = known.readings[id_]
        text = signed(one.value, view) if not kind.size_only else signed(abs(one.value), view).lstrip("+")
        if one.over:
            text += f" over {format_span(one.over, view.habit)}"
        if not kind.size_only:
            text += f": {kind.plus if one.value > 0 else kind.minus}"
        lines += labelled(name_of(id_, known), text, view, column=32)
    least = format_length(2 * SHOWN if view.habit != "in" else 1e-4 * 25.4, view.habit)
    lines += wrap(f"All {'others ' if shown else ''}are less than {least}.", view, indent=2)
    if seen.assumed:
        taken = ", ".join(
            f"{name_of(key, known)} {format_span(v, view.habit) if isinstance(v, float) else v}"
            for key, v in seen.assumed.items()
        )
        lines += [(), *wrap(f"Not told, so taken: {taken}.", view)]
    if left_over:
        lines += wrap(f"Not understood: {' '.join(left_over)}.", view)
    lines += [(), *wrap("The numbers are estimates of geometry: they leave out scatter.", view)]
    return lines


def _in_words(seen: Foresight, view: View) -> str:
    """Return the face in one or two sentences."""
    from askew.engine.setup import resolve
    from askew.engine.units import format_length

    def said(mm: float) -> str:
        return format_length(abs(mm), view.habit)

    facts, face = resolve(seen.setup), seen.face
    parts = []
    hollow = seen.readings["hollow_across"].value
    if abs(hollow) >= SHOWN:
        parts.append(f"{'hollow' if hollow > 0 else 'crowned'} across the feed by {said(hollow)}")
    rise = face.slope_back if facts["feed_axis"] == "x" else face.slope_right
    lean = rise * facts["part_across"]
    if abs(lean) >= SHOWN:
        side = ("back", "front") if facts["feed_axis"] == "x" else ("right", "left")
        parts.append(f"{said(lean)} higher at the {side[0] if lean > 0 else side[1]}")
    if face.step:
        parts.append(f"with a true step of {said(face.step)} at the joint of the passes")
    elif face.ridge >= SHOWN:
        parts.append(
            f"with a smooth ridge of {said(face.ridge)} where the passes meet, too smooth to catch a nail"
        )
    arcs = {
        "both": "Second arcs behind the cut show equally both ways.",
        "none": "No second arcs show behind the cut.",
    }.get(face.heel, f"Second arcs behind the cut show when the cutter moves to the {face.heel}.")
    if not parts:
        parts.append(f"flat and level, to within {said(2 * SHOWN)}")
    return f"The face comes out {', '.join(parts)}. {arcs}"


def _needed_screen(rows: list[Needed], request: Request, view: View) -> list[Line]:
    from askew.cli.lines import heading, labelled, wrap
    from askew.cli.speech import amount, name_of
    from askew.knowledge.load import load

    known = load()
    reading = name_of(request.reading or "", known)
    lines = heading("How far out it would have to be", view, f"for {reading}")
    for row in (row for row in rows if row.size is not None):
        sign = "-" if (row.size or 0.0) < 0 else "+"
        text = f"{sign}{amount(row.size or 0.0, row.unit, row.source, known, view)}"
        if not row.believable:
            text += f"; hardly, trouble is about {amount(row.usual, row.unit, row.source, known, view)}"
        lines += labelled(name_of(row.source, known), text, view, column=26)
    never = [name_of(row.source, known) for row in rows if row.size is None]
    if never:
        lines += [(), *wrap(f"No size of these would do it alone: {', '.join(never)}.", view)]
    return lines


def _write_svg(seen: Foresight, path: Path) -> None:
    from askew.engine.face_svg import face_svg

    try:
        path.write_text(face_svg(seen), encoding="utf-8")
    except OSError as error:
        raise Refusal(f"The drawing could not be written to {path}: {error.strerror}.") from None
