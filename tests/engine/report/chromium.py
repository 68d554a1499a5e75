"""Opening a page in a headless Chromium, at several widths and in both colour schemes, and measuring it."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

FOUND = next(
    (path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), None
)
needs_chromium = pytest.mark.skipif(
    FOUND is None, reason="no Chromium on this machine (Debian: apt-get install chromium)"
)
QUIET = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
]

MEASURE = Path(__file__).with_name("measure.js").read_text(encoding="utf-8")


@dataclass(frozen=True)
class Measured:
    """What a page came to in one frame."""

    name: str
    wide: int
    scroll: int
    over: list[str]
    paper: str
    ink: str
    drawings: int
    clashes: list[str]
    outside: list[str]
    smallest: float
    sections: list[str]
    height: int

    def brightness(self, which: str) -> float:
        """Relative luminance (WCAG 2.1) of "paper" or "ink"."""
        channels = [int(c) / 255 for c in re.findall(r"\d+", getattr(self, which))[:3]]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def run(folder: Path, *arguments: str) -> str:
    """Run Chromium with a profile of its own and return what it prints."""
    assert FOUND is not None
    profile = folder / "profile"
    done = subprocess.run(
        [FOUND, *QUIET, f"--user-data-dir={profile}", *arguments],
        capture_output=True,
        text=True,
        timeout=90,
        check=True,
    )
    return done.stdout


def measured(folder: Path, page: str, frames: dict[str, tuple[int, str]]) -> dict[str, Measured]:
    """Open a page in frames of given width and colour scheme ("light" or "dark"), and measure each."""
    cells = "".join(
        f'<iframe id="{name}" style="width:{width}px;height:1500px;border:0;color-scheme:{scheme}" '
        f'srcdoc="{html.escape(page, quote=True)}"></iframe>'
        for name, (width, scheme) in frames.items()
    )
    harness = folder / "harness.html"
    harness.write_text(
        f'<!DOCTYPE html><meta charset="utf-8"><script>{MEASURE}</script><pre id="out"></pre>{cells}',
        encoding="utf-8",
    )
    dom = run(folder, "--window-size=1400,1600", "--dump-dom", f"file://{harness}")
    found = re.search(r'<pre id="out">(.*?)</pre>', dom, re.DOTALL)
    assert found, dom[:500]
    return {entry["name"]: Measured(**entry) for entry in json.loads(html.unescape(found[1]))}


def pdf(folder: Path, page: str) -> bytes:
    """Print a page to PDF."""
    source, out = folder / "page.html", folder / "page.pdf"
    source.write_text(page, encoding="utf-8")
    run(folder, "--no-pdf-header-footer", f"--print-to-pdf={out}", f"file://{source}")
    return out.read_bytes()
