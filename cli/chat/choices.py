"""Short forms of a line: the number of an answer, and the whole name of something done or seen.

Both become the JSON line that says the same to the engine, so that nothing is left to be guessed.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from askew.engine.seam import QuestionOut
    from askew.knowledge.load import Knowledge


def resolved(line: str, question: QuestionOut | None, known: Knowledge) -> str:
    """Return the line for the engine: what a number or a whole name stands for, else the line itself."""
    return chosen(line, question, known) or named(line, known) or line


def named(line: str, known: Knowledge) -> str | None:
    """Return the line that says a whole name, as completion puts it in; None where it is no such name."""
    text = " ".join(line.lower().split()).rstrip(".")
    for id_, action in known.actions.items():
        if text == action.name.lower():
            return json.dumps({"done": id_})
    for id_, sign in known.signs.items():
        if text == sign.name.lower():
            return json.dumps({"sign": id_, "answer": "yes"})
    for id_, reading in known.readings.items():
        if text == reading.name.lower():
            return json.dumps({"reading": id_})
    return None


def chosen(line: str, question: QuestionOut | None, known: Knowledge) -> str | None:
    """Return what a numbered answer stands for, as a line for the engine; None where it is no such answer.

    Several numbers ("1 3 4") answer a question that takes several names.
    """
    if question is None or not question.options:
        return None
    numbers = [int(digits) for digits in re.findall(r"[0-9]{1,3}", line)]
    if not re.fullmatch(r"[0-9, ]+", line.strip()) or not numbers:
        return None
    if any(not 1 <= number <= len(question.options) for number in numbers):
        return None
    picked = [question.options[number - 1] for number in numbers]
    kind = known.setup.get(question.setup)
    if kind is not None:
        ids = {label: choice for choice, label in kind.labels.items()}
        picked = [ids.get(option, option) for option in picked]
    if kind is not None and kind.kind == "names":
        return json.dumps({"setup": {question.setup: picked}})
    if len(picked) > 1:
        return None
    if kind is not None and kind.kind == "choice":
        return json.dumps({"setup": {question.setup: picked[0]}})
    if kind is not None and kind.kind == "flag":
        return json.dumps({"setup": {question.setup: picked[0] in ("yes", "true")}})
    if question.setup in known.signs:
        return json.dumps({"sign": question.setup, "answer": picked[0]})
    return picked[0]
