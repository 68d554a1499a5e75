"""Settings, and where the value of each came from.

Order: command line, environment, configuration file, as shipped. The few keys are checked by hand: pydantic
would add some 70 ms to the first prompt.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from askew.cli.exits import USAGE, Refusal
from askew.engine.safe import safe

NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
"""A machine's name."""
Value = bool | int | str | None
MAX_FILE = 64 * 1024
"""Largest configuration file read, in bytes."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing that can be set.

    Attributes:
        name: Its name in the configuration file and, where it has one, of its option.
        kind: "flag", "columns" (40 to 400), "choice", or "name" of something in the shop.
        default: The value as shipped.
        variable: The environment variable that sets it.
        explain: One sentence.
        choices: The words accepted, for a choice.
    """

    name: str
    kind: Literal["flag", "columns", "choice", "name"]
    default: Value
    variable: str
    explain: str
    choices: tuple[str, ...] = ()

    def read(self, text: str) -> Value:
        """Return the value that a text stands for.

        Raises:
            ValueError: With what would be right.
        """
        word = text.strip().lower()
        if self.kind == "flag":
            if word in ("1", "true", "yes", "on"):
                return True
            if word in ("0", "false", "no", "off", ""):
                return False
            raise ValueError("give true or false")
        if self.kind == "columns":
            if word.isascii() and word.isdigit():
                return self.check(int(word))
            raise ValueError("give a number of columns from 40 to 400")
        return self.check(word)

    def check(self, value: object) -> Value:
        """Return a value from the configuration file if it is of the right kind.

        Raises:
            ValueError: With what would be right.
        """
        if self.kind == "flag" and isinstance(value, bool):
            return value
        if (
            self.kind == "columns"
            and isinstance(value, int)
            and not isinstance(value, bool)
            and 40 <= value <= 400
        ):
            return value
        if self.kind == "choice" and isinstance(value, str) and value in self.choices:
            return value
        if self.kind == "name" and isinstance(value, str) and NAME.fullmatch(value):
            return value
        wanted = {"flag": "true or false", "columns": "a number of columns from 40 to 400"}
        wanted["name"] = "a name in small letters, digits, - and _"
        raise ValueError("give " + wanted.get(self.kind, "one of " + ", ".join(self.choices)))


SETTINGS: dict[str, Setting] = {
    setting.name: setting
    for setting in (
        Setting("plain", "flag", False, "ASKEW_PLAIN", "No colour, no drawing on the screen, no paging."),
        Setting("ascii", "flag", False, "ASKEW_ASCII", "Nothing but ASCII characters."),
        Setting(
            "linear",
            "flag",
            False,
            "ASKEW_LINEAR",
            "For screen readers: no redraws, numbered choices, words instead of bars.",
        ),
        Setting(
            "width", "columns", None, "ASKEW_WIDTH", "Columns to use; the terminal's own where it is not set."
        ),
        Setting(
            "unit", "choice", None, "ASKEW_UNIT", "Unit to answer in until another is used.", ("in", "mm")
        ),
        Setting(
            "suggestions",
            "flag",
            True,
            "ASKEW_SUGGESTIONS",
            "Suggest lines typed before, greyed, in the chat.",
        ),
        Setting(
            "popup", "flag", True, "ASKEW_POPUP", "Offer completions from the third letter; else only at Tab."
        ),
        Setting("machine", "name", None, "ASKEW_MACHINE", "Machine that a new case is on; see askew machine."),
        Setting("history", "flag", True, "ASKEW_HISTORY", "Keep the lines typed, for recall and search."),
    )
}
"""Every setting by name."""


@dataclass(frozen=True, slots=True)
class Known:
    """A setting's value and where it came from, in words."""

    value: Value
    origin: str


def config_path(environment: Mapping[str, str] = os.environ) -> Path:
    """Return where the configuration file is looked for: ASKEW_CONFIG, else the XDG place."""
    named = environment.get("ASKEW_CONFIG")
    if named:
        return Path(named)
    from platformdirs import user_config_path  # 15 ms, and only where the variable is not set

    return user_config_path("askew") / "config.toml"


def gather(options: Mapping[str, object], environment: Mapping[str, str] = os.environ) -> dict[str, Known]:
    """Return every setting in force.

    Args:
        options: What the command line gave; None stands for not given.
        environment: The environment variables.

    Raises:
        Refusal: A variable or the file holds something that is no setting; says what would be right.
    """
    path = config_path(environment)
    written = read_config(path)
    known: dict[str, Known] = {}
    for name, setting in SETTINGS.items():
        given = options.get(name)
        text = environment.get(setting.variable)
        if isinstance(given, bool | int | str):
            known[name] = Known(given, f"option --{name}")
        elif text is not None:
            try:
                known[name] = Known(setting.read(text), f"variable {setting.variable}")
            except ValueError as error:
                raise Refusal(f"{setting.variable} is {safe(text[:40])!r}: {error}.", USAGE) from None
        elif name in written:
            known[name] = Known(written[name], f"file {safe(str(path))}")
        else:
            known[name] = Known(setting.default, "as shipped")
    return known


def read_config(path: Path) -> dict[str, Value]:
    """Return the settings in a configuration file; empty where there is none.

    Raises:
        Refusal: The file is not acceptable; says where and what would be right.
    """
    name = safe(str(path))
    try:
        with path.open("rb") as file:
            data = file.read(MAX_FILE + 1)
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise Refusal(f"{name} cannot be read: {error.strerror}.", USAGE) from None
    if len(data) > MAX_FILE:
        raise Refusal(f"{name} is larger than {MAX_FILE // 1024} KiB, which no configuration needs.", USAGE)
    try:
        tables = tomllib.loads(data.decode())
    except UnicodeDecodeError:
        raise Refusal(f"{name} is not UTF-8 text.", USAGE) from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise Refusal(f"{name} is not TOML: {safe(str(error))}.", USAGE) from None
    values: dict[str, Value] = {}
    for key, value in tables.items():
        if key not in SETTINGS:
            raise Refusal(f"{name}: no setting {safe(key[:40])!r}; there are {', '.join(SETTINGS)}.", USAGE)
        try:
            values[key] = SETTINGS[key].check(value)
        except ValueError as error:
            raise Refusal(f"{name}: {key}: {error}.", USAGE) from None
    return values


def write_config(path: Path, name: str, value: Value) -> None:
    """Put one setting into the configuration file, keeping the others; None takes it out.

    Raises:
        Refusal: The file cannot be read or written.
    """
    values = read_config(path)
    values[name] = value
    lines = [f"{key} = {_toml(item)}\n" for key, item in values.items() if item is not None]
    aside = path.with_name(path.name + ".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        aside.write_text("".join(lines), encoding="utf-8")
        aside.replace(path)
    except OSError as error:
        raise Refusal(f"{safe(str(path))} cannot be written: {error.strerror}.") from None


def _toml(value: Value) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value) if isinstance(value, int) else f'"{value}"'
