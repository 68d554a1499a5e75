"""The system calls that the record is written with, and the guard that keeps them whole.

They stand behind one small object so that a test can make any of them fail at any moment.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

try:
    import fcntl
except ImportError:  # pragma: no cover - no such module on Windows
    fcntl = None  # type: ignore[assignment]


class Disk:
    """File operations of the operating system; every method may raise OSError."""

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        """Open without following a final symbolic link, without handing the file to child processes."""
        # O_NONBLOCK keeps a named pipe from holding the program up before it can be refused.
        extra = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NONBLOCK", 0)
        return os.open(path, flags | extra | getattr(os, "O_BINARY", 0), mode)

    def read(self, fd: int, offset: int, size: int) -> bytes:
        """Read up to `size` bytes from `offset`; fewer only at the end of the file."""
        os.lseek(fd, offset, os.SEEK_SET)
        parts: list[bytes] = []
        while size > 0 and (part := os.read(fd, min(size, 1 << 20))):
            parts.append(part)
            size -= len(part)
        return b"".join(parts)

    def write(self, fd: int, data: memoryview) -> int:
        """Write some of the data; return how many bytes went."""
        return os.write(fd, data)

    def fsync(self, fd: int) -> None:
        """Return once the file is on the medium itself."""
        full = getattr(fcntl, "F_FULLFSYNC", None)  # macOS: fsync alone stops at the drive's cache
        if full is not None:
            fcntl.fcntl(fd, full)
        else:
            os.fsync(fd)

    def truncate(self, fd: int, size: int) -> None:
        """Cut the file back to `size` bytes."""
        os.ftruncate(fd, size)

    def write_all(self, fd: int, data: bytes) -> None:
        """Write everything, however many calls it takes."""
        view = memoryview(data)
        while view:
            view = view[self.write(fd, view) :]

    def sync_folder(self, folder: Path) -> None:
        """Make the names in a folder durable, where the system can."""
        if os.name == "nt":  # pragma: no cover - folders cannot be opened there
            return
        fd = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | getattr(os, "O_CLOEXEC", 0))
        try:
            self.fsync(fd)
        finally:
            os.close(fd)


DISK = Disk()


@contextmanager
def undisturbed() -> Iterator[None]:
    """Hold back Ctrl-C and other handled signals until the block is done.

    Handlers run in the main thread only, so elsewhere there is nothing to hold back. Signals without a
    Python handler keep their effect: a process that is killed is killed.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    waiting: list[tuple[int, FrameType | None]] = []

    def hold(number: int, frame: FrameType | None) -> None:
        waiting.append((number, frame))

    kept: dict[int, Any] = {}
    try:
        for name in ("SIGINT", "SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None and callable(handler := signal.getsignal(number)):
                kept[number] = handler
                signal.signal(number, hold)
        yield
    finally:
        for number, handler in reversed(kept.items()):
            signal.signal(number, handler)
        for number, frame in waiting:
            kept[number](number, frame)
