"""Which slide went up and down: the quill, the knee or the whole head."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.choosing import LONG, choosing_words
from askew.engine.language.job.nouns import LEAST_SIZE
from askew.engine.language.model import Context
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import text_at

_TO_LENGTH = 3
"""Words that may stand between a slide and how far it went."""
_RUN_UP = ("up_jaw", "indicator_up", "square_on_table", "still_clamped")
_RUN_UP_FOR = {
    *("fixed_jaw_travel", "block_out_of_square", "square_travel_x", "square_travel_y", "face_out_of_square_clamped"),
}
"""What a needle is run up for, and the words that tell of it."""


def is_vertical_travel(message: Message, spot: Spot, choice: str, context: Context) -> bool:
    """Tell whether a slide is named as the one that went up and down."""
    first, width = text_at(message.tokens, spot.start), spot.end - spot.start
    after = text_at(message.tokens, spot.end), text_at(message.tokens, spot.end + 1)
    if choice == "head" and (
        (after[0] == "a" and after[1] in choosing_words("slightly")) or after[0] in choosing_words("aside")
    ):
        return False  # "moved the head a little", "moved the head over"
    if any(text_at(message.tokens, at) == "of" and _gone_over(message, at) for at in (spot.end - 2, spot.start)):
        return True  # "over seven inches of knee", "2 inches of knee travel"
    if _moved_so_far(message, spot):
        return True
    if message.word_set & choosing_words("pushing") or text_at(message.tokens, spot.end - 1) == "runs":
        return False  # what gives when it is pushed is no travel, nor is what "runs out of plumb"
    run_up = message.has(*_RUN_UP) or (message.has("fixed_jaw") and message.has("needle"))
    if width > 1 and first in ("by", "via", "using") and not message.has("push_pull"):
        return True
    if width > 1 and (run_up or context.asked in _RUN_UP_FOR) and not message.has("push_pull"):
        moves = {text_at(message.tokens, spot.end - 1), after[0]} & choosing_words("going")
        if moves or first in choosing_words("with_slide"):
            return True  # "with quill", "knee up and down" where something was run up
    enough = 1 if message.has("square_on_table") else LONG - 1
    if width > (enough if first == choice else LONG):
        return True
    return width >= LONG - 1 and not message.has("push_pull") and first in choosing_words("travelling")


def _moved_so_far(message: Message, spot: Spot) -> bool:
    """Tell whether a slide is said to have been moved by a length too long for an error: "raised head 150 mm"."""
    far = next((q for q in message.prepared if 0 <= q.start - spot.end <= _TO_LENGTH and not q.junk), None)
    if far is None or far.mm is None or far.mm <= LEAST_SIZE:
        return False
    between = {text_at(message.tokens, at) for at in range(spot.end, far.start)}
    verbs = {text_at(message.tokens, at) for at in (spot.start - 2, spot.start - 1, spot.start)} | between
    return between <= choosing_words("moved_by") and bool(verbs & choosing_words("travelling_verbs"))


def _gone_over(message: Message, at: int) -> bool:
    """Tell whether a length that something is wound ends at a token."""
    at -= text_at(message.tokens, at - 1) == "."  # "2 in. of knee travel"
    return any(q.end == at and q.mm is not None and q.mm > LEAST_SIZE for q in message.prepared if not q.junk)
