"""The program with a scripted consultation in place of the engine; run by the terminal tests."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from scripted import Scripted

from askew.cli import door
from askew.cli.main import main

door.open_new = lambda: door.Opened(Scripted(), "scripted")
door.open_last = lambda: None
door.open_file = lambda path: door.Opened(Scripted(), path.stem)
door.open_memory = lambda: door.Opened(Scripted(), "not kept")

if __name__ == "__main__":
    sys.exit(main())
