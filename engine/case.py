"""A case: everything said, folded into what was observed and in which state of things.

The case is a pure function of its observations. Each reading and sign keeps the `Situation` it speaks for: the
setup, and which instance of every source was in force. What a person does starts new instances of exactly the
sources it touches, so that an old cut is never blamed on a new head.

What speaks for the cut (a hollow, a step, the squareness of the face) belongs to the situation of the last
cut, not to what was changed afterwards. A new cut is taken to have been made where the person says so, where
an action brings one with it, and where the same thing is measured again after something was changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from askew.engine.lasting import MOST_TOLD, still_bears, still_counts
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign
from askew.engine.setup import ON_THE_BENCH, Setup
from askew.knowledge.load import load
from askew.knowledge.schema import Check

if TYPE_CHECKING:
    from askew.engine.mend import Mend


@dataclass(frozen=True)
class Situation:
    """What was in force at a moment.

    Attributes:
        setup: The setup as it was told by then.
        instances: Number of the instance in force, by source; sources not named are at their first, 0.
        factors: What an action did to the odds of trouble of the instance in force, by source.
    """

    setup: Setup = field(default_factory=Setup)
    instances: tuple[tuple[str, int], ...] = ()
    factors: tuple[tuple[str, float], ...] = ()

    def __hash__(self) -> int:
        """Hash once: situations are part of the keys by which rows are found again."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.setup, self.instances, self.factors))

    @cached_property
    def _numbered(self) -> Mapping[str, int]:
        return dict(self.instances)

    def instance(self, source: str) -> int:
        """Return the number of the instance of a source that is in force."""
        return self._numbered.get(source, 0)


@dataclass(frozen=True)
class Evidence:
    """A reading or a sign with the situation it speaks for.

    `when` it was told counts observations; `cut` counts the cuts made by then, `state` the actions.
    """

    fact: Reading | Sign
    situation: Situation
    when: int
    cut: int = 0
    state: int = 0


@dataclass(frozen=True)
class Done:
    """An action, when it was told, and the number of the state that it began."""

    id: str
    when: int
    state: int = 0


@dataclass(frozen=True)
class Memory:
    """What a machine's record says of one source at the start of a case.

    Attributes:
        source: Source id.
        mean: Its size, mm or rad; `sd` one standard deviation.
        weight: Chance that it still holds.
    """

    source: str
    mean: float
    sd: float
    weight: float


@dataclass(frozen=True)
class Case:
    """The case as it stands after some observations.

    Attributes:
        now: The situation in force.
        cut: The situation of the last cut.
        evidence: Readings and signs in the order told, as far as they still bear (`lasting`).
        done: Actions in the order told, as far as they still count.
        refused: Checks that cannot be made here; `skipped`: put aside for now.
        dont_know: Setup keys, readings and signs that the person could not tell.
        when: Number of observations so far.
        changed: When something was last done, or a setup fact changed.
        states: States of machine and work by now, as far as the checks made tell.
        made: How many times each check was made.
        acts: Number of actions so far.
        cuts: How many times the face was cut again.
        memory: What is known of this machine from before.
        before: Look back: the complaint is the last one told before this moment.
        told: The first value told of each setup fact, for what was measured before it was known.
        mends: Fixes made, in order, each with what it promised.
    """

    now: Situation = Situation()
    cut: Situation = Situation()
    evidence: tuple[Evidence, ...] = ()
    done: tuple[Done, ...] = ()
    refused: frozenset[str] = frozenset()
    skipped: frozenset[str] = frozenset()
    dont_know: frozenset[str] = frozenset()
    when: int = 0
    changed: int = -1
    states: frozenset[str] = frozenset({"vise_on", "cutter_in", "part_out"})
    made: Mapping[str, int] = field(default_factory=dict)
    acts: int = 0
    cuts: int = 0
    memory: tuple[Memory, ...] = ()
    before: int | None = None
    told: Setup = field(default_factory=Setup)
    mends: tuple[Mend, ...] = ()

    @property
    def setup(self) -> Setup:
        """The setup in force."""
        return self.now.setup

    @cached_property
    def complaint(self) -> Evidence | None:
        """What came out wrong: the first complaint, with its number for the latest cut.

        What is taken away at the bench (dirt, warmth) is part of what came out wrong: the number stays that of
        the cut as it was first measured, with its latest reading in that state.
        """
        told = self.complaints
        if not told or not _numbered(told[-1]):
            return told[-1] if told else None
        of_cut = [e for e in told if _numbered(e) and e.cut == told[-1].cut]
        return [e for e in of_cut if e.situation.instances == of_cut[0].situation.instances][-1]

    @property
    def latest(self) -> Evidence | None:
        """The complaint as it reads now: told last of the latest cut."""
        return self.complaints[-1] if self.complaints else None

    @cached_property
    def complaints(self) -> tuple[Evidence, ...]:
        """Every telling of what the case is about that has a number; the first one, where none has."""
        kinds = load().readings
        told = [e for e in self.evidence if isinstance(e.fact, Reading) and kinds[e.fact.id].complaint]
        if not told:
            return ()
        # what was found on the cut part comes before what was found while it was still clamped
        first = next((e for e in told if kinds[e.fact.id].of == "cut"), told[0])
        same = [e for e in self.evidence if e.fact.id == first.fact.id]
        numbered = tuple(e for e in same if _numbered(e) and (self.before is None or e.when < self.before))
        return numbered or (first,)

    def filled(self, setup: Setup) -> Setup:
        """Return a setup of the past with what was told only later and not known then."""
        return _filled(setup, self.told)

    def modelled(self, situation: Situation) -> Situation:
        """Return a situation as the forward model wants it: gaps filled with what was told later."""
        return _modelled(situation, self.told)


@lru_cache(maxsize=512)
def _filled(setup: Setup, told: Setup) -> Setup:
    """Return a setup with what was told and is not known in it; asked for many times a turn."""
    missing = {key: value for key, value in told.told().items() if not setup.known(key)}
    return setup.having(**missing) if missing else setup


@lru_cache(maxsize=512)
def _modelled(situation: Situation, told: Setup) -> Situation:
    """Return one and the same situation each time, so that what goes by it is found by identity."""
    return Situation(_filled(situation.setup, told), situation.instances, ())


def _numbered(evidence: Evidence) -> bool:
    return isinstance(evidence.fact, Reading) and evidence.fact.value is not None


def tell(
    case: Case, facts: Iterable[Observation], asked: str | None = None, mended: Iterable[str] = ()
) -> Case:
    """Return the case after some observations.

    Args:
        case: The case before.
        facts: What was said, in order.
        asked: The check that had been asked for; it counts as made when one of its readings or signs came.
        mended: Sources that what was done is the fix of: from the first action on they are as a fix leaves them.
    """
    facts, mended = _as_it_was(tuple(facts)), tuple(mended)
    check = load().checks.get(asked or "")
    for fact in facts:
        if mended and isinstance(fact, Action):
            case, mended = replace(case, now=_mended(case.now, mended)), ()
        tell_one = _TELL[type(fact)]
        more = (check,) if isinstance(fact, Reading) else ()
        case = replace(tell_one(case, fact, *more), when=case.when + 1)
    if (
        asked
        and check
        and any(isinstance(f, Reading | Sign) and f.id in check.gives + check.also for f in facts)
    ):
        made = {**case.made, asked: case.made.get(asked, 0) + 1}
        case = replace(case, made=made, states=entered(case.states, check.states))
    return case


def _as_it_was(facts: tuple[Observation, ...]) -> tuple[Observation, ...]:
    """Return facts told in one breath in the order of the shop: what a deed found was there before it.

    "Wiped it all down, there was a chip behind the part": the chip belongs to the grip before.
    """
    signs = load().signs
    for sign in [fact for fact in facts if isinstance(fact, Sign) and signs[fact.id].found_by]:
        deeds = [at for at, fact in enumerate(facts) if isinstance(fact, Action) and fact.id in signs[sign.id].found_by]
        place = next(at for at, fact in enumerate(facts) if fact is sign)
        if deeds and deeds[0] < place:
            facts = (*facts[: deeds[0]], sign, *facts[deeds[0] : place], *facts[place + 1 :])
    return facts


def entered(states: frozenset[str], needed: Iterable[str]) -> frozenset[str]:
    """Return the states after entering those needed; each ends its opposite."""
    known = load().states
    for state in needed:
        ended = {known[state].opposite} | {s for s in states if known[s].opposite == state}
        states = (states - ended) | {state}
    return states


def _tell_setup(case: Case, fact: SetupFact) -> Case:
    value = fact.value
    if value is None:
        return case
    old = getattr(case.setup, fact.key)
    setup = case.setup.having(**{fact.key: value})
    told = case.told if case.told.known(fact.key) else case.told.having(**{fact.key: value})
    case = replace(case, now=replace(case.now, setup=setup), told=told)
    if old is None or not case.evidence:
        # told late, but true of the cut already made
        filled = (
            case.cut.setup.having(**{fact.key: value})
            if not case.cut.setup.known(fact.key)
            else case.cut.setup
        )
        case = replace(case, cut=replace(case.cut, setup=filled))
    if not case.evidence:
        case = replace(case, cut=case.now)
    changed = old not in (None, value) and fact.key not in ON_THE_BENCH
    return replace(case, changed=case.when) if changed else case


def _tell_reading(case: Case, fact: Reading, asked: Check | None = None) -> Case:
    kind = load().readings[fact.id]
    case = _implied(case, fact.id, kind.implies)
    if kind.of == "cut" and not kind.implies and _of_a_new_cut(case, fact, asked):
        case = act(case, "recut")
    situation = spoken_for(case, kind.of)
    # the block was in the vise for this reading only
    again = "block_gripped" in kind.implies
    case = _seen(case, Evidence(fact, situation, case.when, case.cuts, case.acts + again))
    return act(case, "regripped") if again else case


def _seen(case: Case, evidence: Evidence) -> Case:
    """Return the case with one more reading or sign, and without what that one replaces in a long case."""
    case = replace(case, evidence=(*case.evidence, evidence))
    if len(case.evidence) <= MOST_TOLD:
        return case
    told = case.complaints
    ends = {e.when for e in (*told[:2], *told[-2:], case.complaint) if e is not None}
    return replace(case, evidence=still_bears(case.evidence, ends))


AT_THE_BENCH = frozenset({"cleaned", "cooled", "locked"})
"""Actions after which a part is as often measured again as it stands as it is cut again."""
FOR_A_CHECK = AT_THE_BENCH | {"regripped", "bar_removed", "block_gripped"}
"""Actions that other checks bring with them; a part is not cut anew for their sake."""


def _of_a_new_cut(case: Case, fact: Reading, asked: Check | None) -> bool:
    """Say whether a reading of the cut, taken before, is now of a new one: something was done in between.

    Where the reading was asked for, by a check that cuts nothing, it is of the part as it lies there. After what
    is done at the bench (cleaning, cooling) the same number again is of the same cut, and another number of a new
    one, or of the same one measured properly: either way what was redrawn made the difference.
    """
    before = [
        e
        for e in case.evidence
        if e.fact.id == fact.id and e.cut == case.cuts and isinstance(e.fact, Reading)
    ]
    numbered = [e for e in before if isinstance(e.fact, Reading) and e.fact.value is not None]
    if not numbered or case.changed <= numbered[-1].when:
        return False
    done = {done.id for done in case.done if done.when > numbered[-1].when}
    if asked is not None and fact.id in asked.gives and done <= FOR_A_CHECK:
        return any(load().actions[action].recuts for action in asked.first)
    if done and done <= AT_THE_BENCH and isinstance(numbered[-1].fact, Reading):
        return not _same(numbered[-1].fact, fact)
    return True


def _same(a: Reading, b: Reading) -> bool:
    if a.value is None or b.value is None:
        return False
    scatter = load().readings[a.id].scatter
    return abs(a.value - b.value) <= max(4.0 * scatter, 0.3 * abs(a.value))


@cache
def measuring() -> frozenset[str]:
    """Return the sources that act when the part is measured, not when it is cut."""
    known = load().sources
    return frozenset(id_ for id_, source in known.items() if source.group == "measuring") | {"heat_growth"}


def measured(case: Case) -> Situation:
    """Return the situation of a reading of the cut: the cut's own, but measured as things are now."""
    instances, factors = dict(case.cut.instances), dict(case.cut.factors)
    now, odds = dict(case.now.instances), dict(case.now.factors)
    for source in measuring() & set(now):
        instances[source], factors[source] = now[source], odds.get(source, 1.0)
    return Situation(case.cut.setup, tuple(sorted(instances.items())), tuple(sorted(factors.items())))


def spoken_for(case: Case, of: str) -> Situation:
    """Return the situation that a reading or sign taken now speaks for: of the cut, or of how things are."""
    return measured(case) if of == "cut" else case.now


def _implied(case: Case, reading_id: str, actions: Iterable[str]) -> Case:
    """Do what must have been done for a reading to exist, unless it was told already."""
    previous = [e.when for e in case.evidence if e.fact.id == reading_id]
    since = previous[-1] if previous else 0
    for id_ in actions:
        told = any(done.id == id_ and done.when >= since for done in case.done)
        holds = id_ == "bar_removed" and case.setup.moving_jaw_contact == "plain"
        if not told and not holds:
            case = act(case, id_)
    return case


def _tell_sign(case: Case, fact: Sign) -> Case:
    situation = spoken_for(case, load().signs[fact.id].of)
    case = _seen(case, Evidence(fact, situation, case.when, case.cuts, case.acts))
    return _complained(case, fact) if case.complaint is None else case


def _complained(case: Case, fact: Sign) -> Case:
    """A sign told first is the complaint itself, still without its number (a step felt, light in the middle)."""
    known = load()
    meanings = (
        known.signs[fact.id].evidence.get(fact.answer, ()) if fact.answer not in ("no", "unknown") else ()
    )
    spoken = [m.reading for m in meanings if m.reading is not None and m.reading in known.readings]
    named = [id_ for id_ in spoken if known.readings[id_].complaint]
    return _tell_reading(case, Reading(named[0], None, words=fact.words)) if named else case


def _tell_action(case: Case, fact: Action) -> Case:
    return act(case, fact.id)


def _tell_command(case: Case, fact: Command) -> Case:
    if fact.argument is None:
        return case
    if fact.id == "cannot":
        return replace(case, refused=case.refused | {fact.argument})
    if fact.id == "skip":
        return replace(case, skipped=case.skipped | {fact.argument})
    if fact.id == "dont_know":
        return replace(case, dont_know=case.dont_know | {fact.argument})
    return case


_TELL: Mapping[type, Any] = {
    SetupFact: _tell_setup,
    Reading: _tell_reading,
    Sign: _tell_sign,
    Action: _tell_action,
    Command: _tell_command,
}


def act(case: Case, action_id: str) -> Case:
    """Return the case after an action: new instances of the sources it touches, and what it sets."""
    now = after_action(case.now, action_id)
    recuts = load().actions[action_id].recuts
    cut = now if recuts or not case.evidence else case.cut
    done = still_counts((*case.done, Done(action_id, case.when, case.acts + 1)))
    cuts = case.cuts + 1 if recuts else case.cuts
    acts = case.acts + 1
    return replace(
        case, now=now, cut=cut, cuts=cuts, done=done, acts=acts, changed=case.when, skipped=frozenset()
    )


def after_action(situation: Situation, action_id: str) -> Situation:
    """Return a situation after an action."""
    action = load().actions[action_id]
    instances, factors = dict(situation.instances), dict(situation.factors)
    for source in action.redraws:
        instances[source] = instances.get(source, 0) + 1
        factors[source] = action.prior_factor
    setup = _swapped(situation.setup, action.swaps)
    for key, value in action.sets.items():
        setup = setup.having(**{key: _other_axis(setup) if value == "other" else value})
    if action_id == "fine_cut":
        setup = small_cutter(setup)
    elif action.swaps:
        setup = covering(setup)
    return Situation(setup, tuple(sorted(instances.items())), tuple(sorted(factors.items())))


MENDED = 0.25
"""What a fix does to the odds that its source is in trouble: as cleaning does to dirt (judgement)."""


def _mended(situation: Situation, sources: Iterable[str]) -> Situation:
    """Return a situation with new instances of sources that a fix was made for."""
    instances, factors = dict(situation.instances), dict(situation.factors)
    for source in sources:
        instances[source] = instances.get(source, 0) + 1
        factors[source] = MENDED
    return replace(
        situation, instances=tuple(sorted(instances.items())), factors=tuple(sorted(factors.items()))
    )


def _swapped(setup: Setup, pairs: Iterable[list[str]]) -> Setup:
    for a, b in pairs:
        # lengths that are not known trade places too: what follows from the others must not stay behind
        front_to_back = "part_across" if setup.value("feed_axis") == "x" else "part_along"
        setup = setup.having(**{a: getattr(setup, b), b: getattr(setup, a)})
        if setup.known("part_depth"):
            setup = setup.having(part_depth=getattr(setup, front_to_back))
    return setup


def _other_axis(setup: Setup) -> str:
    return "y" if setup.value("feed_axis") == "x" else "x"


def covering(setup: Setup) -> Setup:
    """Return the setup with passes enough to cover the face, where it was turned wider than the cutter."""
    diameter, width = setup.cutter_diameter, setup.part_across
    if diameter is None or width is None or (setup.passes or 1) > 1 or width <= diameter:
        return setup
    spacing = 0.6 * diameter
    return setup.having(
        passes=round(width / spacing + 0.5) + 1, pass_spacing=spacing, overrun=True, cutter_offset=None
    )


def small_cutter(setup: Setup) -> Setup:
    """Return the setup for facing with a small cutter in many passes, as told or as usual."""
    width = setup.value("part_across")
    told = setup.cutter_diameter
    if told is not None and told < 0.5 * width and (setup.passes or 1) > 2:
        return setup
    diameter = min(setup.value("small_cutter_diameter"), 0.4 * width)
    spacing = 0.6 * diameter
    passes = max(3, round((width + diameter) / spacing) + 1)
    return setup.having(
        cutter_diameter=diameter, passes=passes, pass_spacing=spacing, overrun=True, cutter_offset=None
    )
