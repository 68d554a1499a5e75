"""One writer to a case at a time; everybody else is told who it is and may look."""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from typing import Any

from askew.engine.record.disk import DISK
from askew.engine.safe import BadJson, safe, strict_json

try:
    import fcntl
except ImportError:  # pragma: no cover - no such module on Windows
    fcntl = None  # type: ignore[assignment]


class Lock:
    """The right to write to a case, held through an open descriptor of its file.

    The operating system's own lock on the file decides, and goes when its process goes, however it ends.
    A note beside the file says who holds it; it only informs, and a stale one does no harm.
    """

    def __init__(self, path: Path) -> None:
        """Prepare a lock for the case at `path`; nothing is taken yet."""
        self._note = path.with_name(path.name + ".held")
        self._other: Any = None
        self._held = False

    def take(self, fd: int, since: str) -> bool:
        """Try to take the lock through the open file `fd`; return at once, True if it is ours."""
        if fcntl is not None:
            try:
                fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                return False
        else:  # pragma: no cover - Windows: locking the file itself would keep others from looking
            from filelock import FileLock, Timeout  # noqa: PLC0415 - needed on that system only

            self._other = FileLock(f"{self._note}.lock", timeout=0)
            try:
                self._other.acquire()
            except Timeout:
                return False
        self._held = True
        self._write_note(since)
        return True

    def holder(self) -> str:
        """Say who holds the case, as far as is known: "process 4711 since 2026-05-01T10:02:03Z"."""
        try:
            fd = DISK.open(self._note, os.O_RDONLY)
            try:
                note = strict_json(DISK.read(fd, 0, 1000))
            finally:
                os.close(fd)
            return f"process {int(note['pid'])} since {safe(str(note['since']))[:40]}"
        except (OSError, BadJson, KeyError, TypeError, ValueError):
            return "another process"

    def release(self) -> None:
        """Take the note away. The lock itself goes when the descriptor is closed."""
        if not self._held:
            return
        self._held = False
        with contextlib.suppress(OSError):
            self._note.unlink(missing_ok=True)
        if self._other is not None:  # pragma: no cover - Windows
            self._other.release()

    def _write_note(self, since: str) -> None:
        with contextlib.suppress(OSError):
            fd = DISK.open(self._note, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            try:
                DISK.write_all(fd, json.dumps({"pid": os.getpid(), "since": since}).encode())
            finally:
                os.close(fd)
