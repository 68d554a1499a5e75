"""The bare complaint, that it came out of square, told beside so much else that another topic took its words."""

from __future__ import annotations

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.together.attempt import asks
from askew.engine.observations import Observation, Reading

_COMPLAINT = "face_out_of_square"
_OF_ANOTHER = frozenset(
    {
        *("head", "spindle", "column", "knee", "quill", "jaw", "fixed_jaw", "moving_jaw", "hole", "bed", "table"),
        *("block", "wall", "square_tool", "flip", "plan", "tip_of_end", "other_corner", "turned", "turn_part", "axes"),
        *("sweep", "small_cutter", "square_on_table", "square_in_vise", "cold", "warm", "other_machine"),
        *("first", "follows_part"),
    }
)
"""What makes of "out of square" the matter of another reading or sign."""
_UNTRUE = {"not", "no", "nothing", "planned", "unsure", "dont_know", "might_be", "what_if", "some_day", "every_time"}


def add_complaint(message: Message, facts: list[Observation]) -> None:
    """Add that the face came out of square where a clause says so plainly and no reading was heard.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    if any(isinstance(fact, Reading) for fact in facts) or not message.has("out_of_square"):
        return
    for clause in message.clauses:
        if "out_of_square" in message.names(clause.start, clause.end) and _plain(message, clause):
            message.take(clause.start, clause.end)
            facts.append(Reading(_COMPLAINT, None, sign_known=False, words=message.said(clause.start, clause.end)))
            return


def _plain(message: Message, clause: Clause) -> bool:
    """Tell whether a clause only says that the part is out of square, and neither asks nor denies it."""
    names = message.names(clause.start, clause.end)
    told = message.tokens[clause.start].text not in ("if", "when", "whether", "unless", "is", "could", "why", "how")
    return told and not names & (_OF_ANOTHER | _UNTRUE) and not asks(message, clause.start, clause.end)
