"""What a wish to live with the machine as it stands tells beside: the tolerance, and what was measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from askew.engine.language.clauses.message import Message, shown_habit
from askew.engine.language.commands.doubts import tells_a_number
from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial
from askew.engine.observations import Command, Observation, Reading, SetupFact
from askew.engine.units import Habit

_KEY = "tolerance"


def limits(
    text: str,
    message: Message,
    asked: Command,
    settle: Callable[[str, Message, Context, Habit | None], Trial],
    context: Context,
) -> tuple[Observation, ...]:
    """Return what a wish tells of the tolerance to be held, and what was measured: "cut it in 3 thou as she stands".

    Args:
        text: The text of the message.
        message: The message.
        asked: What is asked for.
        settle: What reads a message in a context.
        context: The context, with the unit that the person is used to.
    """
    if asked.id != "live_with" or not tells_a_number(message):
        return ()
    habit = shown_habit(message) or context.unit
    told = [fact for fact in settle(text, message, context, habit).facts if _is_kept(fact)]
    if not told:
        answer = settle(text, message, replace(context, asked=_KEY), habit)
        told = [fact for fact in answer.facts if isinstance(fact, SetupFact) and fact.key == _KEY]
    return tuple(told)


def _is_kept(fact: Observation) -> bool:
    """Tell whether a fact is a tolerance or a reading with its number."""
    return (isinstance(fact, SetupFact) and fact.key == _KEY) or (isinstance(fact, Reading) and bool(fact.value))
