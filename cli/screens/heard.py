"""What was heard: every quantity echoed as it will count, and what nothing was made of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from askew.cli.lines import Line, Span, bullet, heading, shorten, span, wrap
from askew.cli.speech import heard_value, name_of
from askew.cli.view import View
from askew.engine.language.echo import echo
from askew.engine.observations import Action, Bound, Command, Observation, Reading, SetupFact, Sign

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
    lines: list[Line] = []
    if answer.get("error"):
        error = answer["error"]
        lines += wrap([Span("Not taken: ", "warn"), span(str(error["message"]))], view, hang=2)
        lines += wrap([Span("Try: ", "dim"), span(str(error["hint"]))], view, hang=2)
    for fact in answer.get("heard", []):
        lines += bullet(_fact(_heard_out(fact), known, view), view)
    for fact in answer.get("aside", []):
        lines += wrap([Span("Not counted: ", "warn"), *_fact(_heard_out(fact), known, view)], view, hang=2)
    lines += unread_lines(list(answer.get("unread", [])), view)
    return lines or wrap("Nothing was said.", view)


def _heard_out(fact: dict[str, Any]) -> HeardOut:
    from askew.engine.seam import HeardOut  # pydantic comes with it

    fields = dict(fact)
    fields["id"] = str(fields.pop("key", fields.get("id", "")))
    return HeardOut(**{key: value for key, value in fields.items() if key in HeardOut.model_fields})


def echoed(turn: Turn, view: View) -> str:
    """Return what was heard as the engine says it in one line, so that it is not shown twice."""
    return echo([fact for heard in turn.heard if (fact := _observation(heard)) is not None], view.habit)


def _observation(heard: HeardOut) -> Observation | None:
    if heard.kind == "reading":
        bounds: dict[str | None, Bound] = {"at_least": "at_least", "at_most": "at_most", "about": "about"}
        return Reading(
            heard.id,
            heard.value,
            over=heard.over,
            bound="between" if heard.bound == "between" else bounds.get(heard.bound),
            low=heard.low,
            high=heard.high,
            sign_known=heard.sign_known is not False,
        )
    if heard.kind == "sign":
        return Sign(heard.id, heard.answer or "yes")
    if heard.kind == "setup":
        return SetupFact(heard.id, tuple(heard.value) if isinstance(heard.value, list) else heard.value)
    return Action(heard.id) if heard.kind == "action" else Command(heard.id)


def _fact(heard: HeardOut, known: Knowledge, view: View) -> list[Span]:
    fact = _observation(heard)
    if isinstance(fact, Reading):
        return [span(echo([fact], view.habit), "strong")]
    value = heard_value(heard, view)
    label = name_of(heard.id, known)
    return [span(f"{label}: "), span(value, "strong")] if value else [span(label)]
