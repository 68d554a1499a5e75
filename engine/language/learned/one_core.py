"""Sums of one message on one core.

They are so small that a second core only waits for the first, and its waiting counts as work: numpy's usual threads
double the processor time of a message.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import cache

from threadpoolctl import ThreadpoolController


def on_one_core() -> AbstractContextManager[object]:
    """Return a context in which numpy multiplies matrices on one core; on leaving it has its threads back."""
    limited: AbstractContextManager[object] = _pools().limit(limits=1, user_api="blas")
    return limited


@cache
def _pools() -> ThreadpoolController:
    """Return the thread pools of this process; to find them takes a millisecond."""
    return ThreadpoolController()
