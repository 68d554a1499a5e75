"""`askew trial`: simulated shops that score the assistant, beside other orders of checks."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.exits import OK, Refusal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from askew.engine.trial.figures import Figures
    from askew.engine.trial.run import Game, S
    from askew.engine.trial.small import Compared

MOST_SHOPS = 10_000_000
MOST_EXACT = 10_000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew trial`."""
    parser.add_argument("--shops", type=int, default=200, metavar="N", help="how many shops (default 200)")
    parser.add_argument(
        "--seed", type=int, default=0, metavar="N", help="the first shop's number (default 0)"
    )
    parser.add_argument(
        "--rivals", action="store_true", help="play the same shops in other orders of checks too"
    )
    parser.add_argument(
        "--cut-again", action="store_true", help="follow the advice of each verdict, cut again and measure the part"
    )
    parser.add_argument(
        "--exact",
        type=int,
        default=0,
        metavar="N",
        help="hold the choice of checks to the best possible order on so many small problems",
    )
    parser.add_argument(
        "--jobs", type=int, default=1, metavar="N", help="processes on this machine (default 1)"
    )
    parser.add_argument(
        "--keep", type=Path, metavar="FILE", help="file of finished shops: stop and go on later"
    )
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", help="play them on the Dask scheduler at this address"
    )
    parser.add_argument("--json", action="store_true", help="print the figures as one JSON object")
    parser.add_argument(
        "--replay", type=int, metavar="SHOP", help="print one shop as the conversation it was"
    )


def run(args: argparse.Namespace) -> int:
    """Run the trial and print its figures."""
    from askew.engine.trial.figures import figures
    from askew.engine.trial.policies import OURS, RIVALS
    from askew.engine.trial.run import TO_VERDICT
    from askew.engine.trial.small import compare

    if args.replay is not None:
        return _replay(args.replay)
    if not 1 <= args.shops <= MOST_SHOPS or not 0 <= args.seed <= 2**40:
        raise Refusal(f"--shops must be from 1 to {MOST_SHOPS} and --seed not below 0.")
    if not 0 <= args.exact <= MOST_EXACT:
        raise Refusal(f"--exact must be from 0 to {MOST_EXACT}.")
    if args.cut_again:
        return _cut_again(args)
    policies = (OURS, *(RIVALS if args.rivals else ()))
    played = _played(TO_VERDICT, policies, args)
    found = [figures(policy, played) for policy in policies]
    with _Bar() as bar:
        exact = compare(range(args.seed, args.seed + args.exact), bar.to)
    if args.json:
        rows = {"policies": [f.row() for f in found], "exact": [asdict(one) for one in exact]}
        sys.stdout.write(json.dumps({"seed": args.seed, **rows}) + "\n")
    else:
        _show(found)
        _show_exact(exact)
    return OK


def _played(game: Game[S], policies: Sequence[str], args: argparse.Namespace) -> list[S]:
    """Play the shops asked for behind a progress bar; what cannot be run as asked is refused."""
    from askew.engine.trial.run import TrialError
    from askew.engine.trial.run import run as play_all

    seeds = range(args.seed, args.seed + args.shops)
    try:
        with _Bar() as bar:
            return play_all(game, seeds, policies, args.jobs, args.keep, args.scheduler, bar.to)
    except TrialError as error:
        raise Refusal(str(error)) from error


def _cut_again(args: argparse.Namespace) -> int:
    """Run the trial on to the next cut, and print how many parts are good."""
    from askew.engine.trial.figures import cuts
    from askew.engine.trial.policies import OURS
    from askew.engine.trial.run import CUT_AGAIN

    if args.exact:
        raise Refusal("--exact is about the order of checks; leave it out with --cut-again.")
    policies = (OURS, *(("usual order",) if args.rivals else ()))
    played = _played(CUT_AGAIN, policies, args)
    found = [cuts(policy, played) for policy in policies]
    if args.json:
        sys.stdout.write(json.dumps({"seed": args.seed, "cuts": [one.row() for one in found]}) + "\n")
        return OK
    sys.stdout.write(f"{args.shops} shops, the advice followed and the part cut again\n\n")
    sys.stdout.write(f"{'order of checks':16}{'next cut good':>15}{'+-':>6}{'in the end':>12}{'minutes':>9}\n")
    for one in found:
        sys.stdout.write(
            f"{one.policy:16}{100 * one.good:14.1f}%{100 * one.within:6.1f}"
            f"{100 * one.in_the_end:11.1f}%{one.minutes:9.1f}\n"
        )
    return OK


def _show_exact(exact: list[Compared]) -> None:
    if not exact:
        return
    best = sum(one.best for one in exact)
    sums = {"askew": sum(one.ours for one in exact)}
    sums.update({name: sum(one.others[name] for one in exact) for name in exact[0].others})
    write = sys.stdout.write
    write(
        f"\n{len(exact)} small problems: minutes, acting on a wrong cause included,\nas many times the best possible\n"
    )
    for name, minutes in sums.items():
        write(f"  {name:32}{minutes / best:7.3f}\n")


class _Bar:
    """A progress bar on standard error, where that is a terminal."""

    def __enter__(self) -> _Bar:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        console = Console(stderr=True)
        columns = (TextColumn("shops"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
        self._bar = Progress(*columns, console=console, disable=not console.is_terminal)
        self._bar.start()
        self._task = self._bar.add_task("shops", total=None)
        return self

    def to(self, done: int, of: int) -> None:
        """Show how far it is."""
        self._bar.update(self._task, completed=done, total=of)

    def __exit__(self, *_: object) -> None:
        self._bar.stop()


def _show(found: list[Figures]) -> None:
    write = sys.stdout.write
    write(f"{found[0].shops} shops\n\n")
    write(
        f"{'order of checks':16}{'first':>7}{'+-':>6}{'all named':>11}{'minutes':>9}{'median':>8}{'checks':>8}\n"
    )
    for f in found:
        write(
            f"{f.policy:16}{100 * f.first:6.1f}%{100 * f.within:5.1f}{100 * f.whole:10.1f}%"
            f"{f.minutes:9.1f}{f.median:8.1f}{f.checks:8.1f}\n"
        )
    ours = found[0]
    write(f"\nlargest contributor wrongly cleared: {100 * ours.cleared:.2f}%\n")
    if ours.calibration is not None and ours.brier is not None:
        write(f"calibration error {ours.calibration:.3f}, Brier score {ours.brier:.4f}\n")
        write("stated   came true   how many\n")
        for said, true, count in ours.reliability:
            write(f"{100 * said:5.1f}%{100 * true:10.1f}%{count:11d}\n")
    if ours.coverage is not None:
        write(f"90% intervals of sizes hold the true one: {100 * ours.coverage:.1f}%\n")
    if ours.wrong:
        write("\nwrong verdicts (true cause, named first), with `askew trial --replay SHOP` for: ")
        write(", ".join(map(str, ours.replay[:12])) + "\n")
        for kind, count in ours.wrong[:12]:
            write(f"{count:4d}  {kind}\n")


def _replay(seed: int) -> int:
    from askew.engine.trial.play import conversation
    from askew.engine.trial.shop import draw_shop

    if seed < 0:
        raise Refusal("--replay must be the number of a shop, 0 or more.")
    shop = draw_shop(seed)
    for line, turn in conversation(seed):
        suspects = ", ".join(f"{s.source} {100 * s.probability:.0f}%" for s in turn.suspects[:4])
        sys.stdout.write(f"> {line}\n  {suspects}\n")
        if turn.next is not None:
            sys.stdout.write(f"  next: {turn.next.check}, {turn.next.minutes:g} min. {turn.next.because}\n")
        if turn.verdict is not None:
            sys.stdout.write(f"  verdict: {', '.join(turn.verdict.sources) or 'no single cause'}\n")
    sys.stdout.write(
        f"In truth: {shop.main}; "
        + ", ".join(
            f"{s} {100 * mm / shop.value:.0f}%"
            for s, mm in shop.made.items()
            if abs(mm) > 0.05 * abs(shop.value)
        )
        + "\n"
    )
    return OK
