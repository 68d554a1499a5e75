"""Answers in words to what the person asks: why, what next, report, help. Every number is one that was computed."""

from __future__ import annotations

from functools import cache

from rapidfuzz import fuzz, process, utils

from askew.engine.observations import Command, Reading
from askew.engine.phrases import chance_words, share_words
from askew.engine.reasoner import chain
from askew.engine.reasons import reasons
from askew.engine.seam import BudgetOut
from askew.engine.snapshot import say_size
from askew.engine.standing import Standing
from askew.engine.suspects import Numbers
from askew.engine.units import Habit, format_length, format_span
from askew.knowledge.load import load

SHOWN = frozenset({"why", "report", "help"})
"""Wishes that may stand beside what is told, for they only show something; the next check is shown after it anyway."""


def answer(command: Command, standing: Standing, unit: Habit) -> list[str]:
    """Return lines of plain text that answer a command."""
    if command.id == "why":
        return why(command.argument, standing, unit)
    if command.id == "next":
        return what_next(standing)
    if command.id == "report":
        return report(standing, unit)
    if command.id == "help":
        return help_on(command.argument)
    return ["Everything said is kept. Good luck with it."]


def name_of(id_: str) -> str:
    """Return the shop name of anything that has an id."""
    known = load()
    for table in (
        known.sources,
        known.readings,
        known.signs,
        known.checks,
        known.remedies,
        known.actions,
        known.setup,
    ):
        if id_ in table:
            return str(table[id_].name)
    return id_


def meant(words: str | None) -> str | None:
    """Return the id that some words mean: an id, a name, or the nearest name; the words where none is near."""
    if words is None:
        return None
    plain = words.strip().lower().removeprefix("the ")
    names = _names()
    if plain.replace(" ", "_") in names.values():
        return plain.replace(" ", "_")
    best = process.extract(
        plain, list(names), scorer=fuzz.token_set_ratio, processor=utils.default_process, limit=1
    )
    return names[best[0][0]] if best and best[0][1] >= NEAR else words


IN_FULL = "in full"
"""Words after "why" that ask for every rule and fact."""
FAINT = 0.02
"""Chance from which a source is under suspicion."""
NEAR = 80.0
"""Score (0 to 100) from which a name is taken to be meant."""


@cache
def _names() -> dict[str, str]:
    known = load()
    names = {source.short.lower(): id_ for id_, source in known.sources.items()}
    for table in (known.sources, known.checks, known.readings, known.signs, known.remedies):
        for id_, entry in table.items():
            names.setdefault(entry.name.lower(), id_)
    return names


def why(about: str | None, standing: Standing, unit: Habit) -> list[str]:
    """Return the chain behind a suspicion, a clearing, a check or the verdict: numbers, facts, rules."""
    known = load()
    asked = (about or "").strip()
    if asked.lower().endswith(IN_FULL):
        return why_in_full(asked[: -len(IN_FULL)].strip() or None, standing)
    about = meant(about)
    if about in known.checks:
        return why_check(str(about), standing)
    if about not in known.sources:
        if standing.next is not None and about is None:
            return why_check(standing.next.id, standing)
        about = standing.numbers[0].source if standing.numbers and about is None else about
    numbers = next((n for n in standing.numbers if n.source == about), None)
    if numbers is None:
        if about is None:
            return ["There is nothing to explain yet. Say what came out wrong."]
        lines = reasons(standing.findings, about, name_of(about), likely=False)
        if about in known.readings:
            kind = known.readings[about]
            lines = [f"{kind.name[0].upper()}{kind.name[1:]}. {kind.explain}", f"Plus: {kind.plus}.", *lines]
        return lines or [f"Nothing so far bears on {name_of(about)}."]
    source, likely = load().sources[numbers.source], numbers.probability > FAINT
    said = reasons(standing.findings, numbers.source, source.short, likely=likely)
    return [*why_numbers(numbers, standing, unit), *said]


def why_in_full(about: str | None, standing: Standing) -> list[str]:
    """Return every rule that fired on a thing with the facts it matched, those between rules among them."""
    subject = meant(about)
    if subject is None and standing.numbers:
        subject = standing.next.id if standing.next is not None else standing.numbers[0].source
    if subject is None:
        return ["There is nothing to explain yet. Say what came out wrong."]
    lines = chain(standing.findings, subject)
    return [f"- {line}" for line in lines] or [f"No rule has spoken of {name_of(subject)}."]


def why_numbers(n: Numbers, standing: Standing, unit: Habit) -> list[str]:
    """Return what the numbers say of a source."""
    source = load().sources[n.source]
    lines = [
        f"{source.name[0].upper()}{source.name[1:]}: {chance_words(n.probability)} likely to be in trouble."
    ]
    if n.probability > FAINT:
        sizes = [_size(value, n, unit) for value in (n.mid, n.low, n.high)]
        over = sizes[0].partition(" over ")
        mid, low, high = (size.partition(" over ")[0] for size in sizes)
        lines.append(
            f"If so, its size is about {mid} ({low} to {high}){over[1]}{over[2]}; plus means {source.plus}."
        )
        lines.append(f"It would then make {share_words(n.share)} of what you measured.")
    if n.needed is not None:
        lines.append(
            f"To do it all alone it would have to be {_size(n.needed, n, unit)}; "
            f"{_size(n.plausible, n, unit)} is the most that is plausible."
        )
    elif standing.size:
        lines.append("By itself no size of it would lean this reading at all.")
    usual = source.size.get(standing.snapshot.machine) or source.size["any"]
    lines.append(f"Before anything was measured: {chance_words(usual.prior)} ({usual.source}).")
    return lines


def _size(value: float, n: Numbers, unit: Habit) -> str:
    source = load().sources[n.source]
    return say_size(value, source.unit, source.span, unit)


def why_check(check_id: str, standing: Standing) -> list[str]:
    """Return why a check was chosen, or what it would tell."""
    known = load().checks[check_id]
    lines = [f"{known.name[0].upper()}{known.name[1:]}. {known.explain}"]
    out = standing.next_out
    if out is not None and out.check == check_id:
        lines.append(out.because)
    elif standing.choice is not None:
        scored = next((s for s in standing.choice.ranked if s.id == check_id), None)
        if scored is None:
            found = standing.findings.in_play.out.get(check_id)
            lines.append(found.because if found else "It has nothing left to tell here, or cannot be made.")
        else:
            lines.append(
                f"It would settle {share_words(scored.share)} of what is open, for {scored.minutes:.0f} min."
            )
    lines += [f"What spoils it: {spoiler}" for spoiler in known.spoils]
    return [*lines, *reasons(standing.findings, check_id, known.name, likely=False)]


def what_next(standing: Standing) -> list[str]:
    """Return a line that goes before the next check, or says that there is none."""
    if standing.next is not None:
        return []
    if standing.closed:
        return ["The cut is within what was asked for. The case is closed."]
    if standing.verdict is not None:
        return [standing.findings.stop_because or "No check left would change what to do. Try the remedy."]
    return (
        ["Say what came out wrong and by how much; then I can name a check."]
        if not standing.size
        else ["There is no check left to make on this bench."]
    )


def report(standing: Standing, unit: Habit) -> list[str]:
    """Return what the error budget accounts for, in the person's units; the entries go beside it."""
    budget, complaint = standing.budget, standing.case.complaint
    if budget is None or complaint is None or not isinstance(complaint.fact, Reading):
        return ["There is no number to account for yet. Say what came out wrong, and by how much."]
    kind = load().readings[complaint.fact.id]
    over = complaint.fact.over or (standing.case.setup.value(kind.over) if kind.over else None)
    size = format_length(abs(budget.complaint), unit) + (f" over {format_span(over, unit)}" if over else "")
    way = "" if kind.plus == kind.minus else f", {kind.plus if budget.complaint > 0 else kind.minus}"
    return [f"{kind.name[0].upper()}{kind.name[1:]}: {size}{way}. This is what makes it, as far as is known:"]


def entries(standing: Standing) -> list[BudgetOut]:
    """Return the entries of the error budget, the largest first; none before there is a number."""
    budget = standing.budget
    if budget is None or not budget.complaint:
        return []
    named = [(source, load().sources[source].short, mm) for source, mm in budget.entries]
    others = [
        (None, "all other causes together", budget.rest),
        (None, "explained by nothing listed", budget.unexplained),
    ]
    whole = abs(budget.complaint)
    with_it = 1.0 if budget.complaint > 0 else -1.0
    return [
        BudgetOut(source=source, name=name, makes=with_it * mm, share=with_it * mm / whole)
        for source, name, mm in (*named, *others)
    ]


def help_on(word: str | None) -> list[str]:
    """Return what can be said, or the explanation of a word."""
    known = load()
    if word:
        word = meant(word) or word
        for table in (
            known.commands,
            known.sources,
            known.readings,
            known.signs,
            known.checks,
            known.remedies,
        ):
            if word in table:
                return [str(table[word].explain)]
        entry = next((e for id_, e in known.glossary.items() if word.lower().replace(" ", "_") == id_), None)
        if entry is not None:
            return [entry.explain]
        return [f"I have no explanation of “{word[:60]}”. Try the name of a suspect, a reading or a check."]
    return [
        "Say what you saw or measured, with its unit: 15 thou out of square over 3 in, corner closed.",
        "Say what you did: re-gripped it, trammed the head, took the bar out.",
        *(f"{command.usage}: {command.explain}" for command in known.commands.values()),
    ]
