"""`askew fix`: the arithmetic of a remedy, without a case or from one."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from askew.cli import fix_case, fix_grip, fix_head, fix_measuring
from askew.cli.exits import REFUSED, Refusal
from askew.cli.parser import add_view_arguments
from askew.cli.sizes import Sizes
from askew.cli.worked import add_json, show_fix

if TYPE_CHECKING:
    from askew.engine.remedies.result import Fix


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
        "remedy": ("a remedy for a cause of a case, worked out from what is believed", fix_case.add_remedy),
        "proof": ("what a reading proves once a cause of a case is mended", fix_case.add_proof),
        "flat": ("flatness of measured points: the narrowest zone between two planes", fix_case.add_flat),
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


_TOPICS: dict[str, Topic] = {
    "tram": Topic(
        "set the head true: which way, how far, where to aim", fix_head.add_tram, fix_head.work_tram
    ),
    "shim": Topic(
        "shim a joint: how thick, from which leaves, under which edge", fix_head.add_shim, fix_head.work_shim
    ),
    "vise": Topic("swing the vise true: which end, how far", fix_head.add_vise, fix_head.work_vise),
    "clamp": Topic(
        "how hard to clamp, and the torque at the handle", fix_grip.add_clamp, fix_grip.work_clamp
    ),
    "hollow": Topic(
        "how hard hollow work may be clamped, and what else to do", fix_grip.add_hollow, fix_grip.work_hollow
    ),
    "lift": Topic("keep the front of the part down", fix_grip.add_lift, fix_grip.work_lift),
    "square": Topic(
        "take a square's own error out by reversal", fix_measuring.add_square, fix_measuring.work_square
    ),
    "lever": Topic(
        "correct a lever indicator for the angle of its finger",
        fix_measuring.add_lever,
        fix_measuring.work_lever,
    ),
    "cool": Topic("how long to let a warm part lie", fix_measuring.add_cool, fix_measuring.work_cool),
    "block": Topic(
        "square a block on six faces: order, inheritance, outcome",
        fix_measuring.add_block,
        fix_measuring.work_block,
    ),
}
"""Every remedy that is worked out from plain numbers."""


_OTHERS: dict[str, Callable[[argparse.Namespace, Sizes], int]] = {
    "remedy": fix_case.work_remedy,
    "proof": fix_case.work_proof,
    "flat": fix_case.work_flat,
}
