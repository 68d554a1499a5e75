"""A consultation that answers from a script, so that screens and prompts can be tested on their own.

The figures are invented; nothing here is a claim about machining.
"""

from __future__ import annotations

from typing import Any

from askew.engine.seam import Turn

SQUARE = {
    "kind": "reading",
    "id": "face_out_of_square",
    "value": 0.381,
    "unit": "thou",
    "over": 76.2,
    "sign_known": True,
    "words": "15 thou out of square over 3 in, open",
}


def size(low: float, high: float, unit: str = "mm") -> dict[str, Any]:
    """Return a size with its middle."""
    return {"mid": (low + high) / 2, "low": low, "high": high, "unit": unit}


SUSPECTS: list[dict[str, Any]] = [
    {
        "source": "off_centre_push",
        "probability": 0.62,
        "share": 0.81,
        "size": size(0.25, 0.40),
        "because": ["There is a round bar at the moving jaw."],
    },
    {
        "source": "chip_behind_jaw",
        "probability": 0.21,
        "share": 0.12,
        "size": size(-0.02, 0.11),
        "because": ["A chip of a tenth of a millimetre would do it."],
    },
    {"source": "wall_squeeze", "probability": 0.08, "share": 0.04, "size": size(0, 0.05), "because": []},
    {
        "source": "fixed_jaw_lean",
        "probability": 0.05,
        "share": -0.02,
        "size": size(-0.0004, 0.0001, "slope"),
        "because": [],
    },
    {
        "source": "square_error",
        "probability": 0.01,
        "share": 0,
        "size": size(-0.0001, 0.0001, "slope"),
        "because": [],
    },
]

CLEARED: list[dict[str, Any]] = [
    {
        "source": "tram",
        "needed": 0.022,
        "plausible": 0.0012,
        "unit": "slope",
        "because": "No head is that far out.",
    },
    {"source": "nod", "needed": 0.005, "plausible": 0.0012, "unit": "slope", "because": "Too large."},
    {
        "source": "tool_pullout",
        "needed": None,
        "plausible": 0.2,
        "unit": "mm",
        "because": "One pass cannot show it.",
    },
]

NEXT: dict[str, Any] = {
    "check": "tighten_on_part",
    "minutes": 3,
    "readings": ["clamp_rise"],
    "how": [
        "Put the indicator on the front top edge of the part with the vise just snug.",
        "Zero it, then tighten as for the cut and read how far the edge rises.",
    ],
    "expects": [
        {"source": "off_centre_push", "reading": "clamp_rise", "low": 0.25, "high": 0.41, "unit": "mm"},
        {"source": "chip_behind_jaw", "reading": "clamp_rise", "low": -0.01, "high": 0.02, "unit": "mm"},
    ],
    "because": "it parts the two leading suspects in three minutes",
}

QUESTION: dict[str, Any] = {
    "setup": "moving_jaw_contact",
    "options": ["plain", "bar", "ball", "paper", "soft"],
    "unit": None,
    "because": "a bar or ball can push the part up and roll it",
    "text": "What is between the moving jaw and the part?",
}

VERDICT: dict[str, Any] = {
    "sources": ["off_centre_push"],
    "explained": 0.87,
    "unexplained": 0.05,
    "remedies": ["no_bar"],
    "verify": ["face_out_of_square"],
}

TURNS: list[Turn] = [
    Turn.model_validate(fields)
    for fields in (
        {
            "turn": 1,
            "heard": [SQUARE],
            "suspects": SUSPECTS,
            "cleared": CLEARED[:2],
            "question": QUESTION,
            "next": NEXT,
        },
        {
            "turn": 2,
            "heard": [{"kind": "setup", "id": "moving_jaw_contact", "value": "bar", "words": "a bar"}],
            "unread": ["and the usual muttering about Mondays"],
            "suspects": SUSPECTS,
            "cleared": CLEARED,
            "next": NEXT,
            "together": [["off_centre_push", "jaw_lift"]],
            "cautions": ["clamp_for_cut"],
        },
        {
            "turn": 3,
            "heard": [
                {
                    "kind": "reading",
                    "id": "clamp_rise",
                    "value": 0.33,
                    "unit": "thou",
                    "sign_known": True,
                    "words": "13 thou",
                },
                {"kind": "sign", "id": "needle_moves_on_tightening", "answer": "yes", "words": "it moves"},
            ],
            "suspects": SUSPECTS[:1],
            "cleared": CLEARED,
            "verdict": VERDICT,
            "spent": 4,
        },
        {
            "turn": 4,
            "heard": [{"kind": "action", "id": "bar_removed", "words": "took the bar out"}],
            "suspects": SUSPECTS[:1],
            "cleared": CLEARED,
            "verdict": VERDICT,
            "closed": True,
            "spent": 12,
            "says": ["The bar pushed low on the part.", "  - before: 15 thou", "  - after: 1 thou"],
        },
    )
]

ERROR = TURNS[0].model_copy(update={"heard": []}).model_dump() | {
    "error": {"message": "A kilogram is no length.", "hint": "Give thou, in or mm, as in 5 thou."}
}


class Scripted:
    """Gives the scripted answers in turn, whatever is said; a line with "kg" is refused."""

    def __init__(self, turns: list[Turn] = TURNS) -> None:
        self.unit = "in"
        self.said: list[str] = []
        self._turns = turns
        self._at = 0

    def now(self) -> Turn:
        return self._turns[self._at - 1] if self._at else Turn(turn=0)

    def speak(self, unit: str) -> Turn:
        self.unit = unit
        return self.now().model_copy(update={"heard": [], "says": [f"Answers are in {unit} from now on."]})

    def say(self, line: str) -> Turn:
        self.said.append(line)
        if "kg" in line:
            return Turn.model_validate(ERROR)
        if line.strip() in ("quit", "bye"):
            return self.now().model_copy(
                update={
                    "heard": Turn.model_validate(
                        {"turn": 0, "heard": [{"kind": "command", "id": "quit"}]}
                    ).heard
                }
            )
        self._at = min(self._at + 1, len(self._turns))
        return self.now()
