"""The open file of a case: locked, appended to, never left with half a line by a failure."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

from askew.engine.record.disk import Disk
from askew.engine.record.lock import Lock
from askew.engine.safe import safe

MAX_FILE = 50 * 1000 * 1000
"""Largest case file read or written, in bytes."""


class CaseFile:
    """An open case file.

    Attributes:
        path: Its name.
        size: Bytes of it that count; everything is written after them.
        writable: True while bytes may be added.
        why_not: Where `writable` is False, the sentence that says why.
    """

    def __init__(self, path: Path, fd: int, disk: Disk, why_not: str = "") -> None:
        """Use `open_case_file` or `create_case_file`."""
        self.path = path
        self.size = 0
        self.why_not = why_not
        self._fd = fd
        self._disk = disk
        self._lock = Lock(path)

    @property
    def writable(self) -> bool:
        """True while bytes may be added."""
        return not self.why_not

    def lock(self, since: str) -> None:
        """Take the right to write; where another process has it, become read-only and say who."""
        if self.writable and not self._lock.take(self._fd, since):
            self.why_not = f"The case is held by {self._lock.holder()}; here it can only be looked at."

    def read(self) -> bytes:
        """Return everything in the file, or one byte more than `MAX_FILE` of it."""
        return self._disk.read(self._fd, 0, MAX_FILE + 1)

    def cut_off(self, tail: bytes) -> Path:
        """Keep the bytes after `size` in a file beside this one, then cut them off; return its path."""
        aside, fd = self._new_file_beside()
        try:
            self._disk.write_all(fd, tail)
            self._disk.fsync(fd)
        except OSError:
            aside.unlink(missing_ok=True)
            raise
        finally:
            os.close(fd)
        self.sync_folder()
        self._disk.truncate(self._fd, self.size)
        self._disk.fsync(self._fd)
        return aside

    def _new_file_beside(self) -> tuple[Path, int]:
        for number in range(1, 1000):
            path = self.path.with_name(f"{self.path.name}.torn-{number}")
            try:
                return path, self._disk.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
            except FileExistsError:
                continue
        raise OSError(errno.EEXIST, "too many unfinished ends beside it")

    def add(self, data: bytes) -> str:
        """Put data at the end and on the medium; return "", or the sentence that says why it is not there.

        After a failed write the file is as it was, and the next attempt may succeed. After a failed fsync
        nobody knows what is on the medium, and a second fsync may wrongly succeed: the file is read-only
        from then on.
        """
        if not self.writable:
            return self.why_not
        try:
            self._check_unchanged(len(data))
            self._write(data)
        except OSError as error:
            return self.why_not or f"The last entries are not saved: {reason(error)}."
        try:
            self._disk.fsync(self._fd)
        except OSError as error:
            self.why_not = (
                f"The disk did not confirm the last entry ({reason(error)}); nothing more is saved."
            )
        return self.why_not

    def _check_unchanged(self, more: int) -> None:
        """Refuse to write to a file that is no longer the one that was read."""
        if self.size + more > MAX_FILE:
            raise OSError(errno.EFBIG, f"the case file would pass {MAX_FILE // 10**6} MB")
        now = os.fstat(self._fd)
        try:
            named = self.path.stat(follow_symlinks=False)
        except FileNotFoundError:
            named = None
        if named is None or (named.st_ino, named.st_dev) != (now.st_ino, now.st_dev):
            raise OSError(errno.ENOENT, "the case file was taken away or replaced")
        if now.st_size != self.size:
            raise OSError(errno.EIO, "another program changed the case file")

    def _write(self, data: bytes) -> None:
        """Write everything at the end, or leave the file as it was."""
        try:
            self._disk.write_all(self._fd, data)
            if os.fstat(self._fd).st_size != self.size + len(data):
                raise OSError(errno.EIO, "the case file did not grow by what was written")
        except BaseException:
            try:
                self._disk.truncate(self._fd, self.size)
            except OSError as error:
                self.why_not = f"A half-written entry could not be taken back ({reason(error)})."
            raise
        self.size += len(data)

    def sync_folder(self) -> None:
        """Make the name of the file durable."""
        self._disk.sync_folder(self.path.parent)

    def close(self) -> None:
        """Let the file and its lock go; more than once does no harm."""
        self._lock.release()
        if self._fd >= 0:
            fd, self._fd = self._fd, -1
            self.why_not = self.why_not or "The case is closed."
            os.close(fd)


def open_case_file(path: Path, disk: Disk, *, write: bool) -> CaseFile:
    """Open an existing file; read-only where it may not be written.

    Raises:
        OSError: It cannot be opened, or is not an ordinary file; `reason` makes a sentence of it.
    """
    why_not = "" if write else "The case was opened to look only."
    try:
        fd = disk.open(path, os.O_RDWR | os.O_APPEND if write else os.O_RDONLY)
    except OSError as error:
        if not write or error.errno not in (errno.EACCES, errno.EPERM, errno.EROFS):
            raise
        fd = disk.open(path, os.O_RDONLY)
        why_not = f"The case file may not be written ({reason(error)})."
    if not stat.S_ISREG(os.fstat(fd).st_mode):
        os.close(fd)
        raise OSError(errno.EINVAL, "it is not an ordinary file")
    return CaseFile(path, fd, disk, why_not)


def create_case_file(path: Path, disk: Disk) -> CaseFile:
    """Make a new, empty file that only its owner may read. Raises OSError, as when it exists."""
    fd = disk.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL)
    return CaseFile(path, fd, disk)


def reason(error: OSError) -> str:
    """Return the system's reason as a clause that is safe to show."""
    if error.errno == errno.ELOOP:
        return "it is a symbolic link; give the file itself"
    text = safe(error.strerror or str(error))
    return text[:1].lower() + text[1:]
