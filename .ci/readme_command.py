"""Print one of the two commands of README.md: `readme_command.py run` or `readme_command.py test`."""

from __future__ import annotations

import re
import sys
from pathlib import Path


def command(readme: str, which: str) -> str:
    """Return the command in the fenced block after the comment `<!-- command: WHICH -->`."""
    found = re.search(rf"<!-- command: {re.escape(which)} -->\s*```sh\n(.+?)\n```", readme, re.DOTALL)
    if found is None:
        raise SystemExit(f"README.md has no block after <!-- command: {which} -->")
    return found[1].strip()


if __name__ == "__main__":
    sys.stdout.write(command(Path("README.md").read_text(encoding="utf-8"), sys.argv[1]) + "\n")
