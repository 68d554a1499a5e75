"""From the case to the inference problem: rows, ranges, groups and the choices of sign.

Each reading becomes a row of its own situation's Jacobian over the source instances in force then. Absolute
values (the hollow left by a tilted cutter, a step beyond its dead zone, a number told without its direction)
are split by sign: one problem for each combination that matters, with the sign itself as a range.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product
from typing import TypeVar

import numpy as np

from askew.engine.belief.columns import Column, column_of, in_play, prior_of, size_of, table
from askew.engine.belief.hypotheses import Index
from askew.engine.belief.problem import Array, Columns, Group, Problem, Rows, Soft
from askew.engine.belief.settled import STAND_INS, Past, in_force, moments, settled
from askew.engine.case import Case, Evidence, Situation, measuring
from askew.engine.observations import Reading, Sign
from askew.engine.physics.linear import OPTIONS, LinearRow, linear, signs_of, source_ids
from askew.engine.physics.scatter import best_instrument, scatter
from askew.engine.physics.scene import facts_of, seat_share
from askew.engine.setup import Setup
from askew.knowledge.load import load
from askew.knowledge.schema import Evidence as Meaning

WILD_PRIOR = 0.015
"""Chance that a number was misread, mistyped or taken wrongly. Judgement; the trial tells how it does."""

LENGTHS = 0.015
"""Part of a reading by which it may be off because lengths that it goes by are (the circle of a sweep, the height at
which a feeler went in), one standard deviation. Judgement."""

MOST_BRANCHES = 6
UNLISTED = "unlisted"
MIRROR = {"face_out_of_square": {"other_corner": -1.0}}
"""What is not listed shows on the complaint alone, and the other way round at the other corner of the same face."""

WAYS = 2
"""Directions in which what is not known of the setup spreads a column's part in the readings."""
Mixture = Mapping[int, tuple[Mapping[str, float], ...]]
"""For each column, the directions over the unknowns along which its spread lies, the main one first."""
Item = TypeVar("Item")
SignKey = tuple[str, tuple[Column, ...]] | tuple[str, int]


@dataclass(frozen=True)
class Term:
    """One linear statement: a row, or a range over a row, in a situation.

    `sign_key` names the direction of a number told without one. `scale` multiplies the row.
    """

    reading: str | None
    source: str | None
    situation: Situation
    over: float | None = None


@dataclass(frozen=True)
class NumericItem:
    """A number: its term, value, variance, and the size it would have if taken wrongly."""

    term: Term
    value: float
    variance: float
    wild: float
    fact: Reading
    unsigned: bool
    when: int


@dataclass(frozen=True)
class RangeItem:
    """A range: its term and where it lies."""

    term: Term
    low: float
    high: float
    blur: float
    misread: float
    outside: bool

    @property
    def order(self) -> tuple[object, ...]:
        """A canonical order, so that it does not matter in which order things were told."""
        return (str(self.term), self.low, self.high, self.outside)


@dataclass(frozen=True)
class GroupItem:
    """A sign that points at a set of sources, in a situation."""

    sources: tuple[str, ...]
    situation: Situation
    hit: float
    false_alarm: float


def numeric_items(case: Case) -> list[NumericItem]:
    """Return the numbers of a case in a canonical order."""
    items = [
        _numeric(case, evidence)
        for evidence in case.evidence
        if isinstance(evidence.fact, Reading)
        and evidence.fact.value is not None
        and evidence.fact.bound in (None, "about", "between")
    ]
    return sorted(_gathered(items), key=lambda item: (str(item.term), item.value, item.variance))


REPEATS = 3
"""From more readings of one thing than this, the middle one stands for all of them."""


def _gathered(items: Sequence[NumericItem]) -> list[NumericItem]:
    """Return the items with many repeats of one reading in one state gathered into their median.

    The median of n readings has about the variance of their mean; what they share (the instrument, the way it is
    set up) does not average out, so that it is never taken below a tenth of one reading's.
    """
    groups: dict[tuple[Term, bool], list[NumericItem]] = {}
    for item in items:
        groups.setdefault((item.term, item.unsigned), []).append(item)
    found: list[NumericItem] = []
    for same in groups.values():
        if len(same) <= REPEATS:
            found += same
            continue
        ordered = sorted(same, key=lambda item: (item.value, item.variance))
        middle = ordered[len(ordered) // 2]
        variance = max(1.6 * middle.variance / len(same), 0.1 * middle.variance)
        found.append(replace(middle, variance=variance, when=max(item.when for item in same)))
    return found


def _faded(item: NumericItem) -> NumericItem:
    """Return a number that is not suspected by itself any more: that it may be wrong is part of its noise.

    Where its direction was left open it is nothing with the variance of both.
    """
    variance = item.variance + WILD_PRIOR * item.wild**2
    if not item.unsigned:
        return replace(item, variance=variance)
    return replace(item, value=0.0, variance=variance + item.value**2, unsigned=False)


def _numeric(case: Case, evidence: Evidence) -> NumericItem:
    fact = evidence.fact
    assert isinstance(fact, Reading) and fact.value is not None
    kind = load().readings[fact.id]
    spread = scatter_of(fact.id, fact.over, case.setup.instruments)
    if kind.of == "machine" and fact.id.startswith("sweep") and _locks_loose(case, evidence):
        spread *= 4.0
    variance = spread**2 + (LENGTHS * fact.value) ** 2
    if fact.bound == "about":
        variance = 4.0 * spread**2 + (0.12 * fact.value) ** 2
    if fact.bound == "between" and fact.low is not None and fact.high is not None:
        variance += (fact.high - fact.low) ** 2 / 12.0
    wild = 3.0 * max(abs(fact.value), 10.0 * spread)
    either_way = not fact.sign_known or (kind.size_only and not _one_way(_term(case, evidence)))
    return NumericItem(
        _term(case, evidence), fact.value, variance, wild, fact, either_way and fact.value != 0.0, evidence.when
    )


def _one_way(term: Term) -> bool:
    """A size without direction whose sources only go one way needs no choice of sign."""
    known = load().sources
    return all(known[column.source].one_sided for column in spoken_of(term))


def _locks_loose(case: Case, evidence: Evidence) -> bool:
    return any(
        isinstance(e.fact, Sign)
        and e.fact.id == "locks_were_loose"
        and e.fact.answer == "yes"
        and e.situation.instance("gib_play_z") == evidence.situation.instance("gib_play_z")
        for e in case.evidence
    )


def scatter_of(reading_id: str, over: float | None, bench: tuple[str, ...] | None = None) -> float:
    """Return one standard deviation of a careful reading, mm.

    Args:
        reading_id: The reading.
        over: Length it is taken over, mm.
        bench: Instruments on hand, of which the best is taken; None for the usual one.
    """
    return scatter(reading_id, best_instrument(reading_id, bench) if bench else None, over)


def _term(case: Case, evidence: Evidence) -> Term:
    fact = evidence.fact
    over = fact.over if isinstance(fact, Reading) else None
    situation = evidence.situation
    filled = Situation(case.filled(situation.setup), situation.instances, ())
    return Term(_measured_from(fact.id, filled), None, filled, over)


def _measured_from(reading_id: str, situation: Situation) -> str:
    """A corner squared from the moving-jaw side is the other corner."""
    turned = reading_id == "face_out_of_square" and situation.setup.gripped_face == "moving"
    return "other_corner" if turned else reading_id


def range_items(case: Case) -> list[RangeItem]:
    """Return the ranges of a case: bounds, complaints without a number, and signs; in a canonical order."""
    items: list[RangeItem] = []
    for evidence in case.evidence:
        if isinstance(evidence.fact, Reading):
            items += _bounded(case, evidence)
        else:
            items += [
                _meant(case, evidence, meaning) for meaning in meanings(evidence.fact) if not meaning.troubled
            ]
    return sorted(items, key=lambda item: repr(item.order))


def _bounded(case: Case, evidence: Evidence) -> list[RangeItem]:
    fact = evidence.fact
    assert isinstance(fact, Reading)
    spread = scatter_of(fact.id, fact.over, case.setup.instruments)
    term = _term(case, evidence)
    misread = WILD_PRIOR
    if fact.value is None:
        if fact.bound is not None or not load().readings[fact.id].complaint:
            return []
        return [RangeItem(term, -3.0 * spread, 3.0 * spread, spread, misread, outside=True)]
    if fact.bound not in ("at_least", "at_most"):
        return []
    if not fact.sign_known:
        size = abs(fact.value)
        return [RangeItem(term, -size, size, spread, misread, outside=fact.bound == "at_least")]
    low, high = (fact.value, np.inf) if fact.bound == "at_least" else (-np.inf, fact.value)
    return [RangeItem(term, low, high, spread, misread, outside=False)]


def meanings(sign: Sign) -> Sequence[Meaning]:
    """Return what an answer to a sign stands for; a place without a meaning of its own stands for yes."""
    kind = load().signs[sign.id]
    if sign.answer == "unknown":
        return ()
    return kind.evidence.get(sign.answer, kind.evidence.get("yes", ()) if sign.answer != "no" else ())


def limits_of(meaning: Meaning) -> tuple[float, float, bool]:
    """Return the range that a meaning stands for: low, high, and whether it is the outside that is meant."""
    if meaning.outside is not None:
        return -meaning.outside, meaning.outside, True
    if meaning.within is not None:
        return -meaning.within, meaning.within, False
    low = meaning.at_least if meaning.at_least is not None else -np.inf
    high = meaning.at_most if meaning.at_most is not None else np.inf
    return low, high, False


def _meant(case: Case, evidence: Evidence, meaning: Meaning) -> RangeItem:
    low, high, outside = limits_of(meaning)
    situation = Situation(case.filled(evidence.situation.setup), evidence.situation.instances, ())
    term = Term(meaning.reading, meaning.source, situation)
    size = max(abs(v) for v in (low, high) if np.isfinite(v))
    blur = meaning.blur if meaning.blur is not None else 0.3 * size
    return RangeItem(term, low, high, blur, load().signs[evidence.fact.id].misread, outside)


def group_items(case: Case) -> list[GroupItem]:
    """Return the signs that point at sets of sources."""
    return [
        GroupItem(tuple(meaning.troubled), evidence.situation, meaning.hit, meaning.false_alarm)
        for evidence in case.evidence
        if isinstance(evidence.fact, Sign)
        for meaning in meanings(evidence.fact)
        if meaning.troubled
    ]


@dataclass(frozen=True)
class Assembled:
    """The problem of a case, ready for inference.

    Attributes:
        case: The case.
        columns: Source instances, in the order of the problem's columns.
        numbers: The numeric items, in the order of the rows; those of `doubted` come first.
        doubted: The numbers that have a stand-in for being taken wrongly.
        branches: A problem for each choice of signs.
        choices: For each branch, the sign of each absolute value.
        mixture: For each column, how its spread is made up of the unknown numbers of the setup.
        layout: Where rows over the sources go among the columns.
    """

    case: Case
    columns: tuple[Column, ...]
    numbers: tuple[NumericItem, ...]
    doubted: tuple[NumericItem, ...]
    branches: tuple[Problem, ...]
    choices: tuple[dict[SignKey, int], ...]
    mixture: Mixture
    layout: Layout

    @cached_property
    def position(self) -> dict[Column, int]:
        """Column number of each source instance."""
        return {column: i for i, column in enumerate(self.columns)}

    def choice_of(self, problem: Problem) -> dict[SignKey, int]:
        """Return the signs that one of the branches stands for."""
        return self.choices[next(i for i, branch in enumerate(self.branches) if branch is problem)]

    def rows(self, terms: Sequence[Term], choice: dict[SignKey, int]) -> Rows:
        """Return further terms as rows over the columns, under a choice of signs.

        An absolute value that the choice does not fix is taken as its middle, nothing, with its spread.
        """
        return self.layout.rows([self.layout.row(term, choice) for term in terms], self.mixture)

    def fresh(self, term: Term) -> float:
        """Return the variance (mm2) that sources without a column add to a term."""
        if term.reading is None:
            return 0.0
        names = signs_of(term.reading, term.situation.setup)
        row = linear(term.reading, term.situation.setup, term.over, tuple((name, 1) for name in names))
        return self.layout.missing(term, row.jacobian)


Parts = tuple[Array, dict[str, Array], list[Array]]
"""A row over the columns, its spread by unknown, and the rows that its signs ask to be positive."""


class Layout:
    """Places rows over the sources into the columns of a problem."""

    def __init__(
        self, columns: tuple[Column, ...], wilds: int, complaint: Evidence | None, past: Past | None = None
    ) -> None:
        """Number the columns; `wilds` stand-ins for readings follow them, then what is settled."""
        self.columns = columns
        self.past = past
        self.open = len(columns) + wilds
        gone = past.columns if past is not None else ()
        self.size = self.open + len(gone)
        self.position = {column: i for i, column in enumerate(columns)}
        self.position.update((column, self.open + i) for i, column in enumerate(gone))
        self.complaint = complaint
        self._places: dict[Situation, tuple[Index, Index]] = {}
        self._rows: dict[tuple[Term, tuple[int | None, ...]], Parts] = {}

    def row(self, term: Term, choice: dict[SignKey, int]) -> Parts:
        """Return a term's row, its spread by unknown, and the rows that its signs ask to be positive."""
        key = term, tuple(map(choice.get, keys_of(term)))
        if key not in self._rows:
            self._rows[key] = self._row(term, choice)
        return self._rows[key]

    def _row(self, term: Term, choice: dict[SignKey, int]) -> Parts:
        if term.source is not None:
            plain = np.zeros(self.size)
            where = self.position.get(column_of(term.source, term.situation))
            if where is not None:
                plain[where] = 1.0
            return plain, {}, []
        assert term.reading is not None
        found, folded = self._linear(term, choice)
        plain = self._place(found.jacobian, term.situation)
        spread = {
            _named(key, term.situation): self._place(row, term.situation) for key, row in found.spread.items()
        }
        spread.update({f"sign {i}": self._place(row, term.situation) for i, row in enumerate(folded)})
        limits = [self._place(row, term.situation) for rows in found.limits.values() for row in rows]
        self._unlisted(term, plain)
        return plain, spread, limits

    def _linear(self, term: Term, choice: dict[SignKey, int]) -> tuple[LinearRow, list[Array]]:
        """The row under a choice of signs; a sign that is left open keeps its size as spread."""
        assert term.reading is not None
        setup = seated(term.situation.setup, choice)
        names = signs_of(term.reading, setup)
        senses = {name: choice.get(sign_key(name, term.situation)) for name in names}
        if all(sense is not None for sense in senses.values()):
            fixed = tuple((name, int(sense or 0)) for name, sense in senses.items())
            return linear(term.reading, setup, term.over, fixed), []
        up = linear(
            term.reading,
            setup,
            term.over,
            tuple((n, senses[n] if senses[n] is not None else 1) for n in names),
        )
        down = linear(
            term.reading,
            setup,
            term.over,
            tuple((n, senses[n] if senses[n] is not None else -1) for n in names),
        )
        middle = LinearRow((up.jacobian + down.jacobian) / 2.0, up.spread, {}, up.over)
        return middle, [(up.jacobian - down.jacobian) / 2.0]

    def _place(self, row: Array, situation: Situation) -> Array:
        placed = np.zeros(self.size)
        where, which = self._where(situation)
        placed[where] = row[which]
        return placed

    def _where(self, situation: Situation) -> tuple[Index, Index]:
        """Return the columns of the sources in play in a situation, and which sources they are."""
        if situation not in self._places:
            instance = dict(situation.instances)
            pairs = [
                (self.position[column], i)
                for i, source in _playing(situation.setup)
                if (column := Column(source, instance.get(source, 0))) in self.position
            ]
            columns, sources = zip(*pairs, strict=True) if pairs else ((), ())
            self._places[situation] = (np.array(columns, dtype=np.intp), np.array(sources, dtype=np.intp))
        return self._places[situation]

    def missing(self, term: Term, row: Array) -> float:
        """Return the variance that sources without a column add to a term: fresh instances, unseen ones.

        Args:
            term: The term.
            row: Its Jacobian over the sources.
        """
        known = load().sources
        total = 0.0
        for i in np.flatnonzero(row):
            source = known[source_ids()[i]]
            if column_of(source_ids()[i], term.situation) in self.position:
                continue
            if in_play(source, term.situation.setup):
                size = size_of(source, term.situation.setup)
                prior = prior_of(source, term.situation.setup, 1.0)
                total += float(row[i]) ** 2 * (prior * size.trouble**2 + (1.0 - prior) * size.healthy**2)
        return total

    def _unlisted(self, term: Term, plain: Array) -> None:
        if self.complaint is None or Column(UNLISTED, 0) not in self.position:
            return
        id_ = self.complaint.fact.id
        share = 1.0 if term.reading == id_ else MIRROR.get(id_, {}).get(term.reading or "", 0.0)
        if share and _of_the_cut(term.situation) == _of_the_cut(self.complaint.situation):
            plain[self.position[Column(UNLISTED, 0)]] = share

    def rows(self, parts: Sequence[Parts], mixture: Mixture) -> Rows:
        """Stack rows; the spread of each column is gathered along the directions of its unknowns."""
        n = len(parts)
        jacobian = np.array([part[0] for part in parts]).reshape(n, self.size)
        spread = np.zeros((n, WAYS, self.size))
        for r, (_, by_unknown, _) in enumerate(parts):
            for c in {int(c) for row in by_unknown.values() for c in np.flatnonzero(row)}:
                entries = {key: float(row[c]) for key, row in by_unknown.items() if row[c] != 0.0}
                spread[r, :, c] = _along(entries, mixture.get(c, ()))
        past = None
        if self.past is not None:
            past = self.past.rows(jacobian[:, self.open :], spread[:, :, self.open :])
        return Rows(jacobian[:, : self.open], spread[:, :, : self.open].reshape(n, WAYS * self.open), past)

    def usual(self, parts: Sequence[Parts]) -> Array:
        """Return what settled instances are expected to add to each row, (n,)."""
        if self.past is None:
            return np.zeros(len(parts))
        return np.array([part[0][self.open :] @ self.past.mean for part in parts]).reshape(len(parts))


def _named(key: str, situation: Situation) -> str:
    """A share that is drawn afresh at each grip has a name for each grip."""
    return f"{key}#{situation.instance('chip_behind_jaw')}" if key == "taper_share" else key


def seat_key(setup: Setup) -> tuple[SignKey, float] | None:
    """Return what names the seat of a part that may follow the jaw or the bed, with the chance of the jaw.

    None where it is known, or sure from how deep the part is gripped. A part seats on one or the other, so the
    two are told apart like the sign of an absolute value.
    """
    share, spread = seat_share(facts_of(setup))
    return (("seat", round(1000.0 * share)), share) if spread > 0.0 else None


def seated(setup: Setup, choice: Mapping[SignKey, int]) -> Setup:
    """Return a setup with the seat that a choice stands for."""
    found = seat_key(setup)
    if found is None or found[0] not in choice:
        return setup
    return _on(setup, "jaw" if choice[found[0]] else "bed")


@lru_cache(maxsize=256)
def _on(setup: Setup, seat: str) -> Setup:
    return setup.having(seat=seat)


@lru_cache(maxsize=256)
def _playing(setup: Setup) -> tuple[tuple[int, str], ...]:
    """Return the sources in play in a setup, with their places in the rows of the forward model."""
    known = load().sources
    return tuple((i, id_) for i, id_ in enumerate(source_ids()) if in_play(known[id_], setup))


@lru_cache(maxsize=1024)
def keys_of(term: Term) -> tuple[SignKey, ...]:
    """Return the choices that a term's row depends on."""
    if term.reading is None:
        return ()
    setup = term.situation.setup
    seat = seat_key(setup)
    setups = [setup] if seat is None else [setup, _on(setup, "jaw"), _on(setup, "bed")]
    names = dict.fromkeys(name for one in setups for name in signs_of(term.reading, one))
    signs = [sign_key(name, term.situation) for name in names]
    return tuple(signs if seat is None else [seat[0], *signs])


def sign_key(name: str, situation: Situation) -> SignKey:
    """Return what tells apart the absolute values of different states of the machine."""
    parts: tuple[str, ...] = ("tram", "nod", "lean_side", "lean_fore", "table_slope", "saddle_slope")
    if name == "step":
        parts = (*parts, "spindle_growth", "tool_pullout", "part_slip", "gib_play_z")
    return name, tuple(column_of(part, situation) for part in parts)


def _of_the_cut(situation: Situation) -> tuple[tuple[str, int], ...]:
    """What was in force for the cut itself: the same cut measured once more is the same complaint."""
    return tuple(pair for pair in situation.instances if pair[0] not in measuring() and pair[1])


def assemble(case: Case) -> Assembled:
    """Return the inference problem of a case."""
    told, ranges, groups = numeric_items(case), range_items(case), group_items(case)
    spoken = _active(case, [*(item.term for item in told), *(item.term for item in ranges)], groups)
    gone = settled(case, spoken)
    columns = tuple(column for column in spoken if column not in gone)
    past = _past(case, tuple(column for column in spoken if column in gone)) if gone else None
    ranges = [item for item in _few(ranges) if not gone & spoken_of(item.term)]
    held = [g for g in _few(groups) if not any(column_of(s, g.situation) in gone for s in g.sources)]
    doubted, others, settled_numbers = _parted(told, gone)
    current = (*doubted, *others)
    numbers = (*current, *settled_numbers)
    layout = Layout(columns, len(doubted), case.complaint, past)
    table_ = table(case, columns, np.array([item.wild for item in doubted]), WILD_PRIOR)
    terms = [(item.term, item.variance) for item in current] + [(item.term, RANGE_NOISE) for item in ranges]
    if gone:  # of a long day only the signs of the present are told apart
        present = in_force(case, columns)
        terms = [(term, noise) for term, noise in terms if spoken_of(term) <= present]
    choices = _choices(layout, current, terms, table_.trouble)
    every = [item.term for item in numbers] + [item.term for item in ranges]
    mixture = _mixture([layout.row(term, choices[0])[1] for term in every])
    position = layout.position
    members = tuple(
        Group(
            tuple(
                position[column_of(s, g.situation)]
                for s in g.sources
                if column_of(s, g.situation) in position
            ),
            g.hit,
            g.false_alarm,
        )
        for g in held
    )
    branches = tuple(
        _branch(layout, numbers, ranges, members, choice, mixture, table_) for choice in choices
    )
    return Assembled(case, columns, numbers, doubted, branches, choices, mixture, layout)


def _past(case: Case, columns: tuple[Column, ...]) -> Past:
    return Past(columns, *moments(table(case, columns, np.zeros(0), WILD_PRIOR)))


def _few(items: Sequence[Item]) -> list[Item]:
    """Return the items without more than a few of the same: the same look told again and again is one look."""
    count: dict[Item, int] = {}
    found: list[Item] = []
    for item in items:
        count[item] = count.get(item, 0) + 1
        if count[item] <= REPEATS:
            found.append(item)
    return found


def _parted(
    items: Sequence[NumericItem], gone: frozenset[Column]
) -> tuple[tuple[NumericItem, ...], tuple[NumericItem, ...], tuple[NumericItem, ...]]:
    """Return the numbers that are each suspected of being wrong, the others of the present, and the settled ones."""
    past = [item for item in items if gone & spoken_of(item.term)] if gone else []
    present = [item for item in items if item not in past] if past else list(items)
    latest = sorted((item.when for item in present), reverse=True)[:STAND_INS]
    doubted = tuple(item for item in present if item.when >= latest[-1])
    others = tuple(_faded(item) for item in present if item.when < latest[-1])
    return doubted, others, tuple(_faded(item) for item in past)


def _branch(
    layout: Layout,
    numbers: Sequence[NumericItem],
    ranges: Sequence[RangeItem],
    groups: tuple[Group, ...],
    choice: dict[SignKey, int],
    mixture: Mixture,
    table_: Columns,
) -> Problem:
    seen = [layout.row(item.term, choice) for item in numbers]
    told = [layout.row(item.term, choice) for item in ranges]
    limits = _distinct(
        limit for part in (*seen, *told) for limit in part[2] if not limit[layout.open :].any()
    )
    rows = layout.rows(seen, mixture)
    wild = np.arange(layout.open - len(layout.columns))
    rows.jacobian[wild, len(layout.columns) + wild] = 1.0
    values = np.array(
        [item.value * (choice.get(("told", i), 1) if item.unsigned else 1) for i, item in enumerate(numbers)]
    ) - layout.usual(seen)
    noise = np.array([item.variance for item in numbers])
    soft_rows = layout.rows([*((limit, {}, []) for limit in limits), *told], mixture)
    n = len(limits)
    soft = Soft(
        soft_rows,
        low=np.array([0.0] * n + [item.low for item in ranges]),
        high=np.array([np.inf] * n + [item.high for item in ranges]),
        blur=np.array([0.0] * n + [item.blur for item in ranges]),
        misread=np.array([0.0] * n + [item.misread for item in ranges]),
        outside=np.array([False] * n + [item.outside for item in ranges], dtype=bool),
    )
    return Problem(table_, rows, values, noise, soft, groups, _log_weight(choice))


def _distinct(rows: Iterable[Array]) -> list[Array]:
    """Different limits only: the same sign serves many rows."""
    kept: dict[bytes, Array] = {}
    for row in rows:
        size = np.abs(row).max()
        if size > 0.0:
            kept.setdefault(np.round(row / size, 9).tobytes(), row)
    return list(kept.values())


def _active(case: Case, terms: Sequence[Term], groups: Sequence[GroupItem]) -> tuple[Column, ...]:
    """Return the source instances that anything observed speaks of, in a fixed order."""
    known = load().sources
    found: set[Column] = set().union(*(spoken_of(term) for term in terms))
    for group in groups:
        found |= {
            column_of(s, group.situation) for s in group.sources if in_play(known[s], group.situation.setup)
        }
    if case.complaint is not None:
        found.add(Column(UNLISTED, 0))
    order = {id_: i for i, id_ in enumerate(source_ids())}
    return tuple(sorted(found, key=lambda column: (order[column.source], column.instance)))


@lru_cache(maxsize=1024)
def spoken_of(term: Term) -> frozenset[Column]:
    """Return the source instances that a term speaks of."""
    if term.source is not None:
        return frozenset({column_of(term.source, term.situation)})
    assert term.reading is not None
    ids, known, setup = source_ids(), load().sources, term.situation.setup
    names = signs_of(term.reading, setup)
    rows = [linear(term.reading, setup, term.over, tuple((n, sign) for n in names)) for sign in (1, -1)]
    seen = np.abs([part for row in rows for part in (row.jacobian, *row.spread.values())]).sum(axis=0)
    return frozenset(
        column_of(ids[i], term.situation) for i in np.flatnonzero(seen) if in_play(known[ids[i]], setup)
    )


RANGE_NOISE = 1e-5
"""Variance that a range counts with where it is asked whether a sign matters to it, mm2."""


def _choices(
    layout: Layout, numbers: Sequence[NumericItem], terms: Sequence[tuple[Term, float]], trouble: Array
) -> tuple[dict[SignKey, int], ...]:
    """Return the combinations of signs worth telling apart; the least of them are left open beyond a dozen.

    Args:
        layout: Where rows go.
        numbers: The numbers, of which some were told without their direction.
        terms: What may depend on signs, each with the variance it was seen with, mm2.
        trouble: Variance of each column in trouble.
    """
    weight: dict[SignKey, float] = {}
    options: dict[SignKey, tuple[int, ...]] = {}
    for i, item in enumerate(numbers):
        if item.unsigned:
            weight[("told", i)] = np.inf
            options[("told", i)] = (-1, 1)
    for term, noise in terms:
        if term.reading is None:
            continue
        for name in signs_of(term.reading, term.situation.setup):
            key = sign_key(name, term.situation)
            folded = layout.row(term, {})[1].get("sign 0", np.zeros(layout.size))[: layout.open]
            size = float(np.sqrt((folded**2 * trouble).max() / noise))
            weight[key] = max(weight.get(key, 0.0), size)
            options[key] = OPTIONS[name]
    _seats(terms, trouble, layout, weight, options)
    kept: list[SignKey] = []
    count = 1
    for key in sorted(options, key=lambda k: (-weight[k], str(k))):
        if count * len(options[key]) <= MOST_BRANCHES and weight[key] > 0.5:
            kept.append(key)
            count *= len(options[key])
    return tuple(dict(zip(kept, senses, strict=True)) for senses in product(*(options[key] for key in kept)))


def _seats(
    terms: Sequence[tuple[Term, float]],
    trouble: Array,
    layout: Layout,
    weight: dict[SignKey, float],
    options: dict[SignKey, tuple[int, ...]],
) -> None:
    """Add the seats that may be either, weighed by what they change in the rows."""
    for term, noise in terms:
        found = seat_key(term.situation.setup) if term.reading is not None else None
        if found is None:
            continue
        on_jaw, on_bed = (layout.row(term, {found[0]: seat})[0] for seat in (1, 0))
        size = float(np.sqrt(((on_jaw - on_bed)[: layout.open] ** 2 * trouble).max() / noise))
        weight[found[0]] = max(weight.get(found[0], 0.0), size)
        options[found[0]] = (1, 0)


def _log_weight(choice: Mapping[SignKey, int]) -> float:
    """Log of the prior chance of the seats that a choice stands for; signs are even."""
    total = 0.0
    for key, value in choice.items():
        if key[0] == "seat" and isinstance(key[1], int):
            total += float(np.log(key[1] / 1000.0 if value else 1.0 - key[1] / 1000.0))
    return total


def _mixture(spreads: Sequence[dict[str, Array]]) -> Mixture:
    """Return for each column the directions, over the unknowns, along which most of its spread lies."""
    by_column: dict[int, list[dict[str, float]]] = {}
    for spread in spreads:
        for c in {int(c) for row in spread.values() for c in np.flatnonzero(row)}:
            by_column.setdefault(c, []).append(
                {k: float(row[c]) for k, row in spread.items() if row[c] != 0.0}
            )
    return {c: _directions(entries) for c, entries in by_column.items()}


SECOND = 0.05
"""A second direction counts from this share of the spread of the first, variance for variance."""


def _directions(entries: Sequence[dict[str, float]]) -> tuple[dict[str, float], ...]:
    keys = sorted({key for entry in entries for key in entry})
    if len(keys) == 1:
        return ({keys[0]: 1.0},)
    matrix = np.array([[entry.get(key, 0.0) for key in keys] for entry in entries])
    values, vectors = np.linalg.eigh(matrix.T @ matrix)
    found = []
    for i in (-1, -2):
        if values[i] > SECOND * values[-1] or i == -1:
            way = vectors[:, i]
            way = way if way[np.argmax(np.abs(way))] > 0 else -way
            found.append(dict(zip(keys, map(float, way), strict=True)))
    return tuple(found)


def _along(entries: Mapping[str, float], directions: Sequence[Mapping[str, float]]) -> tuple[float, float]:
    """Return a spread along its column's directions; the last of them takes what the others leave of its size."""
    size = float(np.sqrt(sum(v * v for v in entries.values())))
    parts = [sum(v * way.get(key, 0.0) for key, v in entries.items()) for way in directions]
    if len(parts) < WAYS:
        return (size if not parts or parts[0] >= 0.0 else -size), 0.0
    left = float(np.sqrt(max(size * size - parts[0] ** 2, 0.0)))
    return parts[0], left if parts[1] >= 0.0 else -left
