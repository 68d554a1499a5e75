"""Where it stands: the suspects, what each would be in size, and how much of the error each makes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.lines import Line, Span, bar, bullet, cells, heading, span, wrap
from askew.cli.speech import either_way, name_of, size_of
from askew.cli.view import View
from askew.engine.phrases import chance_words, share_words

if TYPE_CHECKING:
    from askew.engine.seam import SuspectOut, Turn
    from askew.knowledge.load import Knowledge

MOST = 4
"""Suspects shown; the others are counted."""
ALIGNED = 98
"""Columns from which chance and share stand in columns of their own."""
COLUMN = 30
"""Cells of the column of names."""
FAINT = 0.05
"""Chance under which a suspect is only counted, unless it leads."""


def shown(turn: Turn) -> list[SuspectOut]:
    """Return the suspects that are worth a line."""
    return [
        suspect
        for rank, suspect in enumerate(turn.suspects[:MOST])
        if rank == 0 or suspect.probability >= FAINT
    ]


def stand_screen(turn: Turn, known: Knowledge, view: View) -> list[Line]:
    """Return the suspects, best first."""
    suspects = shown(turn)
    if not suspects:
        return []
    lines = heading("Where it stands", view)
    # Before there is a number to explain there is no share of it, and a size would only be what is usual.
    bare = not any(suspect.share for suspect in turn.suspects)
    for rank, suspect in enumerate(suspects, 1):
        lines += _suspect(rank, suspect, known, view, bare=bare)
    rest = len(turn.suspects) - len(suspects)
    if rest > 0:
        lines += wrap(f"and {rest} less likely.", view, indent=2, style="dim")
    return lines


def doubt_lines(turn: Turn, known: Knowledge, view: View) -> list[Line]:
    """Return what cannot be told apart yet, and what does not fit the rest."""
    lines: list[Line] = []
    alike: dict[str, list[str]] = {}
    for first, second in (pair for pair in turn.together if len(pair) == 2):
        alike.setdefault(first, []).append(name_of(second, known))
    for first, others in list(alike.items())[:1]:
        lines += bullet(f"Nothing so far tells {name_of(first, known)} from {' or '.join(others[:2])}.", view)
    if turn.doubtful:
        names = ", ".join(name_of(reading, known) for reading in turn.doubtful)
        lines += bullet([Span("Does not fit the rest: ", "warn"), span(names)], view)
    return lines


def part_of_error(share: float, *, settled: bool = False) -> str:
    """Return a share of the complaint in words; what is not settled is what it would make if it were so."""
    if share < -0.005:
        return f"{'takes' if settled else 'would take'} {share_words(-share)} off the error"
    if share > 1.05:
        return f"{'makes' if settled else 'would make'} more than all of the error"
    return f"{'makes' if settled else 'would make'} {share_words(share)} of the error"


def _suspect(rank: int, suspect: SuspectOut, known: Knowledge, view: View, *, bare: bool) -> list[Line]:
    name = name_of(suspect.source, known)
    chance = chance_words(suspect.probability)
    if bare:
        return wrap([Span(f"{rank}. "), span(name, "strong"), Span(f": {chance} likely")], view, hang=3)
    size = size_of(suspect.size, suspect.source, known, view)
    source = known.sources.get(suspect.source)
    signed = source is not None and not source.one_sided and not either_way(suspect.size)
    plus = f" (plus: {source.plus})" if source and signed else ""
    if view.linear:
        text = f"{rank}. {name}: chance {chance}, {part_of_error(suspect.share)}, size {size}{plus}."
        return wrap(text, view, hang=3)
    meter = bar(suspect.share, view)
    # On a narrow screen which way is plus is said where the direction is settled: then it is needed.
    settled = suspect.size.low * suspect.size.high > 0.0
    detail = [Span("size ", "dim"), span(size), *([span(plus, "dim")] if settled or not view.stacked else [])]
    label = f"{rank}. {name}"
    if view.width < ALIGNED or cells(label) > COLUMN - 2:
        return [
            *wrap([Span(f"{rank}. "), span(name, "strong"), Span(f": {chance} likely")], view, hang=3),
            *wrap([meter, Span(" " + part_of_error(suspect.share))], view, indent=3),
            *wrap(detail, view, indent=3, hang=5),
        ]
    pad = " " * (COLUMN - cells(label))
    first = (Span(f"{rank}. "), span(name, "strong"), Span(f"{pad}{chance:>8} likely  "), meter)
    return [(*first, Span(" " + part_of_error(suspect.share))), *wrap(detail, view, indent=3, hang=5)]
