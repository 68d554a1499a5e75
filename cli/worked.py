"""A remedy worked out, on the screen or as JSON; shared by `askew fix` and `askew plan`."""

from __future__ import annotations

import argparse
import json
import math
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from askew.cli.exits import OK
from askew.engine.remedies.parts import ASSUMED, BEWARE, CARE, COSTS, PROOF, SHOWS, TO_DO, mark

if TYPE_CHECKING:
    from askew.cli.view import View
    from askew.engine.remedies.result import Fix

_ALWAYS = ("local_rules", "estimates")


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add the option that asks for JSON."""
    parser.add_argument("--json", action="store_true", help="print one JSON object, lengths in mm")


def show_fix(fix: Fix, args: argparse.Namespace, view: View) -> int:
    """Print a fix and return the exit status."""
    if args.json:
        return print_json(fix_json(fix))
    from askew.engine.remedies.advise import costs
    from askew.engine.remedies.proof import as_proof, in_words
    from askew.engine.units import format_span

    habit = view.habit or "mm"
    proof = [
        f"{_name(e.reading)}: {in_words(as_proof(e), habit)}"
        + (f" over {format_span(e.over, habit)}" if e.over else "")
        for e in fix.predicts
    ]
    show(
        fix.title,
        [
            (TO_DO, fix.steps),
            (SHOWS, fix.shows),
            (PROOF, proof),
            (COSTS, [*([f"About {fix.cost.minutes:.0f} min."] if fix.cost.minutes else []), *costs(fix)]),
            (BEWARE, fix.warnings),
            (ASSUMED, fix.assumed),
        ],
        fix.cautions,
        view,
    )
    return OK


def show(title: str, parts: Sequence[tuple[str, Sequence[str]]], cautions: Sequence[str], view: View) -> None:
    """Print a title, parts of sentences and the cautions that belong to them."""
    from askew.cli.emit import emit
    from askew.cli.lines import Line, bullet, heading, wrap

    lines: list[Line] = heading(f"{title[0].upper()}{title[1:]}", view)
    for label, sentences in [*parts, (CARE, caution_texts(cautions))]:
        if sentences:
            lines += heading(label, view) if label else []
            if not label and len(sentences) == 1:  # one thing to do needs no number
                lines += wrap(sentences[0], view, indent=2)
                continue
            for number, sentence in enumerate(sentences, 1):
                lines += bullet(sentence, view, mark=mark(label, number))
    emit(lines[1:], view)


def fix_json(fix: Fix) -> dict[str, Any]:
    """Return a fix as JSON values; lengths in mm, slopes in rad, forces in N, torques in N m."""
    return {
        "title": fix.title,
        "steps": list(fix.steps),
        "numbers": {name: value if math.isfinite(value) else None for name, value in fix.numbers.items()},
        "shows": list(fix.shows),
        "predicts": [
            {"reading": e.reading, "low": e.low, "high": e.high, "over": e.over} for e in fix.predicts
        ],
        "cost": {
            "minutes": fix.cost.minutes,
            "stiffness": fix.cost.stiffness,
            "disturbs": list(fix.cost.disturbs),
        },
        "warnings": list(fix.warnings),
        "cautions": list(caution_texts(fix.cautions)),
    }


def caution_texts(ids: Sequence[str]) -> tuple[str, ...]:
    """Return the sentences of cautions, with the ones that always belong."""
    from askew.knowledge.load import load

    return tuple(load().cautions[id_].text for id_ in dict.fromkeys((*ids, *_ALWAYS)))


def print_json(value: dict[str, Any]) -> int:
    """Print one JSON object on a line of its own and return the exit status."""
    # ASCII only, so that nothing in it can act on the terminal.
    sys.stdout.write(json.dumps(value, ensure_ascii=True, allow_nan=False) + "\n")
    return OK


def _name(reading: str) -> str:
    from askew.knowledge.load import load

    name = load().readings[reading].name
    return f"{name[0].upper()}{name[1:]}"
