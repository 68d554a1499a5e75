"""The labelled utterances, for the tests of this folder."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def labelled() -> ModuleType:
    spec = importlib.util.spec_from_file_location("labelled", Path(__file__).with_name("labelled.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["labelled"] = module
    spec.loader.exec_module(module)
    return module
