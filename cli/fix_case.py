"""`askew fix` from a case or a file: a remedy of a cause, a proof, the flatness of measured points."""

from __future__ import annotations

import argparse
from pathlib import Path

from askew.cli.exits import OK, REFUSED, USAGE, Refusal
from askew.cli.part import open_case
from askew.cli.sizes import Sizes
from askew.cli.worked import caution_texts, print_json, show


def add_remedy(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix remedy`."""
    parser.add_argument("remedy", help="a remedy id, as the verdict names it")
    parser.add_argument(
        "--for", dest="source", required=True, metavar="CAUSE", help="the cause, as a source id"
    )
    parser.add_argument("--case", type=Path, required=True, metavar="FILE", help="the case")


def work_remedy(args: argparse.Namespace, sizes: Sizes) -> int:  # noqa: ARG001  (all are called alike)
    """Print a remedy as the case makes it."""
    from askew.cli.view import view_from
    from askew.engine.ahead import worked_out
    from askew.knowledge.load import load

    case, view = open_case(args.case), view_from(args)
    if args.source not in load().sources:
        raise Refusal(f"There is no cause called {args.source[:60]!r}; see askew explain --list.", USAGE)
    if args.remedy not in load().remedies:
        raise Refusal(f"There is no remedy called {args.remedy[:60]!r}; see askew explain --list.", USAGE)
    advice = worked_out(args.source, args.remedy, case.standing, view.habit or case.unit)
    if isinstance(advice, str):
        raise Refusal(advice, REFUSED)
    if args.json:
        predicts = {name: list(pair) for name, pair in advice.predicts.items()}
        texts = caution_texts(advice.cautions)
        return print_json({"lines": list(advice.lines), "cautions": list(texts), "predicts": predicts})
    show(advice.title, advice.parts, advice.cautions, view)
    return OK


def add_proof(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix proof`."""
    parser.add_argument("reading", help="a reading id")
    parser.add_argument(
        "--reads", metavar="LENGTH", help="what it reads now; none: only say what it must read"
    )
    parser.add_argument("--before", metavar="LENGTH", help="what it read before the fix")
    parser.add_argument(
        "--for", dest="source", required=True, metavar="CAUSE", help="what was mended, a source id"
    )
    parser.add_argument("--case", type=Path, required=True, metavar="FILE", help="the case")


def work_proof(args: argparse.Namespace, sizes: Sizes) -> int:
    """Print what a reading must come to, and what it means."""
    from dataclasses import asdict

    from askew.cli.view import view_from
    from askew.engine.remedies.proof import judge, proofs
    from askew.engine.remedies.result import span
    from askew.knowledge.load import load

    case = open_case(args.case)
    samples = case.samples(1000)
    if args.source not in samples:
        raise Refusal(f"There is no cause called {args.source[:60]!r}; see askew explain --list.", USAGE)
    found = proofs([args.reading], [args.source], samples, case.setup, tolerance=case.setup.tolerance)
    if not found:
        raise Refusal(f"There is no reading called {args.reading[:60]!r}; see askew explain --list.", USAGE)
    habit = view_from(args).habit or case.unit
    must = f"The {load().readings[args.reading].name} must read {span(found[0].low, found[0].high, habit)}."
    lines = [must]
    said = None
    if args.reads is not None:
        reads, before = sizes.mm(args.reads, "reading"), sizes.maybe(args.before, "reading before")
        said = judge(found[0], reads, habit, before)
        lines.append(said.sentence)
    if args.json:
        return print_json({"proof": asdict(found[0]), "judgement": asdict(said) if said else None})
    show("The proof", [("", lines)], (), view_from(args))
    return OK


# --- flatness -----------------------------------------------------------------------------------------


def add_flat(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix flat`."""
    parser.add_argument("file", type=Path, help="CSV of x, y and height in mm, one point a line")


def work_flat(args: argparse.Namespace, sizes: Sizes) -> int:
    """Print the flatness of measured points."""
    import numpy as np

    from askew.cli.view import view_from
    from askew.engine.remedies.zones import minimum_zone
    from askew.engine.units import format_length

    points = np.array(_points(args.file))
    zone, (right, back, _) = minimum_zone(points[:, 0], points[:, 1], points[:, 2])
    if args.json:
        return print_json({"flatness": zone, "slope_right": right, "slope_back": back, "points": len(points)})
    text = (
        f"{len(points)} points lie between two parallel planes {format_length(zone, sizes.habit)} apart, the "
        "narrowest there are: that is the flatness (ISO 1101, minimum zone)."
    )
    show("flatness", [("", [text])], (), view_from(args))
    return OK


def _points(path: Path) -> list[tuple[float, float, float]]:
    """Return the points of a file.

    Raises:
        Refusal: The file cannot be read or holds something else.
    """
    try:
        with path.open(encoding="utf-8") as file:
            text = file.read(5_000_000)
    except (OSError, UnicodeDecodeError):
        raise Refusal(f"The file {str(path)[:200]!r} cannot be read as text.") from None
    found: list[tuple[float, float, float]] = []
    for number, line in enumerate(text.splitlines(), 1):
        cells = [cell.strip() for cell in line.replace(";", ",").split(",")]
        if not line.strip() or (number == 1 and any(char.isalpha() for char in line)):
            continue  # an empty line, or the heading
        try:
            x, y, z = (float(cell) for cell in cells)
        except ValueError:
            raise Refusal(f"Line {number} must be three numbers: x, y and height in mm.") from None
        found.append((x, y, z))
    if len(found) < 3:
        raise Refusal("Flatness needs at least three points, each with x, y and height.")
    return found
