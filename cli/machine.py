"""`askew machine`: what is known of a machine over the years, and what is due for a look."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.exits import NO_CASE, OK, USAGE, Refusal
from askew.cli.parser import add_view_arguments
from askew.cli.say import say

if TYPE_CHECKING:
    from askew.cli.view import View
    from askew.engine.record.machine import Entry, MachineRecord
    from askew.engine.record.machine_due import Allowed, Due
    from askew.engine.record.machine_store import Machines
    from askew.engine.units import Habit

_LIMIT = re.compile(r"([a-z0-9_]+)=([0-9.]+)(?:/([0-9.]+))?")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew machine`."""
    actions = parser.add_subparsers(dest="machine_action", metavar="ACTION", title="actions")
    actions.add_parser("list", help="list the machines (the default)")
    new = actions.add_parser("new", help="begin the record of a machine")
    new.add_argument("name", help="small letters, digits, - and _")
    new.add_argument("kind", choices=["bench_mill", "knee_mill", "bed_mill"])
    show = actions.add_parser("show", help="show how a machine stands: what drifts, how fast, what is due")
    show.add_argument("name")
    show.add_argument("--reading", metavar="ID", help="only this reading")
    show.add_argument("--entries", action="store_true", help="list every entry with its number instead")
    due = actions.add_parser("due", help="list what is due for a look, the soonest first")
    due.add_argument("name")
    for sub in (show, due):
        sub.add_argument("--on", type=_day, metavar="DATE", help="reckon for this day; else today")
        sub.add_argument(
            "--allow", type=_limit, action="append", default=[], metavar="ID=MM/OVER",
            help="what is allowed of a reading, mm over mm, as in sweep_x=0.03/300; may be given again",
        )  # fmt: skip
    add = actions.add_parser("add", help="add what was read or done, in your own words")
    add.add_argument("name")
    add.add_argument("words", nargs="+", help="as in: sweep is 0.02 mm low on the left over 300")
    add.add_argument("--on", type=_day, metavar="DATE", help="the day it was; else today")
    add.add_argument("--note", action="store_true", help="keep the words as a note")
    learn = actions.add_parser("learn", help="take over what a case found out about the machine")
    learn.add_argument("name")
    learn.add_argument("case", metavar="CASE", help="name of the case, or a file")
    withdraw = actions.add_parser("withdraw", help="take an entry back by its number (see show --entries)")
    withdraw.add_argument("name")
    withdraw.add_argument("number", type=int)
    priors = actions.add_parser("priors", help="show what the next case on this machine starts from")
    priors.add_argument("name")
    priors.add_argument("--on", type=_day, metavar="DATE", help="for a case on this day; else today")
    export = actions.add_parser("export", help="write the record as a table (.csv) or as .json")
    export.add_argument("name")
    export.add_argument(
        "--to", type=Path, required=True, metavar="FILE", help="a file that does not exist yet"
    )
    take = actions.add_parser(
        "import", help="take in entries from a .csv or .json file; known ones are passed over"
    )
    take.add_argument("name")
    take.add_argument("file", type=Path, metavar="FILE")
    for sub in actions.choices.values():
        add_view_arguments(sub, repeated=True)


def run(args: argparse.Namespace) -> int:
    """Do what was asked of the machines, and return the exit status."""
    from askew.engine.record.machine import MachineError  # pydantic is not needed for --help
    from askew.engine.record.machine_store import Machines

    try:
        return _ACTIONS[args.machine_action or "list"](Machines(), args)
    except MachineError as error:
        raise Refusal(str(error)) from None


def _list(machines: Machines, args: argparse.Namespace) -> int:
    for name in machines.names():
        with machines.open(name, write=False) as record:
            entries = record.entries
            last = f", last on {entries[-1].date}" if entries else ""
            say(f"{name}: {record.machine.replace('_', ' ')}, {len(entries)} entries{last}", args)
    if not machines.names():
        say("There are no machines yet. Begin one: askew machine new NAME knee_mill", args)
    return OK


def _new(machines: Machines, args: argparse.Namespace) -> int:
    machines.new(args.name, args.kind).close()
    say(f"Began the record of {args.name}.", args)
    return OK


def _show(machines: Machines, args: argparse.Namespace) -> int:
    from askew.cli.view import view_from

    with machines.open(args.name, write=False) as record:
        _notices(record)
        if args.entries:
            for number, entry in record.numbered.items():
                say(f"{number:>5}  {_entry_words(entry, args)}", args)
            return OK
        view = view_from(args)
        stands = _stands(record, args)
        if args.reading and not stands:
            raise Refusal(f"There is no reading {args.reading} in the record of {args.name}.")
        if not stands:
            say(
                f"Nothing has been read of {args.name} yet. Add a reading: askew machine add {args.name} ...", args)
        for stand in stands:
            _show_one(stand, args.on or date.today(), view)
    return OK


def _show_one(stand: Due, today: date, view: View) -> None:
    from askew.cli.emit import emit
    from askew.cli.lines import BLANK, Line, wrap
    from askew.cli.plots.drift import drift
    from askew.cli.screens.said import drawn_lines
    from askew.engine.phrases import capital
    from askew.engine.record.machine import habit_of
    from askew.engine.report.words import observed_name

    width = 0 if view.linear else view.width
    habit = view.habit or habit_of(stand.series.over) or "mm"
    lines: list[Line] = wrap(capital(observed_name(stand.series.reading)), view, style="title")
    emit([*lines, *drawn_lines(drift(stand, today, habit, width, ascii_=view.ascii), view), BLANK], view)


def _due(machines: Machines, args: argparse.Namespace) -> int:
    from askew.cli.plots.drift import WHY
    from askew.engine.phrases import capital
    from askew.engine.report.words import observed_name

    today = args.on or date.today()
    with machines.open(args.name, write=False) as record:
        _notices(record)
        stands = [stand for stand in _stands(record, args) if stand.day is not None]
    for stand in stands:
        now = stand.day is not None and stand.day <= today
        why = WHY[stand.why] if stand.why else ""
        when = "now" if now else str(stand.day)
        why = why.replace("by then ", "") if now else why
        say(f"{when}  {capital(observed_name(stand.series.reading))}: {why}", args)
    if not stands:
        say("Nothing is due within three years, as far as the record goes.", args)
    return OK


def _stands(record: MachineRecord, args: argparse.Namespace) -> list[Due]:
    from askew.engine.record.machine_due import due

    wanted = getattr(args, "reading", None)
    stands = due(record, args.on or date.today(), dict(args.allow))
    return [stand for stand in stands if wanted in (None, stand.series.reading)]


def _add(machines: Machines, args: argparse.Namespace) -> int:
    from askew.engine.record.machine import Entry

    day, words = str(args.on or date.today()), " ".join(args.words)
    with machines.open(args.name) as record:
        fresh = (
            [Entry(date=day, kind="note", note=words)] if args.note else _understood(words, day, _habit(args))
        )
        for entry in fresh:
            number = record.add(entry)
            say(f"{number:>5}  {_entry_words(entry, args)}", args)
        _notices(record)
    return OK


def _understood(words: str, day: str, habit: Habit | None) -> list[Entry]:
    """Return the entries that a line of plain words stands for; raises Refusal where it holds none."""
    from askew.engine.language import Context, read
    from askew.engine.record.machine_case import entries_of
    from askew.engine.seam import Turn
    from askew.engine.story import Event
    from askew.engine.turn_out import heard_out

    heard = read(words, Context(unit=habit))
    facts = tuple(heard_out(fact) for fact in heard.facts)
    entries = entries_of("", [Event(day, words, facts, Turn(turn=0))])
    if heard.question is not None:
        raise Refusal(heard.question.text)
    if any(fact.sign_known is False and isinstance(fact.value, float) for fact in facts):
        raise Refusal("That leaves the direction open. Say which side is low or high, or which way it leans.")
    if not entries:
        raise Refusal(
            "That names no reading of the machine with its direction and length, and nothing done to it. For "
            "example: sweep is 0.02 mm low on the left over 300 mm. Or keep it as a note with --note."
        )
    return entries


def _learn(machines: Machines, args: argparse.Namespace) -> int:
    from askew.cli.report import case_path
    from askew.engine.consult import Consultation
    from askew.engine.record.journal import Journal, JournalError
    from askew.engine.record.machine_case import label_of, take_in

    path = case_path(args.case)
    try:
        with Journal.open(path, write=False) as journal:
            header, events = journal.header, Consultation(journal).events
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None
    with machines.open(args.name) as record:
        taken = take_in(record, label_of(path.stem, header.id if header else ""), events)
        _notices(record)
    count = len(taken.added)
    back = f", and took back {len(taken.withdrawn)}" if taken.withdrawn else ""
    say(f"Took over {count} new {'entry' if count == 1 else 'entries'} from {path.stem}{back}.", args)
    return OK


def _withdraw(machines: Machines, args: argparse.Namespace) -> int:
    with machines.open(args.name) as record:
        entry = record.withdraw(args.number)
        _notices(record)
    say(f"Took back: {_entry_words(entry, args)}", args)
    return OK


def _priors(machines: Machines, args: argparse.Namespace) -> int:
    from askew.engine.phrases import chance_words
    from askew.engine.report.words import source_name
    from askew.engine.units import format_length, format_slope
    from askew.knowledge.load import load

    priors = machines.prior_for(args.name, args.on or date.today())
    habit = _habit(args) or "mm"
    for id_, belief in priors.items():
        source = load().sources[id_]
        if source.unit == "slope":
            size, give = format_slope(belief.mean, source.span, habit), belief.sd * source.span
        else:
            size, give = format_length(belief.mean, habit), belief.sd
        spread = f"give or take {format_length(1.645 * give, habit)}"
        say(f"{source_name(id_)}: {size}, {spread}; still so with a chance of {chance_words(belief.weight)}", args)
    if not priors:
        say(f"The record of {args.name} says nothing yet that a case could start from.", args)
    return OK


def _export(machines: Machines, args: argparse.Namespace) -> int:
    from askew.engine.record.machine_tables import to_csv, to_json
    from askew.engine.record.private import NotWritten, write_private

    form = _form(args.to)
    with machines.open(args.name, write=False) as record:
        _notices(record)
        entries = record.entries
        text = to_csv(entries) if form == ".csv" else to_json(record.name, record.machine, entries)
    try:
        write_private(args.to, text, replace=False)
    except NotWritten as error:
        raise Refusal(str(error)) from None
    say(f"Wrote {len(entries)} entries to {args.to}.", args)
    return OK


def _import(machines: Machines, args: argparse.Namespace) -> int:
    from askew.engine.record.machine_tables import MAX_BYTES, from_csv, from_json

    form = _form(args.file)
    try:
        with args.file.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
        text = data.decode()
    except UnicodeDecodeError:
        raise Refusal("The file is not UTF-8 text.") from None
    except OSError as error:
        raise Refusal(f"The file cannot be read: {error.strerror}.") from None
    entries = from_csv(text) if form == ".csv" else from_json(text).entries
    with machines.open(args.name) as record:
        count = record.add_new(entries)
        _notices(record)
    rest = "" if count == len(entries) else "; the others were there already"
    say(f"Took in {count} of {len(entries)} entries{rest}.", args)
    return OK


_ACTIONS: dict[str, Callable[[Machines, argparse.Namespace], int]] = {
    "list": _list,
    "new": _new,
    "show": _show,
    "due": _due,
    "add": _add,
    "learn": _learn,
    "withdraw": _withdraw,
    "priors": _priors,
    "export": _export,
    "import": _import,
}


def _entry_words(entry: Entry, args: argparse.Namespace) -> str:
    from askew.engine.record.machine import habit_of
    from askew.engine.report.words import Speech, observed_name, signed_value, source_name
    from askew.engine.units import format_length, format_span
    from askew.knowledge.load import load

    spoken = Speech(_habit(args) or habit_of(entry.over) or "mm")
    parts = [entry.date]
    if entry.kind == "reading" and entry.value is not None:
        parts.append(f"{observed_name(entry.id)}: {signed_value(entry.id, entry.value, spoken)}")
    elif entry.kind == "verdict" and entry.value is not None:
        parts.append(f"held responsible: {source_name(entry.id)}, {format_length(entry.value, spoken.habit)}")
    elif entry.kind == "correction":
        action = load().actions.get(entry.id)
        parts.append(action.name if action else entry.id)
    if entry.over is not None:
        parts[-1] += f", over {format_span(entry.over, spoken.habit)}"
    parts += [entry.note] if entry.note else []
    parts += [f"(case {entry.case})"] if entry.case else []
    return "  ".join(parts)


def _habit(args: argparse.Namespace) -> Habit | None:
    from askew.cli.view import view_from

    return view_from(args).habit


def _notices(record: MachineRecord) -> None:
    from askew.engine.safe import safe

    for notice in record.notices:
        print(f"askew: {safe(notice)}", file=sys.stderr)  # noqa: T201


def _form(path: Path) -> str:
    form = path.suffix.lower()
    if form not in (".csv", ".json"):
        raise Refusal("The file must end in .csv or .json.", USAGE)
    return form


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text[:20]!r} is not a day like 2031-04-07") from None


def _limit(text: str) -> tuple[str, Allowed]:
    from askew.engine.record.machine_due import Allowed
    from askew.knowledge.load import load

    match = _LIMIT.fullmatch(text)
    try:
        reading = load().readings[match[1]] if match else None
        limit, over = (float(match[2]), float(match[3]) if match[3] else None) if match else (0.0, None)
    except (KeyError, ValueError):
        reading, limit, over = None, 0.0, None
    if (
        match is None
        or reading is None
        or limit <= 0.0
        or (over is None) != (reading.over is None)
        or over == 0.0
    ):
        raise argparse.ArgumentTypeError(
            f"{text[:40]!r} is not a limit like sweep_x=0.03/300 or lock_shift=0.01"
        )
    return match[1], Allowed(limit, over)
