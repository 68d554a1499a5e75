"""`askew config`: every setting, its value, and where it came from."""

from __future__ import annotations

import argparse

from askew.cli.emit import emit
from askew.cli.exits import OK, USAGE, Refusal
from askew.cli.lines import BLANK, Line, labelled, wrap
from askew.cli.settings import SETTINGS, Known, config_path, write_config
from askew.cli.view import View, settings_of, view_of
from askew.engine.safe import safe


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew config`."""
    parser.add_argument(
        "setting", nargs="*", metavar="NAME=VALUE", help="write this into the configuration file"
    )
    parser.add_argument("--path", action="store_true", help="print where the file is looked for and stop")


def run(args: argparse.Namespace) -> int:
    """Show the settings, after writing those that were given."""
    if args.path:
        print(safe(str(config_path())))  # noqa: T201
        return OK
    for text in args.setting:
        _write(text)
    settings = settings_of(args)
    view = view_of(settings)
    emit(settings_screen(settings, view), view)
    return OK


def _write(text: str) -> None:
    name, equals, value = text.partition("=")
    if not equals or name.strip() not in SETTINGS:
        raise Refusal(f"{text[:40]!r} is no NAME=VALUE; the names are {', '.join(SETTINGS)}.", USAGE)
    setting = SETTINGS[name.strip()]
    if not value.strip():
        return write_config(config_path(), setting.name, None)
    try:
        return write_config(config_path(), setting.name, setting.read(value))
    except ValueError as error:
        raise Refusal(f"{setting.name}: {error}.", USAGE) from None


def settings_screen(settings: dict[str, Known], view: View) -> list[Line]:
    """Return every setting with its value, its origin and its meaning."""
    lines: list[Line] = []
    for name, known in settings.items():
        value = {True: "true", False: "false", None: "not set"}.get(known.value, known.value)  # type: ignore[arg-type]
        lines += labelled(name, f"{value} ({known.origin})", view, indent=0, column=14)
        lines += wrap(SETTINGS[name].explain, view, indent=2, style="dim")
    return [*lines, BLANK, *wrap("Change one with: askew config NAME=VALUE", view)]
