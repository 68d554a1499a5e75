"""Check that a wheel carries every file of the three packages and no other folder of the tree."""

from __future__ import annotations

import sys
import zipfile
from pathlib import Path

PACKAGES = ("knowledge", "engine", "cli")


def missing(wheel: Path, tree: Path) -> list[str]:
    """Return the files of the packages in the tree that are not in the wheel, and strays in the wheel."""
    inside = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        f"askew/{file.relative_to(tree).as_posix()}"
        for package in PACKAGES
        for file in (tree / package).rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    }
    strays = {name for name in inside if not name.startswith(("askew/", "askew-"))}
    return sorted((wanted - inside) | strays)


if __name__ == "__main__":
    wrong = missing(Path(sys.argv[1]), Path())
    if wrong:
        raise SystemExit("wheel: missing or stray: " + ", ".join(wrong))
    sys.stdout.write("wheel: every file of the three packages is inside\n")
