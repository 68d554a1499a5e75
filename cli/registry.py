"""The commands of the program, in one table.

Dispatch, `--help`, shell completion, the manual page and the documentation test are all made from it. A
command's module has `add_arguments(parser)` and `run(args) -> int` and is imported only when it is named,
so that `askew --help` pays for none of them.
"""

from __future__ import annotations

import argparse
import importlib
from dataclasses import dataclass
from typing import Protocol, cast


class Module(Protocol):
    """What the module of a command offers."""

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Add the command's own arguments."""

    def run(self, args: argparse.Namespace) -> int:
        """Do it, and return the exit status."""


@dataclass(frozen=True, slots=True)
class ProgramCommand:
    """A command of the program.

    Attributes:
        name: What is typed after `askew`.
        summary: One line for the list of commands.
        explain: A short paragraph for the command's own help and the manual page.
        examples: Command lines that work, each with what it is for.
        module: The module of `askew.cli` that does it.
    """

    name: str
    summary: str
    explain: str
    examples: tuple[tuple[str, str], ...]
    module: str

    def load(self) -> Module:
        """Import the module that does it."""
        return cast(Module, importlib.import_module(f"askew.cli.{self.module}"))


_ALL = (
    ProgramCommand(
        "talk",
        "talk about a part that came out wrong (what `askew` alone does)",
        "On a terminal this opens the chat. With a pipe on standard input each line of it is one thing "
        "said, and the answer comes as plain text. With --json each line in is plain text or a JSON object "
        "and each line out is one JSON object, errors included; the first one out is the case as it stands.",
        (
            ("askew talk", "open the chat"),
            ("askew talk --case bracket.case", "keep the case in this file, or go on with it"),
            ("askew talk --json --case bracket.case < lines", "one answer as JSON for every line"),
            ("askew talk --schema", "print the JSON Schema of both directions"),
        ),
        "talk",
    ),
    ProgramCommand(
        "read",
        "show what would be understood of a line, without a case",
        "Reads one line of shop talk at a time from standard input and prints what it was taken to "
        "say. With --json a line in may also be an object with `text` and `context` (the id of what was just "
        "asked), and a line out is one JSON object with `heard` and `unread`, and with `aside` where something was "
        "told that sounds like another job, a plan or a question.",
        (
            ("echo 'sweep is 5.5 thou low on the left over 24 in' | askew read", "in words"),
            ("echo '2 in cutter' | askew read --json", "as JSON"),
        ),
        "read",
    ),
    ProgramCommand(
        "explain",
        "explain a word: a source of error, a reading, a sign, a check, a remedy",
        "Explains a word in plain language, with a drawing where one helps. A part of a name is enough; "
        "where several fit they are listed.",
        (("askew explain nod", "what nod is"), ("askew explain --list", "every word that can be explained")),
        "explain",
    ),
    ProgramCommand(
        "cases",
        "list, search, export, import and check the cases on record",
        "Every case is kept in a file of its own. This lists and searches them, packs them into one portable "
        "file, takes such a file in, and checks that nothing is damaged.",
        (
            ("askew cases list", "all cases, the last one first"),
            ("askew cases check", "look for damaged files"),
        ),
        "cases",
    ),
    ProgramCommand(
        "config",
        "show every setting, its value and where the value came from",
        "Settings come from the command line, the environment, the configuration file, or are as shipped, "
        "in that order. The file is TOML, one `name = value` a line.",
        (
            ("askew config", "all settings and their origins"),
            ("askew config --path", "where the file is looked for"),
            ("askew config linear=true", "write a setting into the file"),
        ),
        "config",
    ),
    ProgramCommand(
        "fix",
        "work out a remedy: tram, shim, clamp, square a block, and the rest",
        "Works out the numbers of a remedy in your own units: which way, how far, how hard, what it costs "
        "and what the next cut must show. `askew fix TOPIC --help` says what each asks for.",
        (
            ("askew fix tram --reads=5.5thou --over 24in", "which way the head must go, and how far"),
            ("askew fix shim nod --out=0.1mm --over 300mm --hinge 180mm", "a shim from the leaves on hand"),
            ("askew fix block 30mm 50mm 100mm", "square a block on six faces"),
        ),
        "fix",
    ),
    ProgramCommand(
        "plan",
        "find the ways of cutting that hold the drawing on the machine as it is",
        "Tries the cutters on hand, passes, feed axes and grips against what is believed of the machine, and "
        "lists the ways that hold every tolerance, quickest first, or says that none does and what limits it.",
        (
            ("askew plan --square 2thou --across 3in --tool '3in face_mill'", "a usual machine"),
            ("askew plan --flat 0.02mm --step 0.01mm --case bracket.case", "the machine of a case"),
        ),
        "plan",
    ),
    ProgramCommand(
        "foresee",
        "show what a cut will look like and read, before it is made",
        "Draws the face that a setup will leave with given errors of machine, grip and part, and lists what "
        "each reading will be; with --needed the other way round: how far out each source would have to be. "
        "With --json it reads a request from standard input and answers with readings and surface as one "
        "JSON line.",
        (
            (
                "askew foresee '50 mm cutter, 3 passes' --source tram=5.5thou/24in",
                "the face in plain characters",
            ),
            (
                "askew foresee --set cutter_diameter=2in --source jaw_lift=3thou --svg face.svg",
                "and as a drawing",
            ),
            ("askew foresee --needed face_out_of_square=15thou", "what could make that, and what could not"),
            ("""echo '{"setup": {}, "sources": {"tram": 0.0003}}' | askew foresee --json""", "as JSON"),
        ),
        "foresee",
    ),
    ProgramCommand(
        "report",
        "write a case as one page to print, send or file",
        "Writes one file that needs nothing else: the job, what was seen, how belief moved, the error "
        "budget, the face, what was done, the proof and the cautions. HTML that opens without a network and "
        "prints well, or Markdown.",
        (
            ("askew report", "the last case, as an HTML page here"),
            ("askew report bracket.case --to bracket.md", "a case file, as Markdown"),
        ),
        "report",
    ),
    ProgramCommand(
        "machine",
        "keep a machine's record: what drifts, how fast, what is due for a look",
        "Keeps what was read of a machine, what was corrected and what cases found out, year after year; "
        "fits how fast each reading drifts, says what is due for a look, and gives the next case its start.",
        (
            ("askew machine new corner-mill knee_mill", "begin a record"),
            (
                "askew machine add corner-mill 'sweep reads 1 thou more at the left over 12 in'",
                "a reading of today",
            ),
            ("askew machine show corner-mill", "each reading over the years, with a plot"),
            ("askew machine due corner-mill", "what is due for a look"),
            ("askew machine export corner-mill --to corner-mill.csv", "a table for elsewhere"),
        ),
        "machine",
    ),
    ProgramCommand(
        "trial",
        "score the assistant on simulated shops, beside other orders of checks",
        "Simulates shops with something wrong, plays whole consultations in them through the same door as the chat, "
        "and says how often the largest cause was ranked first, how many minutes it took and how honest the stated "
        "probabilities were. With --rivals the same shops are played in other orders of checks. A trial that is "
        "stopped goes on where it was with --keep.",
        (
            ("askew trial --shops 1000 --jobs 2 --keep shops.jsonl", "a thousand shops; stop and go on as you like"),
            ("askew trial --shops 100 --rivals --json", "every order of checks on the same shops, as JSON"),
            ("askew trial --replay 17", "one shop as the conversation it was"),
            ("askew trial --shops 100000 --scheduler tcp://127.0.0.1:8786", "on a Dask scheduler"),
        ),
        "trial",
    ),
    ProgramCommand(
        "tune",
        "fit priors and usual sizes to closed cases, and show what changes",
        "Takes closed cases, from a file or from your own record, and fits how often each source is the trouble and "
        "how large it then is. Few cases move the shipped numbers little. What changes is shown; with --to the new "
        "numbers are written as TOML.",
        (
            ("askew tune", "from the cases on record"),
            ("askew tune --from closed.jsonl --to tuned.toml", "from a file, written as TOML"),
        ),
        "tune",
    ),
    ProgramCommand(
        "completion",
        "print a completion script for a shell",
        "Prints a script that lets the shell complete commands and options.",
        (("askew completion bash > ~/.local/share/bash-completion/completions/askew", "for bash"),),
        "completion",
    ),
    ProgramCommand(
        "man",
        "print the manual page",
        "Prints the manual page in the format that `man` reads, made from the same table as this help.",
        (("askew man > askew.1 && man ./askew.1", "read it"),),
        "man",
    ),
)

COMMANDS: dict[str, ProgramCommand] = {command.name: command for command in _ALL}
"""Every command of the program by name, in the order in which help lists them."""
