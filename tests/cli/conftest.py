"""What the tests of the command line share, and a home of their own for every one of them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep cases, history and configuration of a test to itself."""
    for name in ("ASKEW_PLAIN", "ASKEW_ASCII", "ASKEW_LINEAR", "ASKEW_WIDTH", "ASKEW_UNIT", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("ASKEW_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("ASKEW_CONFIG", str(tmp_path / "config.toml"))
    return tmp_path
