"""One screenful at a time on a terminal; everything at once elsewhere."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Sequence

from askew.cli.emit import emit
from askew.cli.lines import Line
from askew.cli.view import View
from askew.engine.safe import safe

MORE = "-- Enter for more, q to stop --"
_ON = ("\r", "\n", " ", "")
_ENOUGH = ("q", "Q", "\x1b", "\x03", "\x04")


def page(lines: Sequence[Line], view: View) -> str:
    """Write lines, stopping after each screenful where a person sits at a terminal that scrolls.

    One key goes on or stops. Any other begins what the person wants to say next, and is returned for the prompt.

    A screen reader has its own way of going through a text, so linear views are never stopped.
    """
    rows = shutil.get_terminal_size((80, 24)).lines - 1
    if view.linear or not (sys.stdin.isatty() and sys.stdout.isatty()) or len(lines) <= rows:
        emit(lines, view)
        return ""
    start = 0
    while start < len(lines):
        stop = _stop(lines, start, rows)
        emit(lines[start:stop], view)
        start = stop
        if start >= len(lines):
            break
        sys.stdout.write(MORE)
        sys.stdout.flush()
        key = _key()
        # The stop itself is taken off the screen again, where the terminal can do that.
        sys.stdout.write("\n" if os.environ.get("TERM", "dumb") == "dumb" else "\r\x1b[K")
        sys.stdout.flush()
        if key in _ENOUGH:
            break
        if key not in _ON:
            return safe(key) if key.isprintable() else ""
    return ""


def _key() -> str:
    """Return the next key without waiting for Enter; "" for one that has no character, such as Down."""
    try:
        import termios
        import tty
    except ImportError:  # Windows
        return _line()
    place = sys.stdin.fileno()
    before = termios.tcgetattr(place)
    try:
        # Not flushed: what was typed ahead is for the prompt.
        tty.setcbreak(place, termios.TCSADRAIN)
        data = os.read(place, 1)
        if data == b"\x1b" and _waiting(place):  # an arrow or Page Down: the rest of its sequence goes with it
            while _waiting(place) and not os.read(place, 1).isalpha():
                if not _waiting(place):
                    break
            return ""
        for _ in range(3 if data >= b"\xf0" else 2 if data >= b"\xe0" else 1 if data >= b"\xc0" else 0):
            data += os.read(place, 1)
    except KeyboardInterrupt:
        return "\x03"
    finally:
        termios.tcsetattr(place, termios.TCSADRAIN, before)
    return data.decode(errors="replace") or "\x04"


def _waiting(place: int) -> bool:
    import select

    return bool(select.select([place], [], [], 0.03)[0])


def _line() -> str:
    try:
        return input()[:1]
    except (EOFError, KeyboardInterrupt):
        return "\x04"


def _stop(lines: Sequence[Line], start: int, rows: int) -> int:
    """Return where a screenful ends: between two paragraphs where that leaves at least half of it."""
    last = start + rows
    if last >= len(lines):
        return len(lines)
    for place in range(last, start + rows // 2, -1):
        if not lines[place]:
            return place
    return last
