"""The folder of machines: one record a machine, beside the cases."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from askew.engine.record.machine import MachineError, MachineRecord, machine_names, machine_path
from askew.engine.record.machine_memory import Belief, priors_of
from askew.engine.record.private import NotWritten, private_folder
from askew.engine.record.store import data_folder
from askew.knowledge.schema import MachineKind


class Machines:
    """The machines of one shop."""

    def __init__(self, folder: Path | None = None) -> None:
        """Use `folder`, or "machines" in the data folder. Nothing is made until a machine is."""
        self.folder = folder if folder is not None else data_folder() / "machines"

    def names(self) -> list[str]:
        """Return the names of all machines."""
        return machine_names(self.folder)

    def new(self, name: str, machine: MachineKind) -> MachineRecord:
        """Begin the record of a machine.

        Raises:
            MachineError: There is one of that name, the name is none, or the folder cannot be used.
        """
        path = machine_path(self.folder, name)
        if path.exists():
            raise MachineError(f"There is a machine called {name} already.")
        try:
            private_folder(self.folder)
        except NotWritten as error:
            raise MachineError(str(error)) from None
        return MachineRecord.open(path, create=(name, machine))

    def open(self, name: str, *, write: bool = True) -> MachineRecord:
        """Open the record of a machine; `write` False to look only.

        Raises:
            MachineError: There is none of that name, or its file cannot be used.
        """
        path = machine_path(self.folder, name)
        if not path.exists():
            known = ", ".join(self.names()) or "none yet"
            raise MachineError(f"There is no machine called {name}; there are: {known}.")
        return MachineRecord.open(path, write=write)

    def prior_for(self, name: str, day: date) -> Mapping[str, Belief]:
        """Return what the next case on a machine starts from: source -> (mean, sd, weight), mm or rad.

        Raises:
            MachineError: There is no such machine, or its file cannot be used.
        """
        with self.open(name, write=False) as record:
            return priors_of(record, day)


def prior_for(name: str, day: date) -> Mapping[str, Belief]:
    """Return `Machines().prior_for(name, day)`: the priors of the next case on a machine of this shop."""
    return Machines().prior_for(name, day)
