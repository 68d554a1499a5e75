"""Files that only their owner may read, written whole or not at all, never through a link."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from pathlib import Path

from askew.engine.record.casefile import reason
from askew.engine.record.disk import DISK, Disk, undisturbed
from askew.engine.safe import safe


class NotWritten(Exception):
    """A file or folder that was refused or could not be written; the text is one sentence."""


def write_private(path: Path, text: str | bytes, *, replace: bool = True, disk: Disk = DISK) -> None:
    """Write a file so that it holds either all of the new content or what it held before, for good.

    The content goes into a new file beside it, on the medium, and takes the name in one step. Mode 0600.

    Args:
        path: The file. A symbolic link or anything but an ordinary file there is refused.
        text: The whole content; text is written as UTF-8.
        replace: False to refuse a file that exists.
        disk: The system calls to use.

    Raises:
        NotWritten: It was refused, or the disk failed; what was there is unharmed.
    """
    data = text.encode() if isinstance(text, str) else text
    _refuse_odd(path)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        with undisturbed():
            try:
                _write_new(draft, data, disk)
                if replace:
                    draft.replace(path)
                else:
                    os.link(draft, path)
            finally:
                draft.unlink(missing_ok=True)
            disk.sync_folder(path.parent)
    except FileExistsError:
        raise NotWritten(f"{_shown(path)} exists already; give another name.") from None
    except OSError as error:
        raise NotWritten(f"{_shown(path)} could not be written: {reason(error)}.") from None


def _write_new(path: Path, data: bytes, disk: Disk) -> None:
    fd = disk.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
    try:
        disk.write_all(fd, data)
        disk.fsync(fd)
    finally:
        os.close(fd)


def private_file(path: Path) -> Path:
    """Make sure a file exists that only its owner can read, and return its path.

    For files that a library opens by name afterwards, such as the history of typed lines.

    Raises:
        NotWritten: It is a link, not an ordinary file, somebody else's, or cannot be made.
    """
    _refuse_odd(path)
    try:
        fd = DISK.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT)
        try:
            state = os.fstat(fd)
            if hasattr(os, "getuid") and state.st_uid != os.getuid():
                raise NotWritten(f"{_shown(path)} belongs to somebody else and was left alone.")
            if stat.S_IMODE(state.st_mode) & 0o077:
                os.fchmod(fd, 0o600)
        finally:
            os.close(fd)
    except OSError as error:
        raise NotWritten(f"{_shown(path)} cannot be used: {reason(error)}.") from None
    return path


def private_folder(path: Path) -> Path:
    """Make a folder, and those above it, for its owner alone; return its path.

    A folder that exists is used as it is, provided that it is the owner's.

    Raises:
        NotWritten: It cannot be made, or belongs to somebody else.
    """
    try:
        missing = [folder for folder in (path, *path.parents) if not folder.exists()]
        for folder in reversed(missing):
            with contextlib.suppress(FileExistsError):  # another process was quicker
                folder.mkdir(mode=0o700)
        state = path.stat()
    except OSError as error:
        raise NotWritten(f"The folder {_shown(path)} cannot be made: {reason(error)}.") from None
    if not stat.S_ISDIR(state.st_mode):
        raise NotWritten(f"{_shown(path)} is not a folder.")
    if hasattr(os, "getuid") and state.st_uid != os.getuid():
        raise NotWritten(f"The folder {_shown(path)} belongs to somebody else and was left alone.")
    return path


def _refuse_odd(path: Path) -> None:
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return
    except OSError as error:
        raise NotWritten(f"{_shown(path)} cannot be used: {reason(error)}.") from None
    if stat.S_ISLNK(mode):
        raise NotWritten(f"{_shown(path)} is a symbolic link; give the file itself.")
    if not stat.S_ISREG(mode):
        raise NotWritten(f"{_shown(path)} is not an ordinary file.")


def _shown(path: Path) -> str:
    return safe(str(path))
