"""The labelled utterances, for the tests of this folder."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _beside(name: str, *imported: ModuleType) -> ModuleType:
    """Return a module that lies beside this file, under its bare name, as scripts beside it import it.

    Args:
        name: Its name.
        imported: Those that it imports, which must go by their bare names already.
    """
    assert all(sys.modules[one.__name__] is one for one in imported)
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def labelled() -> ModuleType:
    return _beside("labelled")


@pytest.fixture(scope="session")
def examples(labelled: ModuleType) -> ModuleType:
    """What can be learned from the labelled utterances."""
    return _beside("examples", labelled)


@pytest.fixture(scope="session")
def tables(examples: ModuleType) -> ModuleType:
    """Examples as arrays."""
    return _beside("tables", examples)


@pytest.fixture(scope="session")
def learning(tables: ModuleType) -> ModuleType:
    """What learns from the labelled utterances; it and what it imports go by their bare names."""
    pytest.importorskip("jax", reason="the network is learned with JAX, see DEVELOPERS.md")
    return _beside("learn_network", tables)


@pytest.fixture(scope="session")
def learning_on(learning: ModuleType) -> ModuleType:
    """What lets the networks go on learning."""
    return _beside("learn_on", learning)


@pytest.fixture(scope="session")
def verifying(examples: ModuleType) -> ModuleType:
    """What learns which facts are told of this job."""
    pytest.importorskip("sklearn", reason="the verifier is learned with scikit-learn, see DEVELOPERS.md")
    return _beside("learn_verifier", examples)
