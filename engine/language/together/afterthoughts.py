"""What a clause of its own adds to the last reading or sign: a length, a direction, a place, a denial, a doubt."""

from __future__ import annotations

from dataclasses import replace

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.numbers.measured import is_span, is_value
from askew.engine.language.observed.directions import direction, signed
from askew.engine.language.observed.length_over import span_mm
from askew.engine.language.observed.signs import place_of
from askew.engine.language.together.attempt import Trial, last_reading
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Reading, Sign
from askew.engine.units import UNITS

_ABOUT_DOUBT = {
    *("which", "where", "how", "why", "that", "this", "matters", "matter", "help", "helps"),
    *("normal", "related", "connected", "means", "mean"),
}


def span_added(trial: Trial, group: Group) -> bool:
    """Give the last reading the length that follows in a clause of its own: "..., 200 mm circle".

    Args:
        trial: The attempt at the message; its facts change in place.
        group: The clauses that may tell it.

    Returns:
        Whether the group told it.
    """
    last = last_reading(trial)
    inside = trial.message.within(group.start, group.end)
    spans = [quantity for quantity in inside if is_span(quantity)]
    if (
        last is None
        or last[1].over is not None
        or last[1].value is None
        or lexicon().meanings[last[1].id].size
        or len(spans) != 1
        or any(is_value(quantity) for quantity in inside)
        or lexicon().meanings[last[1].id].size  # play is not told over a length
    ):
        return False
    habit = UNITS[last[1].unit].habit if last[1].unit in UNITS else trial.habit
    over = span_mm(trial.message, spans[0], habit or trial.habit)
    trial.facts[last[0]] = replace(last[1], over=over)
    for place, fact in enumerate(trial.facts):  # the other axis of the same sweep was taken on the same circle
        same = isinstance(fact, Reading) and fact.id.startswith("sweep_") and last[1].id.startswith("sweep_")
        if same and isinstance(fact, Reading) and fact.over is None and fact.value is not None:
            trial.facts[place] = replace(fact, over=over)
    return True


def direction_added(trial: Trial, group: Group) -> bool:
    """Give the last reading the direction that follows in a clause of its own: "..., foot proud".

    Args:
        trial: The attempt at the message; its facts change in place.
        group: The clauses that may tell it.

    Returns:
        Whether the group told it.
    """
    last = last_reading(trial)
    if (
        last is None
        or last[1].value is None
        or last[1].sign_known
        or has_value(trial.message, group)
    ):
        return False
    meaning = lexicon().meanings[last[1].id]
    sign, known = direction(replace(meaning, default=""), trial.message.mask(group.start, group.end))
    if not known or trial.message.names(group.start, group.end) & {"unsure", "dont_know"}:
        return False  # "couldn't say left or right"
    trial.facts[last[0]] = signed(last[1], sign)
    return True


def place_added(trial: Trial, group: Group) -> bool:
    """Give the last sign the place that follows in a clause of its own: "..., back is higher".

    Args:
        trial: The attempt at the message; its facts change in place.
        group: The clauses that may tell it.

    Returns:
        Whether the group told it.
    """
    last = trial.facts[-1] if trial.facts else None
    if not isinstance(last, Sign):
        return False
    higher = last.id == "step_felt" and "high" in trial.message.names(group.start, group.end)
    only = trial.message.tokens[group.start].text in ("only", "just") and last.answer == "no"
    if last.answer != "yes" and not only and not (higher and last.answer not in ("no", "unknown")):
        return False
    place = place_of(lexicon().meanings[last.id], trial.message.mask(group.start, group.end))
    if place is None:
        return False
    trial.facts[-1] = replace(last, answer=place)
    return True


def denied(trial: Trial, group: Group) -> bool:
    """Take the last sign for denied where a clause of its own says so: "looked for chips, found none".

    Args:
        trial: The attempt at the message; its facts change in place.
        group: The clauses that may tell it.

    Returns:
        Whether the group told it.
    """
    last = trial.facts[-1] if trial.facts else None
    if not isinstance(last, Sign) or last.answer not in ("yes", "both") or group.end - group.start > 5:
        return False
    names = trial.message.names(group.start, group.end)
    if "none_of_them" in names and last.answer == "both":
        trial.facts[-1] = replace(last, answer="no")
        return True
    if "tears_first" in names and last.id == "paper_pulls_out":
        trial.facts[-1] = replace(last, answer="no")
        return True
    if last.answer != "yes" or not names & {"nothing", "no", "not"} or names & {"change", "move", "again"}:
        return False
    meanings = lexicon().meanings
    across = last.id.removesuffix("_along")
    if across != last.id and "across" in names and "along" not in names:
        trial.facts.append(Sign(across, "no", trial.message.said(group.start, group.end)))
        return True
    if names & {"ends", "middle"} and "along" not in names:
        return False  # that it shows nowhere else denies nothing
    other = f"{last.id}_along"
    if other in meanings and "along" in trial.message.names(group.start, group.end):
        trial.facts.append(Sign(other, "no", trial.message.said(group.start, group.end)))
        return True
    trial.facts[-1] = replace(last, answer=meanings[last.id].none or "no")
    return True


def put_in_doubt(trial: Trial, group: Group) -> bool:
    """Take the last sign for unknown where a clause of its own says so: "paper tore, so I can't say".

    Args:
        trial: The attempt at the message; its facts change in place.
        group: The clauses that may tell it.

    Returns:
        Whether the group told it.
    """
    last = trial.facts[-1] if trial.facts else None
    names = trial.message.names(group.start, group.end)
    words = {token.text for token in trial.message.tokens[group.start : group.end]}
    if not isinstance(last, Sign) or not names & {"unsure", "dont_know"} or words & _ABOUT_DOUBT or len(words) > 8:
        return False
    trial.facts[-1] = replace(last, answer="unknown")
    return True
