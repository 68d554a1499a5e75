"""Which safety sentences belong to a check, a remedy or a state."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from askew.knowledge.load import Knowledge


def cautions_for(known: Knowledge, id_: str) -> tuple[str, ...]:
    """Return the ids of the cautions that a check, a remedy or a state calls for, in the order of the file.

    What a check needs to be in (its states) calls for its own cautions too.

    Raises:
        KeyError: Where there is no check, remedy or state of that id.
    """
    table = known.checks.get(id_) or known.remedies.get(id_)
    if table is None and id_ not in known.states:
        raise KeyError(id_)
    listed = table.cautions if table else []
    callers = {id_, *(known.checks[id_].states if id_ in known.checks else ())}
    called = (key for key, caution in known.cautions.items() if key in listed or callers & set(caution.when))
    return tuple(called)


def always(known: Knowledge) -> tuple[str, ...]:
    """Return the ids of the cautions that stand beside everything."""
    return tuple(key for key, caution in known.cautions.items() if "always" in caution.when)
