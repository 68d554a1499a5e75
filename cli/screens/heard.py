"""What was heard: every quantity echoed as it will count, and what nothing was made of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from askew.cli.lines import Line, Span, bullet, heading, shorten, span, wrap
from askew.cli.speech import heard_value, name_of
from askew.cli.view import View

if TYPE_CHECKING:
    from askew.engine.seam import HeardOut, Turn
    from askew.knowledge.load import Knowledge


def heard_screen(turn: Turn, known: Knowledge, view: View) -> list[Line]:
    """Return what was heard in a turn; nothing where only a command was."""
    lines: list[Line] = []
    told = [heard for heard in turn.heard if heard.kind != "command"]
    if told:
        lines += heading("Heard", view)
        for heard in told:
            lines += bullet(_fact(heard, known, view), view)
    return lines + unread_lines(turn.unread, view)


def unread_lines(unread: list[str], view: View) -> list[Line]:
    """Return the words that nothing was made of."""
    if not unread:
        return []
    quoted = ", ".join(f'"{shorten(words, 36)}"' for words in unread[:4])
    more = f" and {len(unread) - 4} more" if len(unread) > 4 else ""
    return wrap([Span("Not understood: ", "warn"), span(quoted + more)], view, hang=2)


def read_screen(answer: dict[str, Any], known: Knowledge, view: View) -> list[Line]:
    """Return what the language alone makes of a line."""
    from askew.engine.seam import HeardOut  # pydantic comes with it

    lines: list[Line] = []
    if answer.get("error"):
        error = answer["error"]
        lines += wrap([Span("Not taken: ", "warn"), span(str(error["message"]))], view, hang=2)
        lines += wrap([Span("Try: ", "dim"), span(str(error["hint"]))], view, hang=2)
    for fact in answer.get("heard", []):
        fields = dict(fact)
        fields["id"] = str(fields.pop("key", fields.get("id", "")))
        kept = {key: value for key, value in fields.items() if key in HeardOut.model_fields}
        lines += bullet(_fact(HeardOut(**kept), known, view), view)
    lines += unread_lines(list(answer.get("unread", [])), view)
    return lines or wrap("Nothing was said.", view)


def _fact(heard: HeardOut, known: Knowledge, view: View) -> list[Span]:
    value = heard_value(heard, known, view)
    label = name_of(heard.id, known)
    return [span(f"{label}: "), span(value, "strong")] if value else [span(label)]
