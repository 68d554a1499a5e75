"""After the verdict: the advice is followed in the simulated shop, the part is cut again and measured.

Scores what a verdict is for. Every cause that is named gets its remedy, worked out from what is believed at the
verdict; the simulated shop then changes by what the remedy does there, not by what was hoped. A head is tapped
until a needle with its own scatter is within what the part needs; a shim takes out what it was reckoned from,
right or wrong; what is cleaned, seated or supported is afterwards as on a healthy machine, and the grip is drawn
afresh with all its chances.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import numpy as np

from askew.engine.belief.items import scatter_of
from askew.engine.case import Case, measuring, tell
from askew.engine.consult import Consultation
from askew.engine.mend import DRAWS
from askew.engine.next_cut import LEANING, alongside
from askew.engine.planner.available import available, minutes_of
from askew.engine.record.journal import Journal
from askew.engine.remedies.first import remedy_for
from askew.engine.remedies.head_need import Axis, head_need
from askew.engine.said import parse
from askew.engine.seam import Turn
from askew.engine.standing import Standing, stand
from askew.engine.trial.person import Person
from askew.engine.trial.play import MOST_CHECKS, SETTLED
from askew.engine.trial.policies import OURS, RIVALS
from askew.engine.trial.shop import COMPLAINTS, Shop, draw_shop, healthy_size
from askew.engine.trial.world import measure, measured_now
from askew.knowledge.load import load

MOST_CUTS = 4
"""Proving cuts after which a shop gives up."""
MOST_SEATINGS = 2
"""Times that a part is seated again before a strip of paper or foil is slipped behind it."""
FOIL = 0.02
"""Steps in which paper and foil come, mm."""
ROUGH = 0.006 / 300.0
"""How true a joint comes back that was opened for a shim, one standard deviation, rad (judgement)."""
HEAD: dict[str, tuple[Axis, str, str]] = {
    "tram": ("x", "lean_side", "table_slope"), "nod": ("y", "lean_fore", "saddle_slope"),
}  # fmt: skip
WORKED_ROUND = frozenset({"table_slope", "saddle_slope", "lean_side", "lean_fore"})
"""Sources that stay as they are when the cut is made another way."""
SET_AGAIN = frozenset({"trammed", "shimmed", "vise_trued"})
"""Actions whose outcome is set by the remedy's own reckoning, not by chance."""


@dataclass
class Followed:
    """What came of following the advice in one shop. mm and minutes.

    Attributes:
        seed: The shop.
        policy: Who chose the checks.
        complaint: Reading id of what came out wrong; `tolerance`: how large it may be.
        first: Its true size as it came out; `cuts`: how far out the part itself is after each round of advice, with
            nothing of the measuring in it; `read`: what it measures then.
        remedies: What was done, in order; `named`: what the first verdict named.
        main: What was the largest contributor.
        minutes: Minutes of checks until the first cut.
        outcomes: What the assistant made of each proving cut: "closed" or "reopened".
    """

    seed: int
    policy: str
    complaint: str
    tolerance: float
    first: float
    main: str
    cuts: list[float] = field(default_factory=list)
    read: list[float] = field(default_factory=list)
    remedies: list[str] = field(default_factory=list)
    named: list[str] = field(default_factory=list)
    minutes: float = 0.0
    outcomes: list[str] = field(default_factory=list)

    @property
    def good(self) -> bool:
        """True where the next cut was in tolerance."""
        return bool(self.cuts) and abs(self.cuts[0]) <= self.tolerance

    @property
    def good_in_the_end(self) -> bool:
        """True where the last cut was."""
        return bool(self.cuts) and abs(self.cuts[-1]) <= self.tolerance

    def row(self) -> dict[str, Any]:
        """Return it as a JSON object."""
        return asdict(self)


def follow(seed: int, policy: str = OURS) -> Followed:
    """Return what comes of following the advice in a shop, when a policy chooses the checks."""
    shop = draw_shop(seed)
    tolerance = COMPLAINTS[shop.complaint][1]
    found = Followed(seed, policy, shop.complaint, tolerance, shop.value, shop.main)
    if policy == OURS:
        _ours(shop, found)
    else:
        _rival(shop, found)
    return found


def _ours(shop: Shop, found: Followed) -> None:
    """Through the same door as the chat; a case that a proving cut reopens is gone on with."""
    person, desk = Person(shop), Consultation(Journal.in_memory("1"))
    turn = _say(desk, [*person.opens(), json.dumps({"setup": {"tolerance": found.tolerance}})])
    for _ in range(MOST_CUTS):
        turn, minutes, made = _checked(desk, person, turn)
        if not found.cuts:
            found.minutes, found.named = minutes, list(desk.standing.named)
        named = desk.standing.named
        lines = list(apply(desk.standing, named, person, found))
        if not lines and not made and found.cuts:
            break
        _say(desk, lines)
        anew = _needs_a_cut(named)
        again = [json.dumps({"done": "recut"})] if anew else []
        turn = _say(desk, [*again, _cut(shop, person, found, anew)])
        found.outcomes.append("closed" if turn.closed else "reopened")
        if turn.closed:
            break


def _checked(desk: Consultation, person: Person, turn: Turn) -> tuple[Turn, float, int]:
    """Make checks until the verdict; return the last answer, the minutes they took and how many there were."""
    minutes, made = 0.0, 0
    while turn.verdict is None and turn.next is not None and made < MOST_CHECKS:
        check, cost = turn.next.check, turn.next.minutes
        if not person.can(check):
            turn = _say(desk, [json.dumps({"cannot": check})])
            continue
        minutes, made = minutes + cost, made + 1
        turn = _say(desk, person.makes(check, desk.case.states))
    return turn, minutes, made


def _say(desk: Consultation, lines: Iterable[str]) -> Turn:
    turn = desk.now()
    for line in lines:
        turn = desk.say(line)
        assert turn.error is None, (line, turn.error)
    return turn


def _rival(shop: Shop, found: Followed) -> None:
    """The same belief and the same remedies, with checks in a fixed order until a cause is as good as sure."""
    person, case, rng = Person(shop), Case(), np.random.default_rng((shop.seed, 23))
    case = _told(case, [*person.opens(), json.dumps({"setup": {"tolerance": found.tolerance}})], None)
    refused: set[str] = set()
    while True:
        standing = stand(case, "mm")
        label, chance = standing.outlook.explanations.leading
        left = [id_ for id_ in available(case) if id_ not in refused]
        if chance >= SETTLED or not left or len(refused) >= MOST_CHECKS:
            break
        check = RIVALS[found.policy](left, standing.outlook, rng, shop.main)
        refused.add(check)
        if person.can(check):
            found.minutes += minutes_of(check, case)
            case = _told(case, person.makes(check, case.states), check)
    found.named = list(label)
    list(apply(standing, found.named, person, found))
    _cut(shop, person, found, _needs_a_cut(found.named))


def _needs_a_cut(named: Iterable[str]) -> bool:
    """Say whether the proof is a new cut: where only the measuring was out, the part is measured again as it is."""
    causes = set(named)
    return not causes or not causes <= measuring()


def _told(case: Case, lines: Iterable[str], asked: str | None) -> Case:
    for line in lines:
        case = tell(case, parse(json.loads(line)).facts, asked)
    return case


def _cut(shop: Shop, person: Person, found: Followed, anew: bool) -> str:
    """Cut the part again, where it is cut anew; return the line that says what it measures now."""
    if anew:
        person._do("recut")
    over = person._over(shop.complaint)
    at = measured_now(person.cut, person.now)
    part = replace(at, sizes={**at.sizes, **dict.fromkeys(measuring(), 0.0)})
    found.cuts.append(measure(shop.complaint, part, over))
    value = measure(shop.complaint, at, over)
    value += float(person.rng.normal()) * scatter_of(shop.complaint, over, person.bench)
    found.read.append(value)
    size = abs(value) if load().readings[shop.complaint].size_only else value
    return json.dumps(
        {"reading": shop.complaint, "value": round(size, 5), **({"over": over} if over else {})}
    )


def apply(standing: Standing, named: Iterable[str], person: Person, found: Followed) -> Iterator[str]:
    """Follow the advice for every named cause in the shop; yield what is said to have been done.

    Args:
        standing: What is believed, from which the remedies are reckoned.
        named: The causes held responsible.
        person: The person in the shop, whose machine, vise and grip change.
        found: Where the remedies are written down.
    """
    known, sizes = load(), {n.source: n.mid for n in standing.numbers}
    causes = [source for source in named if source in sizes and source != "unlisted"]
    put_right = [*causes, *alongside(standing, causes)]
    for source in put_right:
        remedy = known.remedies[id_ := remedy_for(source)]
        found.remedies.append(id_)
        yield json.dumps({"ask": f"fix {source}"})
        for action in remedy.does:
            if action not in SET_AGAIN and action != "recut":
                _act(person, action, id_)
        mended = _after(source, sizes.get(source, 0.0), standing, person)
        person.now = replace(person.now, sizes={**person.now.sizes, **mended})
        yield from (json.dumps({"done": action}) for action in remedy.does if action != "recut")
    if _needs_a_cut(named):
        seated = [source for source in put_right if "needle" in known.remedies[remedy_for(source)].after]
        yield from (json.dumps({"done": action}) for action in _seated_true(seated, person, found))


def _seated_true(sources: Sequence[str], person: Person, found: Followed) -> Iterator[str]:
    """Seat the part for the cut as every fix says; yield what is done.

    It is seated again, with what the remedies say of its seating, where a parallel slides after tightening or a needle
    up the reference face leans by more than half of what the part may be out; after two tries a strip goes behind it.
    """
    for _ in range(MOST_SEATINGS):
        loose = person._answers("parallel_loose") in ("front", "back", "both")
        if not loose and not _leaning(person, found):
            return
        for action in ("regripped", "cleaned"):
            person._do(action)
            yield action
        sizes = {source: healthy_size(source, person.now.setup, person.rng) for source in sources}
        person.now = replace(person.now, sizes={**person.now.sizes, **sizes})
    lean = _leaning(person, found)
    if lean:
        _pack(person, lean)


def _leaning(person: Person, found: Followed) -> float:
    """Return how far a needle up the reference face leans, rad; 0 where that is within half of the tolerance."""
    if found.complaint not in LEANING:
        return 0.0
    reading = "face_out_of_square_clamped"
    over = person._over(reading)
    assert over is not None
    seen = measure(reading, person.now, over) + float(person.rng.normal()) * scatter_of(
        reading, over, person.bench
    )
    return seen / over if abs(seen) > 0.5 * found.tolerance else 0.0


def _pack(person: Person, lean: float) -> None:
    """Slip a strip behind the part, or under it where it sits on the bed: as thick as paper and foil come."""
    now = person.now
    source, lever = (
        ("chip_behind_jaw", float(now.setup.grip_height or 28.0))
        if now.on_jaw(now.depth)
        else ("chip_under_part", now.depth)
    )
    strip = FOIL * round(lean * lever / FOIL)
    person.now = replace(now, sizes={**now.sizes, source: now[source] - strip})


def _act(person: Person, action: str, remedy: str) -> None:
    # Changing to a small cutter and cutting again is one thing.
    if action == "cutter_changed" and remedy == "small_cutter_many_passes":
        person._do("fine_cut")
    elif not (action == "bar_removed" and person.now.setup.moving_jaw_contact == "plain"):
        person._do(action)


def _after(source: str, mid: float, standing: Standing, person: Person) -> dict[str, float]:
    """Return the sizes that the remedy of a source leaves in the shop, mm or rad."""
    remedy, now, rng = load().remedies[remedy_for(source)], person.now, person.rng
    if source in HEAD:
        axis, lean, slide = HEAD[source]
        goal = float(np.median(standing.samples(DRAWS)[slide]))
        asked = standing.tolerance
        need = min(
            head_need(axis, now.setup, squareness=asked, flatness=asked, step=asked).slope, 0.3 / 300.0
        )
        read = scatter_of(f"sweep_{axis}", 200.0, person.bench) / 200.0
        return {source: now[lean] + goal + float(rng.uniform(-need, need)) + float(rng.normal()) * read}
    if source == "axis_skew":
        return {"vise_skew": mid + float(rng.normal()) * 0.01 / 125.0}
    if remedy.arithmetic == "shim" and source != "vise_skew":
        return {source: now[source] - mid + float(rng.normal()) * max(ROUGH, 0.05 * abs(mid))}
    if remedy.kind == "work_round" and remedy.does and source in WORKED_ROUND:
        return {}  # what is worked round stays as it is
    return {source: healthy_size(source, now.setup, rng)}
