"""`askew explain WORD`: what a word means, with a drawing where one helps."""

from __future__ import annotations

import argparse

from askew.cli.exits import OK, REFUSED


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew explain`."""
    parser.add_argument("word", nargs="*", help="a word, a name or an id")
    parser.add_argument("--list", action="store_true", help="list every word that can be explained")


def run(args: argparse.Namespace) -> int:
    """Explain a word; exit status 1 where nothing fits it."""
    from askew.cli.emit import emit
    from askew.cli.glossary import entries
    from askew.cli.screens.explain import explain_screen, list_screen
    from askew.cli.view import view_from
    from askew.knowledge.load import load

    view = view_from(args)
    words = " ".join(args.word)
    if args.list or not words:
        emit(list_screen(entries(load()), view), view)
        return OK
    found, screen = explain_screen(words, load(), view)
    emit(screen, view)
    return OK if found else REFUSED
