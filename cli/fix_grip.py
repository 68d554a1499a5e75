"""`askew fix` for the grip: clamp force, hollow work, lift."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from askew.cli.part import add_part, setup_from
from askew.cli.sizes import Sizes

if TYPE_CHECKING:
    from askew.engine.remedies.result import Fix
    from askew.engine.setup import Setup


_CUT = ("diameter", "cutter", "across", "passes", "spacing", "material", "contact", "machine")


def _add_cut(parser: argparse.ArgumentParser, *more: str) -> None:
    parser.add_argument(
        "--cut", default="1mm", metavar="LENGTH", help="depth of cut it must be held for (1mm)"
    )
    parser.add_argument("--teeth", type=int, metavar="N", help="teeth of the cutter")
    add_part(parser, *_CUT, *more)


def add_clamp(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix clamp`."""
    parser.add_argument("--now", type=float, metavar="KN", help="clamp force used so far, kN")
    parser.add_argument("--allowed", type=float, metavar="KN", help="largest force the work bears, kN")
    _add_cut(parser)


def work_clamp(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return the force that holds the cut, and the torque."""
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


def add_hollow(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix hollow`."""
    parser.add_argument("--wall", required=True, metavar="LENGTH", help="wall thickness")
    parser.add_argument("--length", required=True, metavar="LENGTH", help="length of the part along the jaws")
    parser.add_argument("--now", type=float, metavar="KN", help="clamp force used so far, kN")
    _add_cut(parser, "depth", "height", "tolerance")


def work_hollow(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return the force that hollow work bears."""
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


def _cutting(args: argparse.Namespace, sizes: Sizes) -> tuple[Setup, float]:
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


def add_lift(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix lift`."""
    parser.add_argument("cause", choices=["jaw_lift", "off_centre_push", "blank_taper", "fixed_jaw_flex"])
    parser.add_argument(
        "--rise", required=True, metavar="LENGTH", help="rise of the front edge while tightening"
    )
    add_part(parser, "depth", "height", "contact")


def work_lift(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return how to keep the front of the part down."""
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
