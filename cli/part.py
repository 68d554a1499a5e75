"""What `askew fix` and `askew plan` ask about the job: options that make a setup, or a case that has one."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from askew.cli.exits import NO_CASE, USAGE, Refusal
from askew.cli.sizes import Sizes

if TYPE_CHECKING:
    from askew.engine.consult import Consultation
    from askew.engine.setup import Setup

_LENGTHS = {
    "across": ("part_across", "width of the cut face across the feed"),
    "along": ("part_along", "length of the cut face along the feed"),
    "height": ("part_height", "height of the face against the fixed jaw"),
    "depth": ("part_depth", "depth of the part between the jaws"),
    "grip": ("grip_height", "height inside the jaws"),
    "tolerance": ("tolerance", "how far out it may be"),
    "diameter": ("cutter_diameter", "diameter of the cutter"),
    "spacing": ("pass_spacing", "distance between passes"),
}
_CHOICES = {
    "machine": "machine",
    "material": "material",
    "contact": "moving_jaw_contact",
    "feed": "feed_axis",
    "cutter": "cutter_kind",
}


def add_part(parser: argparse.ArgumentParser, *names: str) -> None:
    """Add the options that describe the part and the cut; all of them where no names are given."""
    group = parser.add_argument_group("the job (what is not given is taken as usual)")
    for name, (_, text) in _LENGTHS.items():
        if not names or name in names:
            group.add_argument(f"--{name}", metavar="LENGTH", help=text)
    if not names or "passes" in names:
        group.add_argument("--passes", type=_passes, metavar="N", help="number of passes side by side")
    for name, key in _CHOICES.items():
        if not names or name in names:
            group.add_argument(
                f"--{name}", metavar=name.upper(), help=f"{key.replace('_', ' ')}, as in a talk"
            )


def setup_from(args: argparse.Namespace, sizes: Sizes, base: Setup | None = None) -> Setup:
    """Return the setup that the options describe, over that of a case where there is one.

    Raises:
        Refusal: An option is no length, or no such choice, or out of range.
    """
    from askew.engine.setup import Setup, SetupError, checked  # pydantic is not needed for --help

    told: dict[str, Any] = {}
    for name, (key, text) in _LENGTHS.items():
        if getattr(args, name, None) is not None:
            told[key] = sizes.mm(getattr(args, name), text)
    for name, key in _CHOICES.items():
        if getattr(args, name, None) is not None:
            told[key] = getattr(args, name).replace("-", "_").replace(" ", "_")
    if getattr(args, "passes", None) is not None:
        told["passes"] = args.passes
    try:
        return (base or Setup()).having(**{key: checked(key, value) for key, value in told.items()})
    except SetupError as error:
        raise Refusal(f"{error} {error.hint}", USAGE) from None


def open_case(path: Path) -> Consultation:
    """Open a case to read what it believes; the file is not written.

    Raises:
        Refusal: There is no such case, or it cannot be read.
    """
    from askew.engine.consult import Consultation
    from askew.engine.record.journal import Journal, JournalError

    if not path.is_file():
        raise Refusal(f"There is no case file {str(path)[:200]!r}.", NO_CASE)
    try:
        with Journal.open(path, write=False) as journal:
            return Consultation(journal)
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None


def _passes(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 500:
        raise argparse.ArgumentTypeError(f"{text[:20]!r} is not a number of passes from 1 to 500")
    return int(text)
