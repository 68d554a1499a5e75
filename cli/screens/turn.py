"""One answer as a screen: what was heard, where it stands, what was cleared, what to do next.

What has not changed since the answer before is not said again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.lines import BLANK, TIE, Line, Span, bullet, heading, shorten, span, wrap
from askew.cli.screens.budget import budget_screen
from askew.cli.screens.check import check_screen
from askew.cli.screens.cleared import cleared_screen
from askew.cli.screens.heard import echoed, heard_screen
from askew.cli.screens.said import said_lines
from askew.cli.screens.stand import doubt_lines, shown, stand_screen
from askew.cli.screens.verdict import (
    closed_screen,
    proof_line,
    remedy_screen,
    same_verdict,
    verdict_screen,
)
from askew.cli.speech import minutes, option_name, size_of, text_of
from askew.cli.view import View
from askew.engine.phrases import chance_words, share_words

if TYPE_CHECKING:
    from askew.engine.seam import QuestionOut, Turn
    from askew.knowledge.load import Knowledge


def turn_screen(turn: Turn, known: Knowledge, view: View, before: Turn | None = None) -> list[Line]:
    """Return an answer as lines.

    Args:
        turn: The answer.
        known: The knowledge, for names.
        view: How to show it.
        before: The answer before, whose unchanged parts are left out; None says everything.
    """
    if turn.error is not None:
        return error_screen(turn, view) + saved_lines(turn, view)
    lines = heard_screen(turn, known, view)
    lines += said_lines([text for text in turn.says if text != echoed(turn, view)], view)
    lines += budget_screen(turn, view)
    if turn.closed:
        return lines + closed_screen(turn, known, view, before) + _ending(turn, view, before)
    if _moved(turn, before, known, view) and not _named(turn, before):
        lines += stand_screen(turn, known, view)
    if before is None or (turn.together, turn.doubtful) != (before.together, before.doubtful):
        lines += doubt_lines(turn, known, view)
    lines += cleared_screen(turn, known, view, [] if before is None else [c.source for c in before.cleared])
    # What to do and how to prove it come last: on a small screen they are what must not scroll away.
    if before is None or not same_verdict(turn.verdict, before.verdict):
        lines += verdict_screen(turn, known, view)
        lines += caution_lines(turn, known, view, [] if before is None else before.cautions)
        lines += remedy_screen(turn, known, view, None if before is None else before.verdict)
    else:
        lines += caution_lines(turn, known, view, before.cautions)
        lines += [] if _only_asked(turn, before, view) else proof_line(turn, known, view)
    if before is not None and _only_asked(turn, before, view) and turn.next == before.next:
        # The next check stands in the status line; it need not be said after every question.
        if turn.question is not None and turn.question == before.question:
            return lines + _reminder(turn.question, view) + _ending(turn, view, before)
        return lines + question_screen(turn.question, known, view) + _ending(turn, view, before)
    asked_next = any(heard.kind == "command" and heard.id == "next" for heard in turn.heard)
    lines += check_screen(turn, known, view, None if before is None or asked_next else before.next)
    asked = None if before is None else before.question
    if turn.question is not None and asked is not None and asked.setup == turn.question.setup:
        lines += still_open(turn.question, known, view)
    else:
        lines += question_screen(turn.question, known, view)
    return lines + _ending(turn, view, before)


def _only_asked(turn: Turn, before: Turn, view: View) -> bool:
    """Say whether the person asked something and told nothing; a screen reader has no status line to look at."""
    asked = bool(turn.heard) and all(heard.kind == "command" and heard.id != "next" for heard in turn.heard)
    return asked and turn.turn == before.turn and not view.linear


def _reminder(question: QuestionOut, view: View) -> list[Line]:
    """Return in one line that a question is still open."""
    start = "? Still open: "
    text = shorten(_asked(question), view.width - len(start))
    return [BLANK, *wrap([Span(start, "accent"), span(text)], view, hang=2)]


def _ending(turn: Turn, view: View, before: Turn | None) -> list[Line]:
    """Return the minutes where they have changed, and the warning where nothing could be kept."""
    same = before is not None and turn.spent == before.spent
    return ([] if same else status_lines(turn, view)) + saved_lines(turn, view)


def _moved(turn: Turn, before: Turn | None, known: Knowledge, view: View) -> bool:
    return before is None or _standing(turn, known, view) != _standing(before, known, view)


def _named(turn: Turn, before: Turn | None) -> bool:
    """Say whether the verdict, which is about to be shown, names all that there is to show of the suspects."""
    if turn.verdict is None or (before is not None and same_verdict(turn.verdict, before.verdict)):
        return False
    return {suspect.source for suspect in shown(turn)} <= set(turn.verdict.sources)


def error_screen(turn: Turn, view: View) -> list[Line]:
    """Return what was wrong with a line, and what would be right."""
    if turn.error is None:
        return []
    lines = wrap([Span("Not taken: ", "warn"), span(turn.error.message)], view, hang=2)
    if turn.error.hint:
        lines += wrap([Span("Try: ", "dim"), span(turn.error.hint)], view, hang=2)
    return [BLANK, *lines]


def still_open(question: QuestionOut, known: Knowledge, view: View) -> list[Line]:
    """Return a question that was asked before, its answers in one line with their numbers."""
    asked = [Span("? Still open: ", "accent"), span(_asked(question))]
    lines: list[Line] = [BLANK, *wrap(asked, view, hang=2)]
    answers = [option_name(question.setup, option, known) for option in question.options or []]
    if answers:
        listed = "; ".join(f"{number}{TIE}{answer}" for number, answer in enumerate(answers, 1))
        lines += wrap(Span(listed, "dim"), view, indent=2)
    return lines


def question_screen(question: QuestionOut | None, known: Knowledge, view: View) -> list[Line]:
    """Return a question with numbered answers."""
    if question is None:
        return []
    lines: list[Line] = [BLANK, *wrap([Span("? ", "accent"), span(_asked(question), "strong")], view, hang=2)]
    for number, option in enumerate(question.options or [], 1):
        lines += bullet(option_name(question.setup, option, known), view, mark=f"{number}")
    if question.because:
        lines += wrap(f"It matters: {question.because}.".replace("..", "."), view, indent=2, style="dim")
    return lines


def _asked(question: QuestionOut) -> str:
    """Return the question without its answers where they are listed under it."""
    text, colon, answers = question.text.partition(": ")
    listed = bool(question.options) and bool(colon) and answers.endswith("?")
    return f"{text}?" if listed else question.text


def caution_lines(turn: Turn, known: Knowledge, view: View, before: list[str]) -> list[Line]:
    """Return the cautions that were not given in the answer before."""
    new = [caution for caution in turn.cautions if caution not in before]
    if not new:
        return []
    lines = heading("Take care", view)
    for caution in new:
        lines += bullet([Span("! ", "warn"), span(text_of(caution, known))], view)
    return lines


def status_lines(turn: Turn, view: View) -> list[Line]:
    """Return the time spent at the machine so far."""
    if not turn.spent:
        return []
    return [BLANK, *wrap(f"Spent so far: {minutes(turn.spent)} in {turn.turn} turns.", view, style="dim")]


def saved_lines(turn: Turn, view: View) -> list[Line]:
    """Return the warning that the last lines are not on the disk; nothing where they are."""
    if turn.saved:
        return []
    return wrap([Span("NOT SAVED. ", "warn"), Span("This is kept in memory only.")], view)


def _standing(turn: Turn, known: Knowledge, view: View) -> list[tuple[str, ...]]:
    """Return what of the suspects is on the screen, to see whether it would look the same again."""
    return [
        (s.source, chance_words(s.probability), share_words(s.share), size_of(s.size, s.source, known, view))
        for s in shown(turn)
    ]
