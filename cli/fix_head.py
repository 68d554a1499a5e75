"""`askew fix` for head, joints and vise: tram, shim, swing."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from askew.cli.exits import USAGE, Refusal
from askew.cli.part import add_part, setup_from
from askew.cli.sizes import Sizes

if TYPE_CHECKING:
    from askew.engine.remedies.result import Fix

SIGNED = "write minus as --{0}=-2thou"


def add_tram(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix tram`."""
    parser.add_argument(
        "--reads",
        required=True,
        metavar="LENGTH",
        help="cutter plane at the right (back) minus the left (front), bolts tight; "
        + SIGNED.format("reads"),
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


def work_tram(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return the next round of setting the head true."""
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


def add_shim(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix shim`."""
    parser.add_argument("source", help="nod, lean_fore, lean_side, bed_tilt_x, bed_tilt_y or fixed_jaw_lean")
    parser.add_argument(
        "--out",
        required=True,
        metavar="LENGTH",
        help="how far it is out, sign as `askew explain` says; " + SIGNED.format("out"),
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
        help="a leaf on hand; give it once for each size (default: those told in the chat, else a common set)",
    )
    parser.add_argument("--most", type=int, default=4, metavar="N", help="largest number of leaves")
    parser.add_argument("--need", metavar="LENGTH", help="what may be left over the same length")  # fmt: skip


def work_shim(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return the shim for a joint."""
    from askew.engine.remedies.shims import shim

    out, over = sizes.mm(args.out, "error"), sizes.mm(args.over, "length it is over")
    if over <= 0:
        raise Refusal("The length it is over must be more than zero.", USAGE)
    need = sizes.maybe(args.need, "need")
    leaves, taken = _leaves(args, sizes)
    fix = shim(
        args.source.replace("-", "_"),
        out / over,
        sizes.mm(args.hinge, "distance to the hinge edge"),
        over=over,
        on_hand=leaves,
        need=None if need is None else need / over,
        most=args.most,
        habit=sizes.habit,
    )
    return replace(fix, assumed=(*fix.assumed, taken)) if taken else fix


def _leaves(args: argparse.Namespace, sizes: Sizes) -> tuple[tuple[float, ...] | None, str]:
    """Return the leaves to make the shim from, None for a common set, and a sentence on where they are from."""
    from askew.cli.chat.bench import kept_on_bench
    from askew.engine.on_hand import listed_words

    if args.leaf:
        return sizes.several(args.leaf, "leaf"), ""
    kept = kept_on_bench("leaves")
    if kept:
        return kept, f"Leaves on hand, as told in the chat: {listed_words(kept, sizes.habit)}."
    return None, "Leaves of a common set, since none were named. --leaf names yours."


def add_vise(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew fix vise`."""
    parser.add_argument(
        "--reads",
        required=True,
        metavar="LENGTH",
        help="how much nearer the front the right end of the fixed jaw is; " + SIGNED.format("reads"),
    )
    parser.add_argument("--over", required=True, metavar="LENGTH", help="length that the indicator ran along")
    parser.add_argument("--arm", metavar="LENGTH", help="from the snug bolt to where it is tapped")  # fmt: skip


def work_vise(args: argparse.Namespace, sizes: Sizes) -> Fix:
    """Return how to swing the vise true."""
    from askew.engine.remedies.settle import swing_vise

    reads, over = sizes.mm(args.reads, "run along the jaw"), sizes.mm(args.over, "length of the run")
    if over <= 0:
        raise Refusal("The length of the run must be more than zero.", USAGE)
    arm = sizes.maybe(args.arm, "distance to the tapping point")
    return swing_vise(reads / over, over, bolt_span=arm, habit=sizes.habit)
