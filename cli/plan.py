"""`askew plan`: the ways of cutting that hold the drawing, on the machine as it is now believed to be."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from askew.cli.exits import OK, REFUSED, USAGE, Refusal
from askew.cli.part import add_part, open_case, setup_from
from askew.cli.sizes import Sizes
from askew.cli.worked import add_json, caution_texts, print_json, show

if TYPE_CHECKING:
    from askew.engine.remedies.plan import Outlook, Plan
    from askew.engine.remedies.ways import Tool
    from askew.engine.setup import Setup
    from askew.engine.units import Habit

_CAUTIONS = ("clamp_for_cut", "less_grip", "eye_protection", "no_gloves", "no_climb_on_slack")
_DRAWS = 600


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew plan`."""
    asked = parser.add_argument_group("what the drawing asks of the cut face (at least one)")
    asked.add_argument("--square", metavar="LENGTH", help="zone square to the reference face")
    asked.add_argument("--flat", metavar="LENGTH", help="flatness zone")
    asked.add_argument("--parallel", metavar="LENGTH", help="zone parallel to the bottom face")
    asked.add_argument("--step", metavar="LENGTH", help="largest step between passes")
    parser.add_argument(
        "--tool",
        action="append",
        metavar="TOOL",
        help='a cutter on hand, like "3in face_mill carbide" or "20mm end_mill 4 teeth"; once for each '
        "(default: those of the case, else those told in the chat)",
    )
    parser.add_argument(
        "--case", type=Path, metavar="FILE", help="the machine and the part as this case has them"
    )
    parser.add_argument(
        "--sure", type=float, default=0.9, metavar="P", help="chance wanted that all hold (0.9)"
    )
    parser.add_argument("--force", type=float, metavar="KN", help="usual clamp force, kN")
    add_part(
        parser,
        "machine",
        "material",
        "across",
        "along",
        "height",
        "depth",
        "grip",
        "contact",
        "diameter",
        "feed",
    )
    add_json(parser)  # fmt: skip


def run(args: argparse.Namespace) -> int:
    """Find the ways and print them."""
    from askew.cli.view import view_from  # numpy and pydantic are not needed for --help
    from askew.engine.remedies.draws import usual
    from askew.engine.remedies.parts import ASSUMED, merged
    from askew.engine.remedies.plan import Tolerances, plan
    from askew.engine.remedies.plan_words import asked_line, plan_parts

    view = view_from(args)
    sizes = Sizes(view.habit)
    tolerances = Tolerances(
        flatness=sizes.maybe(args.flat, "flatness"),
        squareness=sizes.maybe(args.square, "squareness"),
        parallelism=sizes.maybe(args.parallel, "parallelism"),
        step=sizes.maybe(args.step, "step"),
    )
    case = open_case(args.case) if args.case else None
    setup = setup_from(args, sizes, case.setup if case else None)
    samples = case.samples(_DRAWS) if case else usual(_DRAWS, setup)
    try:
        tools, taken = _chosen_tools(args, sizes, setup)
        answer = plan(
            samples,
            setup,
            tolerances,
            tools,
            sure=args.sure,
            usual_force=None if args.force is None else 1000.0 * args.force,
        )
    except ValueError as error:  # RemedyError and PhysicsError carry one sentence for a person
        raise Refusal(str(error), REFUSED) from None
    if args.json:
        return print_json(_plan_json(answer))
    habit = sizes.habit
    assumed = [asked_line(answer, habit), *([taken] if taken else [])]
    if case is None:
        assumed.append("No case was given, so this is a usual machine of its kind that nobody has measured.")
    parts = merged([*plan_parts(answer, habit), (ASSUMED, tuple(assumed))])
    show("How to hold the drawing", parts, _CAUTIONS, replace(view, habit=habit))
    return OK


def _tool(text: str, sizes: Sizes) -> Tool:
    """Return a cutter from words: a diameter, and perhaps a kind, carbide, and a number of teeth.

    Raises:
        Refusal: The words name no cutter.
    """
    from askew.engine.on_hand import CutterError, read_cutter
    from askew.engine.remedies.ways import Tool

    try:
        cutter = read_cutter(text, lambda words: sizes.mm(words, "cutter"))
    except CutterError as error:
        raise Refusal(str(error), USAGE) from None
    return Tool(cutter.diameter, cutter.kind, teeth=cutter.teeth, carbide=cutter.carbide)


def _chosen_tools(args: argparse.Namespace, sizes: Sizes, setup: Setup) -> tuple[list[Tool], str]:
    """Return the cutters to choose from, and where they are from: named here, told in the talk, or usual ones."""
    from askew.cli.chat.bench import kept_on_bench
    from askew.engine.remedies.ways import tools_on_hand

    if args.tool:
        return [_tool(text, sizes) for text in args.tool], ""
    if setup.cutters:
        return tools_on_hand(setup), "Cutters: those that the case tells of."
    kept = kept_on_bench("cutters")
    if kept:
        return tools_on_hand(setup.having(cutters=kept)), "Cutters: those on hand, as told in the chat."
    taken = "Cutters: the one in use and a small end mill, since none were named. --tool names yours."
    return _usual_tools(setup, sizes.habit), taken


def _usual_tools(setup: Setup, habit: Habit) -> list[Tool]:
    """Return the cutter in use, or one that covers the face, and a small end mill."""
    from askew.engine.remedies.arithmetic import handy
    from askew.engine.remedies.ways import Tool

    diameter = setup.value("cutter_diameter")
    diameter = diameter if setup.known("cutter_diameter") else handy(diameter, habit)
    return list(
        dict.fromkeys((Tool(diameter, "face_mill" if diameter > 40.0 else "end_mill"), Tool(handy(16.0, habit))))
    )


def _plan_json(answer: Plan) -> dict[str, Any]:
    fix = answer.correction
    return {
        "asked": dict(answer.asked),
        "sure": answer.sure,
        "tried": answer.tried,
        "holding": [_outlook_json(found) for found in answer.holding],
        "nearest": _outlook_json(answer.nearest),
        "limits": answer.limits or None,
        "blame": [{"source": source, "gain": gain} for source, gain in answer.blame],
        "correction": {
            "remedies": list(fix.remedies), "minutes": fix.minutes, "then": _outlook_json(fix.outlook)
        } if fix else None,
        "cautions": list(caution_texts(_CAUTIONS)),
    }  # fmt: skip


def _outlook_json(found: Outlook) -> dict[str, Any]:
    way = found.way
    return {
        "cutter": {"diameter": way.tool.diameter, "kind": way.tool.kind, "teeth": way.tool.edges},
        "passes": way.passes,
        "spacing": way.spacing,
        "feed_axis": way.feed_axis,
        "one_way": way.one_way,
        "faces": way.faces,
        "grip": {"contact": way.hold.contact, "force": way.hold.force},
        "minutes": found.minutes,
        "chances": dict(found.chances),
        "together": found.together,
        "nine_in_ten_within": dict(found.reach),
        "slip_margin": found.slip,
    }
