"""`askew fix` for the measuring, and for a block on six faces."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.fix_head import SIGNED
from askew.cli.part import add_part, open_case, setup_from
from askew.cli.sizes import Sizes

if TYPE_CHECKING:
    from askew.engine.remedies.result import Fix


def add_square(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix square`."""
    parser.add_argument(
        "--one",
        required=True,
        metavar="LENGTH",
        help="corner at the reference face, plus: open; " + SIGNED.format("one"),
    )
    parser.add_argument("--other", required=True, metavar="LENGTH", help="corner at the moving-jaw side")
    parser.add_argument("--over", required=True, metavar="LENGTH", help="height it was taken over")
    parser.add_argument("--taper", metavar="LENGTH", help="how much thicker the blank is at the top")  # fmt: skip


def work_square(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return the square's own error, by reversal."""
    from askew.engine.remedies.measuring_fixes import square_reversal

    one, other = sizes.mm(args.one, "corner"), sizes.mm(args.other, "other corner")
    over, taper = sizes.mm(args.over, "height"), sizes.maybe(args.taper, "taper") or 0.0
    return square_reversal(one, other, over, blank_taper=taper, habit=sizes.habit)


def add_lever(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix lever`."""
    parser.add_argument("--reads", required=True, metavar="LENGTH", help="what the needle moved")
    parser.add_argument(
        "--angle", required=True, type=float, metavar="DEG", help="finger to surface, degrees"
    )


def work_lever(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return a lever's true reading."""
    from askew.engine.remedies.measuring_fixes import cosine

    reads = sizes.mm(args.reads, "reading")
    return cosine(reads, args.angle, habit=sizes.habit)


def add_cool(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix cool`."""
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


def work_cool(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return how long a warm part has to lie."""
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


def add_block(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix block`."""
    parser.add_argument(
        "sides", nargs=3, metavar="SIDE", help="thickness, width and length of the finished block"
    )
    parser.add_argument(
        "--case", type=Path, metavar="FILE", help="take machine and vise as this case believes them"
    )
    add_part(parser, "machine", "diameter", "passes", "spacing", "tolerance")


def work_block(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return the order of the six faces and how true they come out."""
    from askew.engine.remedies.draws import usual
    from askew.engine.remedies.squaring_block import Block, squaring_block

    block = Block(*sizes.several(args.sides, "side"))
    case = open_case(args.case) if args.case else None
    setup = setup_from(args, sizes, case.setup if case else None)
    samples = case.samples(1000) if case else usual(1000, setup)
    return squaring_block(block, samples, setup, tolerance=setup.tolerance, habit=sizes.habit)
