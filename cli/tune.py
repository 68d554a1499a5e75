"""`askew tune`: fit priors and usual sizes to closed cases, and show what changes."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.exits import NO_CASE, OK, Refusal

if TYPE_CHECKING:
    from askew.engine.belief.tune import Change, ClosedCase

LARGEST = 50 * 1024 * 1024


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew tune`."""
    parser.add_argument(
        "--from", dest="file", type=Path, metavar="FILE",
        help='closed cases, one a line: {"machine": "knee_mill", "causes": {"jaw_lift": 0.12}}, sizes in mm or '
        "slope, null where not measured (default: your own closed cases)",
    )
    parser.add_argument("--to", type=Path, metavar="FILE", help="write the fitted numbers as TOML")
    parser.add_argument(
        "--strength", type=float, default=60.0, metavar="N",
        help="how many causes the shipped numbers are worth (default 60)",
    )


def run(args: argparse.Namespace) -> int:
    """Fit, show what changed, and write it where asked."""
    from askew.engine.belief.tune import as_toml, tune

    cases = _from_file(args.file) if args.file is not None else _from_record()
    if not cases:
        raise Refusal("There is no closed case to learn from yet; name a file of them with --from.")
    try:
        changes = tune(cases, args.strength)
    except ValueError as error:
        raise Refusal(str(error)) from error
    _show(changes, len(cases))
    if args.to is not None:
        try:
            with args.to.open("x", encoding="utf-8") as file:
                file.write(as_toml(changes))
        except FileExistsError as error:
            raise Refusal(f"{args.to.name} is there already; name a new file.") from error
        except OSError as error:
            raise Refusal(f"{args.to.name} cannot be written: {error.strerror}.") from error
    return OK


def _from_file(path: Path) -> list[ClosedCase]:
    from pydantic import ValidationError

    from askew.engine.belief.tune import ClosedCase
    from askew.engine.safe import BadJson, strict_json

    try:
        if path.stat().st_size > LARGEST:
            raise Refusal(f"{path.name} is larger than 50 MB, the most that is read.", NO_CASE)
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise Refusal(f"{path.name} cannot be read as text.", NO_CASE) from error
    cases = []
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            cases.append(ClosedCase.model_validate(strict_json(line)))
        except (BadJson, ValidationError) as error:
            raise Refusal(
                f'Line {number} of {path.name} is not a closed case such as {{"machine": "knee_mill", "causes": '
                '{"jaw_lift": 0.12}}.', NO_CASE,
            ) from error
    return cases


def _from_record() -> list[ClosedCase]:
    """Return the closed cases of one's own, with the causes that were last held responsible; sizes are not kept."""
    from askew.engine.belief.tune import ClosedCase
    from askew.engine.record.journal import Journal
    from askew.engine.record.store import Store, Wanted
    from askew.knowledge.load import load

    known, cases = load(), []
    for item in Store().find(Wanted(state="closed")):
        journal = Journal.open(item.path, write=False)
        told = [record.data.get("causes") for record in journal.records if record.kind == "summary"]
        named = next((causes for causes in reversed(told) if isinstance(causes, list) and causes), [])
        causes = {id_: None for id_ in named if id_ in known.sources}
        machine = item.summary.machine if item.summary.machine in known.machines else "knee_mill"
        if causes:
            cases.append(ClosedCase.model_validate({"machine": machine, "causes": causes}))
    return cases


def _show(changes: list[Change], cases: int) -> None:
    from askew.knowledge.load import load

    known, write = load().sources, sys.stdout.write
    moved = sorted((c for c in changes if c.moved), key=lambda c: -abs(c.tuned_prior - c.prior))
    write(f"{cases} closed case{'s' if cases != 1 else ''}. What moves by a twentieth or more:\n")
    write(f"{'source':22}{'machine':12}{'cases':>6}{'chance':>9}{'now':>8}{'size':>22}{'now':>12}\n")
    for c in moved:
        source = known[c.source]
        span, unit = (source.span, f"mm/{source.span:g} mm") if source.unit == "slope" else (1.0, "mm")
        write(
            f"{c.source:22}{c.machine:12}{c.cases:6d}{100 * c.prior:8.1f}%{100 * c.tuned_prior:7.1f}%"
            f"{span * c.trouble:10.4f} {unit:11}{span * c.tuned_trouble:12.4f}\n"
        )
    if not moved:
        write("Nothing.\n")
