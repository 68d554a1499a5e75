"""A word on the screen while an answer takes longer than people wait without wondering."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from askew.cli.view import View

PATIENCE = 0.7
"""Seconds before anything is shown."""
WORD = "working ..."


@contextmanager
def working(view: View) -> Iterator[None]:
    """Show that an answer is being worked out, and take it off the screen again before the answer.

    Nothing is shown where nothing can be taken back: in linear mode, on a dumb terminal, in a pipe.
    """
    if view.linear or os.environ.get("TERM", "dumb") == "dumb" or not sys.stdout.isatty():
        yield
        return
    done = threading.Lock()
    shown = False

    def show() -> None:
        nonlocal shown
        with done:
            if not ended:
                sys.stdout.write(WORD)
                sys.stdout.flush()
                shown = True

    ended = False
    timer = threading.Timer(PATIENCE, show)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        with done:
            ended = True
            if shown:
                sys.stdout.write("\r\x1b[K")
                sys.stdout.flush()
