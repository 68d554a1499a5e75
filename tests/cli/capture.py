"""Write into README.md what the program itself says: its commands, and the demo.

Run it after a change of either: python tests/cli/capture.py
"""

from __future__ import annotations

import io
import re
from contextlib import redirect_stdout
from pathlib import Path

from askew.cli.demo import play
from askew.cli.registry import COMMANDS
from askew.cli.view import View

README = Path(__file__).parents[2] / "README.md"


def demo() -> str:
    """Return what `askew --demo --width 72` prints."""
    out = io.StringIO()
    with redirect_stdout(out):
        play(View(width=72))
    return out.getvalue().strip("\n")


def table() -> str:
    """Return the table rows of the commands."""
    rows = [f"| `askew {name}` | {command.summary} |" for name, command in COMMANDS.items()]
    return "\n".join(rows)


def filled(readme: str) -> str:
    """Return the README with its captured parts renewed."""
    readme = re.sub(
        r"(<!-- demo -->\n```text\n).*?(```\n)", lambda m: f"{m[1]}{demo()}\n{m[2]}", readme, flags=re.DOTALL
    )
    rows = r"(\| --- \| --- \|\n)(?:\| `askew .*\n)*"
    return re.sub(rows, lambda m: f"{m[1]}{table()}\n", readme, count=1)


if __name__ == "__main__":
    README.write_text(filled(README.read_text(encoding="utf-8")), encoding="utf-8")
