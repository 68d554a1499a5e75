"""The folder of cases: naming, finding, listing, exporting, importing and checking them."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain
from pathlib import Path

from platformdirs import user_data_path

from askew.engine.record.bundle import MAX_BUNDLE, PortableCase, is_bundle, pack, unpack
from askew.engine.record.casefile import reason
from askew.engine.record.disk import DISK
from askew.engine.record.journal import Journal, JournalError, new_header, utc_now
from askew.engine.record.lines import Record
from askew.engine.record.migrate import Renames, Vocabulary, bring_forward
from askew.engine.record.private import NotWritten, private_folder, write_private
from askew.engine.record.turns import Summary, local, standing, summarise
from askew.engine.safe import safe

SUFFIX = ".jsonl"
"""How the name of a case file ends."""
_NAME = re.compile(r"[a-z0-9][a-z0-9._-]{0,80}")


def data_folder() -> Path:
    """Return the folder of everything that is kept: $ASKEW_HOME if set, else the user's data folder."""
    home = os.environ.get("ASKEW_HOME")
    return Path(home).expanduser() if home else user_data_path("askew", appauthor=False)


@dataclass(frozen=True, slots=True)
class Listed:
    """A case in the list: its name, its file, its summary, and what was found amiss on reading it."""

    name: str
    path: Path
    summary: Summary
    notices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found in one file.

    Attributes:
        name: The case, or the file where it is none.
        records: How many records stand whole.
        sound: False where something of a case is damaged, missing or unreadable.
        findings: Sentences about everything worth knowing.
    """

    name: str
    records: int
    sound: bool
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which cases to list; what is None or empty does not restrict.

    Attributes:
        machine: Kind of machine, or a part of its name.
        cause: Id of a cause held responsible, or a part of it.
        since: First day, as 2026-05-01 or a beginning of it; compared with the last change of the case.
        until: Last day, likewise; compared with the opening of the case.
        text: Words that occur in something said.
        state: "open" or "closed".
    """

    machine: str | None = None
    cause: str | None = None
    since: str | None = None
    until: str | None = None
    text: str | None = None
    state: str | None = None

    def admits(self, summary: Summary, records: Sequence[Record]) -> bool:
        """Say whether a case is wanted."""
        return (
            (not self.machine or _in(self.machine, summary.machine))
            and (not self.cause or any(_in(self.cause, cause) for cause in summary.causes))
            and (not self.since or local(summary.changed)[: len(self.since)] >= self.since)
            and (not self.until or local(summary.opened)[: len(self.until)] <= self.until)
            and (not self.state or summary.state == self.state)
            and (not self.text or any(_in(self.text, turn.data.get("text")) for turn in standing(records)))
        )


class Store:
    """The cases of one person, each in its own file in one folder."""

    def __init__(self, folder: Path | None = None, *, clock: Callable[[], str] = utc_now) -> None:
        """Use `folder`, or "cases" in the data folder. Nothing is made until a case is."""
        self.folder = folder if folder is not None else data_folder() / "cases"
        self._clock = clock

    # ---- one case

    def new(self, machine: str | None = None, *, knowledge: str = "") -> Journal:
        """Start a case in a file named by day, machine and serial number: 2026-05-01-knee-mill-2.

        Where the folder refuses, the case lives in memory and its notices say so.

        Raises:
            JournalError: The folder belongs to somebody else or cannot be made.
        """
        try:
            private_folder(self.folder)
        except NotWritten as error:
            raise JournalError(str(error)) from None
        today = datetime.fromisoformat(self._clock()).astimezone().date()
        for path in self._free_names(f"{today}-{_slug(machine or 'mill')}"):
            journal = Journal.open(path, create=True, knowledge=knowledge, clock=self._clock)
            # Two starts at one moment may pick the same name; the loser sees a case that is not its own.
            if journal.records or (journal.read_only and path.exists()):
                journal.close()
                continue
            return journal
        raise JournalError("There are too many cases of that day.")

    def _free_names(self, stem: str) -> Iterator[Path]:
        for serial in range(1, 10_000):
            path = self.folder / f"{stem}-{serial}{SUFFIX}"
            if not path.exists():
                yield path

    def path(self, name: str) -> Path:
        """Return the file of the case with this name, or with a name that begins so if only one does.

        Raises:
            JournalError: No case, or more than one, is meant.
        """
        stem = name.removesuffix(SUFFIX).lower()
        if _NAME.fullmatch(stem):
            exact = self.folder / f"{stem}{SUFFIX}"
            meant = [exact] if exact.is_file() else [p for p in self.paths() if p.name.startswith(stem)]
            if len(meant) == 1:
                return meant[0]
            if meant:
                names = ", ".join(path.stem for path in meant[:4])
                raise JournalError(f'"{safe(name)[:60]}" could be any of {names}; give more of the name.')
        raise JournalError(f'There is no case "{safe(name)[:60]}"; `askew cases list` shows them.')

    def paths(self) -> list[Path]:
        """Return the case files, by name."""
        try:
            return sorted(path for path in self.folder.iterdir() if _is_case_name(path.name))
        except FileNotFoundError:
            return []
        except OSError as error:
            raise JournalError(f"{safe(str(self.folder))} cannot be read: {reason(error)}.") from None

    def latest(self) -> Path | None:
        """Return the case file that was written to last, or None."""
        dated = [(path.stat().st_mtime_ns, path) for path in self.paths() if path.is_file()]
        return max(dated)[1] if dated else None

    # ---- all of them

    def find(self, wanted: Wanted | None = None) -> list[Listed]:
        """Return the cases that are wanted, the one changed last first.

        Files that cannot be read are left out; `check` tells of them.
        """
        wanted = wanted or Wanted()
        listed: list[Listed] = []
        for path in self.paths():
            try:
                with Journal.open(path, write=False) as journal:
                    summary = summarise(journal.records)
                    if wanted.admits(summary, journal.records):
                        listed.append(Listed(path.stem, path, summary, journal.notices))
            except JournalError:
                continue
        return sorted(listed, key=lambda item: (item.summary.changed, item.name), reverse=True)

    def check(self, known: Vocabulary | None = None, renames: Renames | None = None) -> list[Checked]:
        """Verify every file in the folder, changing nothing, and say what was found.

        Args:
            known: The ids of today's knowledge; with it, ids in the cases that exist no more are told.
            renames: The ids that were renamed.
        """
        results = [check_case(path, known, renames) for path in self.paths()]
        cases = {path.name for path in self.paths()}
        try:
            others = sorted(path.name for path in self.folder.iterdir() if path.name not in cases)
        except OSError:
            others = []
        return results + [Checked(safe(name), 0, True, (_about_other(name, cases),)) for name in others]

    # ---- in and out

    def export(self, names: Iterable[str], to: Path) -> list[str]:
        """Write cases to one portable file that must not exist yet; return a sentence for each.

        Raises:
            JournalError: A name is unknown, a case cannot be read, or the file cannot be written.
        """
        cases = [portable(path) for path in map(self.path, names)]
        if not cases:
            raise JournalError("There is no case to export.")
        write_bundle(cases, to, self._clock())
        return [
            _told(f"{case.name} was exported with {_entries(len(case.records))}.", case) for case in cases
        ]

    def take_in(self, source: Path) -> list[str]:
        """Import every case of an exported file, or a single case file; return a sentence for each.

        The whole file is checked before the first case is made. A case that is here already is not made
        twice; a case whose name is taken gets the next free one.

        Raises:
            JournalError: The file is damaged, or the folder cannot be written; nothing was imported then.
        """
        cases = read_portable(source)
        try:
            private_folder(self.folder)
        except NotWritten as error:
            raise JournalError(str(error)) from None
        here = self._all_readable()
        return [self._take_one(case, here) for case in cases]

    def _all_readable(self) -> list[PortableCase]:
        cases: list[PortableCase] = []
        for path in self.paths():
            with suppress(JournalError):
                cases.append(portable(path))
        return cases

    def _take_one(self, case: PortableCase, here: list[PortableCase]) -> str:
        for other in here:
            if other.header.id == case.header.id and list(other.records) == list(case.records):
                return f"{_slug(case.name)} is here already, as {other.name}."
        stem = _slug(case.name)
        plain = self.folder / f"{stem}{SUFFIX}"
        for path in chain([] if plain.exists() else [plain], self._free_names(stem)):
            try:
                write_private(path, case.file_bytes(), replace=False)
            except NotWritten as error:
                if path.exists():  # taken by another process in between
                    continue
                raise JournalError(str(error)) from None
            here.append(replace(case, name=path.stem))
            return _told(f"{path.stem} was imported with {_entries(len(case.records))}.", case)
        raise JournalError("There are too many cases of that name.")


def portable(path: Path) -> PortableCase:
    """Return a case as it can be read from its file. Raises JournalError."""
    with Journal.open(path, write=False) as journal:
        if journal.newer is not None:
            raise JournalError(
                f"{safe(path.name)} is in format {journal.newer}; a newer version must export it."
            )
        return of_journal(path.stem, journal)


def of_journal(name: str, journal: Journal) -> PortableCase:
    """Return an open case, saved or not, in portable form: the way out when the disk refuses."""
    header = journal.header or new_header("", utc_now())
    return PortableCase(_slug(name), header, tuple(journal.records), journal.notices)


def write_bundle(cases: Sequence[PortableCase], to: Path, made: str) -> None:
    """Write cases to one new file. Raises JournalError."""
    try:
        write_private(to, pack(cases, made), replace=False)
    except NotWritten as error:
        raise JournalError(str(error)) from None


def read_portable(source: Path) -> list[PortableCase]:
    """Return the cases in an exported file or a case file. Raises JournalError."""
    try:
        fd = DISK.open(source, os.O_RDONLY)
        try:
            if not stat.S_ISREG(os.fstat(fd).st_mode):
                raise JournalError(f"{safe(str(source))} is not an ordinary file.")
            data = DISK.read(fd, 0, MAX_BUNDLE + 1)
        finally:
            os.close(fd)
    except OSError as error:
        raise JournalError(f"{safe(str(source))} cannot be opened: {reason(error)}.") from None
    return unpack(data) if is_bundle(data) else [portable(source)]


def check_case(path: Path, known: Vocabulary | None = None, renames: Renames | None = None) -> Checked:
    """Verify one case file, changing nothing; `known` and `renames` as for `Store.check`."""
    try:
        with Journal.open(path, write=False) as journal:
            findings = list(journal.notices)
            sound = not findings
            if known is not None:
                findings += bring_forward(journal.records, known, renames or {})[1]
            if not journal.records:
                findings.append("Nothing has been said in it yet.")
            if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
                findings.append("Others on this computer may read it; chmod 600 keeps it private.")
            return Checked(path.stem, len(journal.records), sound, tuple(findings))
    except JournalError as error:
        return Checked(path.stem, 0, False, (str(error),))


def _is_case_name(name: str) -> bool:
    return name.endswith(SUFFIX) and _NAME.fullmatch(name) is not None


def _about_other(name: str, known: set[str]) -> str:
    owner = re.sub(r"\.(held|torn-[0-9]+)$", "", name)
    if owner in known and name.endswith(".held"):
        return "A note of who holds the case: it is open now, or its process was killed; it does no harm."
    if owner in known and owner != name:
        return "The unfinished end that a crash left in that case; nothing in it was acknowledged."
    if name.endswith(".new"):
        return "A file that was being written when its process was killed; it may be removed."
    return "Not a case file."


def _slug(text: str) -> str:
    slug = re.sub(r"[^a-z0-9.]+", "-", text.lower()).strip("-.")[:60].rstrip("-.")
    return slug or "case"


def _told(sentence: str, case: PortableCase) -> str:
    return " ".join([sentence, *case.notices])


def _entries(count: int) -> str:
    return f"{count:,} entry" if count == 1 else f"{count:,} entries"


def _in(part: str, whole: object) -> bool:
    return isinstance(whole, str) and _plain(part) in _plain(whole)


def _plain(text: str) -> str:
    return text.casefold().replace("-", " ").replace("_", " ")
