"""Sums on one core, and the threads given back."""

from __future__ import annotations

from threadpoolctl import threadpool_info

from askew.engine.language.learned.one_core import on_one_core


def _threads() -> list[int]:
    return [pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"]


def test_one_core_is_used_within_and_the_others_after() -> None:
    before = _threads()
    with on_one_core():
        assert set(_threads()) <= {1}
        with on_one_core():
            assert set(_threads()) <= {1}
        assert set(_threads()) <= {1}
    assert _threads() == before
