"""What was told in the last message, put right in the next one."""

from __future__ import annotations

import pytest

from askew.engine.language import Context, read
from askew.engine.observations import Reading

_TOLD = Reading("runout", 8 * 0.0254, unit="thou")
_OPEN = Reading("step", 0.03, unit="mm")


@pytest.mark.parametrize(
    ("text", "last", "value"),
    [
        ("wait no 3 not 8, fat fingers", _TOLD, 3 * 0.0254),
        ("scratch that, three thou not eight, me glasses were mucky", _TOLD, 3 * 0.0254),
        ("amend the previous figure to nine", _TOLD, 9 * 0.0254),
        ("misread. tenths, not thou", _TOLD, 8 * 0.00254),
        ("I must correct myself: it was the front that is higher", _OPEN, -0.03),
        ("No, not six hundredths, eight", _OPEN, 0.08),
        ("same as it was before", _OPEN, 0.03),
        ("nah I was reading the wrong bit, that's spot on", _OPEN, 0.0),
    ],
)
def test_a_correction_may_say_how_the_mistake_was_made(text: str, last: Reading, value: float) -> None:
    told = read(text, Context(last=(last,))).facts
    assert [fact.id for fact in told if isinstance(fact, Reading)] == [last.id]
    assert told[0].value == pytest.approx(value)
