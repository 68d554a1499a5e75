"""`askew fix`: the arithmetic of a remedy, without a case or from one."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.exits import OK, REFUSED, USAGE, Refusal
from askew.cli.parser import add_view_arguments
from askew.cli.part import add_part, open_case, setup_from
from askew.cli.sizes import Sizes
from askew.cli.worked import add_json, caution_texts, print_json, show, show_fix

if TYPE_CHECKING:
    from askew.engine.remedies.result import Fix

_SIGNED = "write minus as --{0}=-2thou"


@dataclass(frozen=True, slots=True)
class Topic:
    """One remedy that can be worked out from the command line.

    Attributes:
        summary: One line for the help.
        add: Adds its arguments.
        work: From the arguments to the fix.
    """

    summary: str
    add: Callable[[argparse.ArgumentParser], None]
    work: Callable[[argparse.Namespace, Sizes], Fix]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix`."""
    topics = parser.add_subparsers(dest="topic", metavar="TOPIC", title="topics", required=True)
    summaries = {name: (topic.summary, topic.add) for name, topic in _TOPICS.items()}
    summaries |= {
        "remedy": ("a remedy for a cause of a case, worked out from what is believed", _add_remedy),
        "proof": ("what a reading proves once a cause of a case is mended", _add_proof),
        "flat": ("flatness of measured points: the narrowest zone between two planes", _add_flat),
    }
    for name, (summary, add) in summaries.items():
        sub = topics.add_parser(name, help=summary, description=f"{summary[0].upper()}{summary[1:]}.")
        add(sub)
        add_json(sub)
        add_view_arguments(sub, repeated=True)


def run(args: argparse.Namespace) -> int:
    """Work a remedy out and print it."""
    from askew.cli.view import view_from  # numpy and pydantic are not needed for --help

    view = view_from(args)
    sizes = Sizes(view.habit)
    try:
        if args.topic in _OTHERS:
            return _OTHERS[args.topic](args, sizes)
        fix = _TOPICS[args.topic].work(args, sizes)
    except ValueError as error:  # RemedyError and PhysicsError carry one sentence for a person
        raise Refusal(str(error), REFUSED) from None
    return show_fix(fix, args, replace(view, habit=sizes.habit))


# --- head and joints ----------------------------------------------------------------------------------


def _add_tram(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--reads",
        required=True,
        metavar="LENGTH",
        help="cutter plane at the right (back) minus the left (front), bolts tight; "
        + _SIGNED.format("reads"),
    )
    parser.add_argument("--over", required=True, metavar="LENGTH", help="diameter of the swept circle")
    parser.add_argument("--axis", choices=["x", "y"], default="x", help="x side to side, y front to back")
    parser.add_argument(
        "--round",
        nargs=2,
        action="append",
        metavar=("SNUG", "TIGHT"),
        default=[],
        help="an earlier round: the sweep with the bolts snug, then tight",
    )
    parser.add_argument("--arm", metavar="LENGTH", help="height of the tapping point above the pivot")
    parser.add_argument(
        "--pivot", metavar="LENGTH", help="how far the pivot lies right of (behind) the spindle"
    )
    parser.add_argument("--need", metavar="LENGTH", help="how much the sweep may read when it is good enough")
    add_part(parser, "across", "diameter", "passes", "spacing", "feed", "tolerance", "machine")  # fmt: skip


def _tram(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.arithmetic import NOD_ARM, NOD_PIVOT, TRAM_ARM
    from askew.engine.remedies.head_need import Need, head_need
    from askew.engine.remedies.tram import Head, Round, tram
    from askew.engine.setup import machine_of

    reads, over = sizes.mm(args.reads, "sweep"), sizes.mm(args.over, "diameter of the sweep")
    setup = setup_from(args, sizes)
    machine = machine_of(setup)
    arm = (TRAM_ARM if args.axis == "x" else NOD_ARM)[machine]
    pivot = 0.0 if args.axis == "x" else NOD_PIVOT[machine]
    head = Head(
        sizes.mm(args.arm, "height of the tapping point") if args.arm else arm,
        sizes.mm(args.pivot, "distance of the pivot") if args.pivot else pivot,
    )
    if args.need is not None:
        need = Need(sizes.mm(args.need, "need") / over, "")
    else:
        tolerance = setup.value("tolerance")
        need = head_need(args.axis, setup, squareness=tolerance, flatness=tolerance, step=tolerance)
    rounds = [Round(*sizes.several(pair, "sweep of a round")) for pair in args.round]
    return tram(args.axis, reads, over, need=need, rounds=rounds, head=head, habit=sizes.habit)


def _add_shim(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("source", help="nod, lean_fore, lean_side, bed_tilt_x, bed_tilt_y or fixed_jaw_lean")
    parser.add_argument(
        "--out",
        required=True,
        metavar="LENGTH",
        help="how far it is out, sign as `askew explain` says; " + _SIGNED.format("out"),
    )
    parser.add_argument("--over", required=True, metavar="LENGTH", help="over what length")
    parser.add_argument(
        "--hinge",
        required=True,
        metavar="LENGTH",
        help="from the shim (bolt line) to the edge about which the joint turns",
    )
    parser.add_argument(
        "--leaf",
        action="append",
        metavar="LENGTH",
        help="a leaf on hand; give it once for each size (default: a common set)",
    )
    parser.add_argument("--most", type=int, default=4, metavar="N", help="largest number of leaves")
    parser.add_argument("--need", metavar="LENGTH", help="what may be left over the same length")  # fmt: skip


def _shim(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.shims import shim

    out, over = sizes.mm(args.out, "error"), sizes.mm(args.over, "length it is over")
    if over <= 0:
        raise Refusal("The length it is over must be more than zero.", USAGE)
    need = sizes.maybe(args.need, "need")
    return shim(
        args.source.replace("-", "_"),
        out / over,
        sizes.mm(args.hinge, "distance to the hinge edge"),
        over=over,
        on_hand=sizes.several(args.leaf, "leaf") if args.leaf else None,
        need=None if need is None else need / over,
        most=args.most,
        habit=sizes.habit,
    )


def _add_vise(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--reads",
        required=True,
        metavar="LENGTH",
        help="how much nearer the front the right end of the fixed jaw is; " + _SIGNED.format("reads"),
    )
    parser.add_argument("--over", required=True, metavar="LENGTH", help="length that the indicator ran along")
    parser.add_argument("--arm", metavar="LENGTH", help="from the snug bolt to where it is tapped")  # fmt: skip


def _vise(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.settle import swing_vise

    reads, over = sizes.mm(args.reads, "run along the jaw"), sizes.mm(args.over, "length of the run")
    if over <= 0:
        raise Refusal("The length of the run must be more than zero.", USAGE)
    arm = sizes.maybe(args.arm, "distance to the tapping point")
    return swing_vise(reads / over, over, bolt_span=arm, habit=sizes.habit)


# --- grip ---------------------------------------------------------------------------------------------

_CUT = ("diameter", "cutter", "across", "passes", "spacing", "material", "contact", "machine")


def _add_cut(parser: argparse.ArgumentParser, *more: str) -> None:
    parser.add_argument(
        "--cut", default="1mm", metavar="LENGTH", help="depth of cut it must be held for (1mm)"
    )
    parser.add_argument("--teeth", type=int, metavar="N", help="teeth of the cutter")
    add_part(parser, *_CUT, *more)


def _add_clamp(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--now", type=float, metavar="KN", help="clamp force used so far, kN")
    parser.add_argument("--allowed", type=float, metavar="KN", help="largest force the work bears, kN")
    _add_cut(parser)


def _clamp(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.slip import usual_force, usual_screw
    from askew.engine.remedies.workholding import clamp_force

    setup, cutting = _cutting(args, sizes)
    return clamp_force(
        cutting,
        usual_screw(setup),
        contact=setup.value("moving_jaw_contact"),
        now=usual_force(setup) if args.now is None else 1000.0 * args.now,
        allowed=None if args.allowed is None else 1000.0 * args.allowed,
        habit=sizes.habit,
    )


def _add_hollow(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--wall", required=True, metavar="LENGTH", help="wall thickness")
    parser.add_argument("--length", required=True, metavar="LENGTH", help="length of the part along the jaws")
    parser.add_argument("--now", type=float, metavar="KN", help="clamp force used so far, kN")
    _add_cut(parser, "depth", "height", "tolerance")


def _hollow(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.hollow_work import hollow_work, section
    from askew.engine.remedies.slip import material_of, usual_screw

    setup, cutting = _cutting(args, sizes)
    made_of = material_of(setup)
    frame = section(
        setup.value("part_depth"),
        setup.value("part_height"),
        sizes.mm(args.wall, "wall thickness"),
        sizes.mm(args.length, "length along the jaws"),
        made_of.modulus,
        made_of.poisson,
    )
    return hollow_work(
        frame,
        setup.value("tolerance"),
        cutting,
        usual_screw(setup),
        contact=setup.value("moving_jaw_contact"),
        now=None if args.now is None else 1000.0 * args.now,
        habit=sizes.habit,
    )


def _cutting(args: argparse.Namespace, sizes: Sizes):  # type: ignore[no-untyped-def]
    """Return the setup and the cutting force in it, N."""
    from askew.engine.remedies.slip import cutting_force
    from askew.engine.remedies.ways import Tool

    setup = setup_from(args, sizes)
    kind = setup.value("cutter_kind")
    facing = kind if kind in ("end_mill", "face_mill", "shell_mill", "fly_cutter") else "end_mill"
    tool = Tool(
        setup.value("cutter_diameter"), facing, teeth=args.teeth, depth=sizes.mm(args.cut, "depth of cut")
    )
    return setup, cutting_force(tool, setup)


def _add_lift(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("cause", choices=["jaw_lift", "off_centre_push", "blank_taper", "fixed_jaw_flex"])
    parser.add_argument(
        "--rise", required=True, metavar="LENGTH", help="rise of the front edge while tightening"
    )
    add_part(parser, "depth", "height", "contact")


def _lift(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.workholding import jaw_lift

    rise = sizes.mm(args.rise, "rise of the front edge")
    setup = setup_from(args, sizes)
    return jaw_lift(
        args.cause,
        rise,
        setup.value("part_depth"),
        setup.value("part_height"),
        contact=setup.value("moving_jaw_contact"),
        habit=sizes.habit,
    )


# --- measuring ----------------------------------------------------------------------------------------


def _add_square(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--one",
        required=True,
        metavar="LENGTH",
        help="corner at the reference face, plus: open; " + _SIGNED.format("one"),
    )
    parser.add_argument("--other", required=True, metavar="LENGTH", help="corner at the moving-jaw side")
    parser.add_argument("--over", required=True, metavar="LENGTH", help="height it was taken over")
    parser.add_argument("--taper", metavar="LENGTH", help="how much thicker the blank is at the top")  # fmt: skip


def _square(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.measuring_fixes import square_reversal

    one, other = sizes.mm(args.one, "corner"), sizes.mm(args.other, "other corner")
    over, taper = sizes.mm(args.over, "height"), sizes.maybe(args.taper, "taper") or 0.0
    return square_reversal(one, other, over, blank_taper=taper, habit=sizes.habit)


def _add_lever(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--reads", required=True, metavar="LENGTH", help="what the needle moved")
    parser.add_argument(
        "--angle", required=True, type=float, metavar="DEG", help="finger to surface, degrees"
    )


def _lever(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.measuring_fixes import cosine

    reads = sizes.mm(args.reads, "reading")
    return cosine(reads, args.angle, habit=sizes.habit)


def _add_cool(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("sides", nargs=3, metavar="SIDE", help="the three sides of the part")
    parser.add_argument("--warmer", required=True, type=float, metavar="K", help="warmer than the room by, K")
    parser.add_argument(
        "--in",
        dest="place",
        default="still_air",
        metavar="PLACE",
        help="still_air, moving_air, iron_plate or coolant",
    )
    add_part(parser, "material", "tolerance")  # fmt: skip


def _cool(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.measuring_fixes import cooling_wait
    from askew.engine.remedies.slip import material_of

    a, b, c = sizes.several(args.sides, "side")
    setup = setup_from(args, sizes)
    return cooling_wait(
        material_of(setup),
        (a, b, c),
        warmer=args.warmer,
        tolerance=setup.value("tolerance"),
        place=args.place.replace("-", "_"),
        habit=sizes.habit,
    )


def _add_block(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "sides", nargs=3, metavar="SIDE", help="thickness, width and length of the finished block"
    )
    parser.add_argument(
        "--case", type=Path, metavar="FILE", help="take machine and vise as this case believes them"
    )
    add_part(parser, "machine", "diameter", "passes", "spacing", "tolerance")


def _block(args: argparse.Namespace, sizes: Sizes) -> Fix:
    from askew.engine.remedies.draws import usual
    from askew.engine.remedies.squaring_block import Block, squaring_block

    block = Block(*sizes.several(args.sides, "side"))
    case = open_case(args.case) if args.case else None
    setup = setup_from(args, sizes, case.setup if case else None)
    samples = case.samples(1000) if case else usual(1000, setup)
    return squaring_block(block, samples, setup, tolerance=setup.tolerance, habit=sizes.habit)


_TOPICS: dict[str, Topic] = {
    "tram": Topic("set the head true: which way, how far, where to aim", _add_tram, _tram),
    "shim": Topic("shim a joint: how thick, from which leaves, under which edge", _add_shim, _shim),
    "vise": Topic("swing the vise true: which end, how far", _add_vise, _vise),
    "clamp": Topic("how hard to clamp, and the torque at the handle", _add_clamp, _clamp),
    "hollow": Topic("how hard hollow work may be clamped, and what else to do", _add_hollow, _hollow),
    "lift": Topic("keep the front of the part down", _add_lift, _lift),
    "square": Topic("take a square's own error out by reversal", _add_square, _square),
    "lever": Topic("correct a lever indicator for the angle of its finger", _add_lever, _lever),
    "cool": Topic("how long to let a warm part lie", _add_cool, _cool),
    "block": Topic("square a block on six faces: order, inheritance, outcome", _add_block, _block),
}
"""Every remedy that is worked out from plain numbers."""


# --- from a case --------------------------------------------------------------------------------------


def _add_remedy(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("remedy", help="a remedy id, as the verdict names it")
    parser.add_argument(
        "--for", dest="source", required=True, metavar="CAUSE", help="the cause, as a source id"
    )
    parser.add_argument("--case", type=Path, required=True, metavar="FILE", help="the case")


def _remedy(args: argparse.Namespace, sizes: Sizes) -> int:
    import numpy as np

    from askew.cli.view import view_from
    from askew.engine.remedies.advise import advise

    case = open_case(args.case)
    samples = case.samples(1000)
    if args.source not in samples:
        raise Refusal(f"There is no cause called {args.source[:60]!r}; see askew explain --list.", USAGE)
    low, mid, high = (float(v) for v in np.quantile(samples[args.source], [0.05, 0.5, 0.95]))
    habit = view_from(args).habit or case.unit
    advice = advise(args.source, args.remedy, (mid, low, high), case.setup, habit, samples)
    if args.json:
        predicts = {name: list(pair) for name, pair in advice.predicts.items()}
        texts = caution_texts(advice.cautions)
        return print_json({"lines": list(advice.lines), "cautions": list(texts), "predicts": predicts})
    show(advice.lines[0], [("", advice.lines[1:])], advice.cautions, view_from(args))
    return OK


def _add_proof(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("reading", help="a reading id")
    parser.add_argument(
        "--reads", metavar="LENGTH", help="what it reads now; none: only say what it must read"
    )
    parser.add_argument("--before", metavar="LENGTH", help="what it read before the fix")
    parser.add_argument(
        "--for", dest="source", required=True, metavar="CAUSE", help="what was mended, a source id"
    )
    parser.add_argument("--case", type=Path, required=True, metavar="FILE", help="the case")


def _proof(args: argparse.Namespace, sizes: Sizes) -> int:
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
    show("proof", [("", lines)], (), view_from(args))
    return OK


# --- flatness -----------------------------------------------------------------------------------------


def _add_flat(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, help="CSV of x, y and height in mm, one point a line")


def _flat(args: argparse.Namespace, sizes: Sizes) -> int:
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


_OTHERS: dict[str, Callable[[argparse.Namespace, Sizes], int]] = {
    "remedy": _remedy,
    "proof": _proof,
    "flat": _flat,
}
