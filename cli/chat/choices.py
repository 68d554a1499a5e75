"""Numbered answers: a digit typed after a question stands for the answer with that number."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from askew.engine.seam import QuestionOut
    from askew.knowledge.load import Knowledge


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
