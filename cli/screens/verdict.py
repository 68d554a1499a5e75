"""The verdict: what did it, what stays unexplained, what to do, and how to prove it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.lines import BLANK, Line, Span, bar, bullet, heading, labelled, span, wrap
from askew.cli.screens.stand import part_of_error
from askew.cli.speech import minutes, name_of, size_of, text_of
from askew.cli.view import View
from askew.engine.phrases import share_words
from askew.engine.units import format_length

if TYPE_CHECKING:
    from askew.engine.seam import Turn, VerdictOut
    from askew.knowledge.load import Knowledge


def same_verdict(one: VerdictOut | None, other: VerdictOut | None) -> bool:
    """Say whether two verdicts come to the same for a person: causes, share explained, remedies and proof."""
    if one is None or other is None:
        return one is other
    return _gist(one) == _gist(other)


def _gist(verdict: VerdictOut) -> tuple[object, ...]:
    return verdict.sources, share_words(verdict.explained), verdict.remedies, verdict.verify


def verdict_screen(turn: Turn, known: Knowledge, view: View) -> list[Line]:
    """Return what did it, and what stays unexplained."""
    verdict = turn.verdict
    if verdict is None:
        return []
    lines = heading("What did it", view)
    if not verdict.sources:
        lines += wrap("Nothing on the list explains it.", view, indent=2)
    for suspect in turn.suspects:
        if suspect.source in verdict.sources:
            size = size_of(suspect.size, suspect.source, known, view)
            share = [bar(suspect.share, view), Span(" ")] if not view.linear else []
            lines += wrap(
                [span(name_of(suspect.source, known), "strong"), span(f": {size}")], view, indent=2, hang=4
            )
            lines += wrap([*share, Span(part_of_error(suspect.share, settled=True))], view, indent=4)
    named = {suspect.source for suspect in turn.suspects}
    for source in verdict.sources:
        if source not in named:
            lines += wrap(span(name_of(source, known), "strong"), view, indent=2)
    lines += labelled("explained", share_words(verdict.explained), view)
    return lines + labelled("left unexplained", format_length(abs(verdict.unexplained), view.habit), view)


def remedy_screen(turn: Turn, known: Knowledge, view: View, before: VerdictOut | None = None) -> list[Line]:
    """Return what to do and how to prove it; not said again where it is that of the verdict `before`."""
    verdict = turn.verdict
    if verdict is None:
        return []
    if before is not None and (before.remedies, before.verify) == (verdict.remedies, verdict.verify):
        return proof_line(turn, known, view)
    lines = _remedies(verdict, known, view) + _proof(turn, verdict, known, view)
    hint = "Say fix for the numbers of it, or plan to live with the machine as it is."
    return [*lines, BLANK, *wrap(hint, view, style="dim")] if verdict.sources else lines


def closed_screen(turn: Turn, known: Knowledge, view: View, before: Turn | None) -> list[Line]:
    """Return that the case is closed, and what it was."""
    if before is not None and before.closed:
        return []
    verdict = turn.verdict or (before.verdict if before is not None else None)
    lines = heading("The case is closed", view)
    if verdict is not None and verdict.sources:
        listed = [source for source in verdict.sources if source != "unlisted"] or verdict.sources
        names = ", ".join(name_of(source, known) for source in listed)
        besides = " and something besides that is not on the list" if len(listed) < len(verdict.sources) else ""
        was = [Span("It was "), span(names, "strong"), Span(f"{besides}, and the fix is proved.")]
        lines += wrap(was, view, indent=2)
    return lines + wrap("Say new case for another part.", view, indent=2, style="dim")


def proof_line(turn: Turn, known: Knowledge, view: View) -> list[Line]:
    """Return what is still wanted to close the case, where the verdict has been shown before."""
    if turn.verdict is None or not turn.verdict.verify or any(heard.id == "fix" for heard in turn.heard):
        return []
    promised = promises(turn)
    wanted = promised[0] if promised else f"{text_of(turn.verdict.verify[0], known)}, after the fix."
    wanted = wanted[:1].lower() + wanted[1:]
    return [BLANK, *wrap([Span("Still to prove: ", "accent"), span(wanted)], view, hang=2)]


def promises(turn: Turn) -> list[str]:
    """Return what the fix made or asked for promises and nobody has read yet."""
    return [proof.says for proof in turn.proof if proof.read is None]


def _remedies(verdict: VerdictOut, known: Knowledge, view: View) -> list[Line]:
    if not verdict.remedies:
        return []
    lines = heading("What to do", view)
    for rank, id_ in enumerate(verdict.remedies):
        remedy = known.remedies.get(id_)
        if remedy is None:
            lines += bullet(text_of(id_, known), view)
            continue
        title = [span(remedy.name, "strong"), Span(", "), Span(minutes(remedy.minutes), "dim")]
        lines += wrap(title, view, indent=2)
        if rank == 0:
            for number, step in enumerate(known.steps_of(remedy), 1):
                mark = f"{number}. "
                lines += wrap([Span(mark, "dim"), span(step)], view, indent=4, hang=4 + len(mark))
    return lines


def _proof(turn: Turn, verdict: VerdictOut, known: Knowledge, view: View) -> list[Line]:
    if not verdict.verify:
        return []
    lines = heading("Prove it", view)
    for item in promises(turn) or [text_of(item, known) for item in verdict.verify]:
        lines += bullet(item, view)
    return lines
