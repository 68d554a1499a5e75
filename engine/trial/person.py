"""The person in a simulated shop: makes the checks asked for and says what came of them, as JSON lines."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from askew.engine.belief.columns import in_play, prior_of
from askew.engine.belief.items import scatter_of
from askew.engine.case import covering, small_cutter
from askew.engine.trial.shop import Shop, healthy_size, troubled_size
from askew.engine.trial.world import Moment, draw_luck, gaps, measure, measured_now
from askew.knowledge.load import load
from askew.knowledge.schema import Check

CANNOT_TELL = 0.1
MISREAD_SIGN = 0.02
MISREAD_NUMBER = 0.01
CANNOT_DO = 0.1
ADJUSTS_AT_ONCE = 0.15
"""How often a person who sees the head out adjusts it there and then, before the cause is settled, and half-way."""

GRIP_AGAIN = ("taper", "seat")
"""What of the luck is drawn afresh when the part is gripped again; the seat only where another face is gripped."""


@dataclass
class Person:
    """Somebody at the machine. Draws from the shop's seed alone, so that the same checks give the same answers."""

    shop: Shop

    def __post_init__(self) -> None:
        """Stand at the machine as the cut left it, part out."""
        self.cut: Moment = self.shop.moment
        self.now: Moment = self.shop.moment
        self.rng = np.random.default_rng((self.shop.seed, 21))
        self.bench = tuple(self.shop.moment.setup.instruments or ())
        self._adjusted = False

    def opens(self) -> Iterator[str]:
        """Yield what is said at the start: the job, then what came out wrong."""
        yield json.dumps({"setup": dict(self.shop.told)})
        over = self._over(self.shop.complaint)
        spread = scatter_of(self.shop.complaint, over, self.bench)
        value = measure(self.shop.complaint, self.cut, over) + float(self.rng.normal()) * spread
        yield self._number(self.shop.complaint, value, over)

    def can(self, check_id: str) -> bool:
        """Say whether this check can be made in this shop."""
        return self._luck(22, check_id) >= CANNOT_DO

    def answers(self, key: str) -> str | None:
        """Return what is said when a fact about the job is asked for; None where the person could not tell."""
        value = getattr(self.shop.moment.setup, key, None)
        tells = self._luck(24, key) >= CANNOT_TELL
        return json.dumps({"setup": {key: value}}) if tells and value is not None else None

    def _luck(self, stream: int, about: str) -> float:
        """Return a number from 0 to 1 that is the same whenever this shop is asked about the same thing."""
        number = sum((i + 1) * ord(c) for i, c in enumerate(about))
        return float(np.random.default_rng((self.shop.seed, stream, number)).random())

    def makes(self, check_id: str, states: frozenset[str]) -> Iterator[str]:
        """Make a check: yield what was done for it, then every reading and sign.

        Args:
            check_id: The check.
            states: States of the machine before it, as the assistant has been told.
        """
        known = load()
        check = known.checks[check_id]
        for action in preparations(check, states):
            if not (action == "bar_removed" and self.now.setup.moving_jaw_contact == "plain"):
                self._do(action)
                yield json.dumps({"done": action})
        for id_ in check.gives:
            if id_ in known.readings:
                yield from self._reads(id_, check)
            else:
                yield json.dumps({"sign": id_, "answer": self._answers(id_)})
        for action in check.disturbs:
            self._do(action)
            yield json.dumps({"done": action})

    def _reads(self, id_: str, check: Check) -> Iterator[str]:
        kind = load().readings[id_]
        for action in kind.implies:
            if action not in check.first and not (
                action == "bar_removed" and self.now.setup.moving_jaw_contact == "plain"
            ):
                self._do(action)
        over = self._over(id_)
        spread = scatter_of(id_, over, self.bench) * check.blur
        true = measure(id_, self._speaks_of(kind.of), over)
        value = true + float(self.rng.normal()) * spread
        if self.rng.random() < MISREAD_NUMBER:
            value = (
                -value
                if not kind.size_only and self.rng.random() < 0.5
                else value * float(self.rng.choice([0.1, 2.5, 10.0]))
            )
        yield self._number(id_, abs(value) if kind.size_only else value, over)
        if "block_gripped" in kind.implies:
            self._do("regripped")
        if id_.startswith("sweep_") and not self._adjusted and abs(true) > 0.06 and id_ == check.gives[-1]:
            self._adjusted = True
            if self.rng.random() < ADJUSTS_AT_ONCE:
                self._adjust_half_way()
                yield json.dumps({"done": "trammed"})

    def _number(self, id_: str, value: float, over: float | None) -> str:
        line: dict[str, object] = {"reading": id_, "value": round(value, 5)}
        if over is not None:
            line["over"] = over
        return json.dumps(line)

    def _over(self, id_: str) -> float | None:
        key = load().readings[id_].over
        if key is None:
            return None
        return float(self.shop.lengths.get(key) or self.now.setup.value(key))

    def _speaks_of(self, of: str) -> Moment:
        return measured_now(self.cut, self.now) if of == "cut" else self.now

    # --- what is done ----------------------------------------------------------------------------------

    def _do(self, action_id: str) -> None:
        action = load().actions[action_id]
        sizes, luck, setup = dict(self.now.sizes), dict(self.now.luck), self.now.setup
        for id_ in action.redraws:
            sizes[id_] = self._fresh(id_, action.prior_factor)
        if "chip_behind_jaw" in action.redraws and action_id != "cleaned":
            luck["taper"] = float(self.rng.random())
        if action_id == "turned_part":
            luck = {**draw_luck(self.rng), "seat": luck["seat"], "square_way": luck["square_way"]}
        for a, b in action.swaps:
            setup = replace(setup, **{a: getattr(setup, b), b: getattr(setup, a)})
        for key, value in action.sets.items():
            new = ("y" if setup.feed_axis == "x" else "x") if value == "other" else value
            setup = replace(setup, **{key: new})  # type: ignore[arg-type]
        if action_id == "fine_cut":
            setup = small_cutter(setup)
        elif action.swaps:
            setup = covering(setup)
        recut = action.recuts
        self.now = replace(self.now, setup=setup, sizes=sizes, luck=luck, first_complaint=None)
        if recut:
            self.cut = self.now

    def _fresh(self, id_: str, factor: float) -> float:
        setup = self.now.setup
        source = load().sources[id_]
        if not in_play(source, setup):
            return 0.0
        trouble = self.rng.random() < prior_of(source, setup, factor)
        return troubled_size(id_, setup, self.rng) if trouble else healthy_size(id_, setup, self.rng)

    def _adjust_half_way(self) -> None:
        sizes = dict(self.now.sizes)
        left = float(self.rng.uniform(0.3, 0.7))
        sizes["tram"] = sizes["lean_side"] + left * (sizes["tram"] - sizes["lean_side"])
        sizes["nod"] = sizes["lean_fore"] + left * (sizes["nod"] - sizes["lean_fore"])
        sizes["adjustment_creep"] = self._fresh("adjustment_creep", 1.0)
        self.now = replace(self.now, sizes=sizes)

    # --- what is seen ----------------------------------------------------------------------------------

    def _answers(self, sign_id: str) -> str:
        kind = load().signs[sign_id]
        answers = [*kind.places, "no"] if kind.places else ["yes", "no"]
        truth = self._sees(sign_id)
        if self.rng.random() < CANNOT_TELL or truth == "unknown":
            return "unknown"
        if self.rng.random() < MISREAD_SIGN:
            return str(self.rng.choice([a for a in answers if a != truth]))
        return truth

    def _sees(self, sign_id: str) -> str:
        """Return the answer of somebody who looks properly."""
        at = self._speaks_of(load().signs[sign_id].of)
        if sign_id.startswith("light"):
            gap = measure("hollow_along" if sign_id.endswith("along") else "hollow_across", at)
            seen = float(self.rng.normal(0.005, 0.0012))
            return _yes(gap > seen if "middle" in sign_id else -gap > seen)
        if sign_id == "step_felt":
            size = measure("step", at)
            if abs(size) < float(self.rng.normal(0.0055, 0.001)):
                return "no"
            plus, minus = ("back", "front") if at.setup.feed_axis != "y" else ("right", "left")
            return plus if size > 0 else minus
        if sign_id == "heel_marks":
            return at.face.heel
        if sign_id == "needle_moves_on_tightening":
            return _yes(abs(measure("clamp_rise", at)) > float(self.rng.normal(0.0135, 0.002)))
        if sign_id in ("ink_print", "parallel_loose", "paper_pulls_out"):
            return self._contact(sign_id, at)
        if sign_id in ("chip_found", "dent_found"):
            return self._dirt(sign_id, at)
        if sign_id == "plate_loose":  # over a jaw of usual height, and what a strip of paper goes into
            return _yes(abs(at["jaw_plate_seat"]) * 40.0 > float(self.rng.normal(0.013, 0.003)))
        if sign_id == "edge_worn":
            return _yes(at["dull_edge"] > float(self.rng.normal(0.013, 0.003)))
        return _yes(self.rng.random() < self._points(sign_id, at))

    def _contact(self, sign_id: str, at: Moment) -> str:
        top, front = gaps(at)
        if sign_id == "ink_print":
            if abs(top) > float(self.rng.normal(0.014, 0.003)):
                return "bottom" if top > 0 else "top"
            rack = at["jaw_rack"]
            return "all" if abs(rack) < 0.0006 else "left" if rack > 0 else "right"
        if sign_id == "parallel_loose":
            blur = float(self.rng.normal(0.0, 0.008))
            return "front" if front + blur > 0.015 else "back" if front + blur < -0.015 else "no"
        if abs(top) > float(self.rng.normal(0.03, 0.006)):
            return "top" if top > 0 else "bottom"
        if abs(front) > float(self.rng.normal(0.03, 0.008)):
            return "front" if front > 0 else "back"
        return "no"

    def _dirt(self, sign_id: str, at: Moment) -> str:
        places = {
            "behind_jaw": "chip_behind_jaw",
            "under_part": "chip_under_part",
            "under_square": "dirt_at_check",
        }
        if sign_id == "dent_found":
            places.pop("under_square")
        found = {place: abs(at[source]) for place, source in places.items() if abs(at[source]) > 0.02}
        if found and self.rng.random() < 0.85:
            return max(found, key=lambda place: found[place])
        return str(self.rng.choice(list(places))) if self.rng.random() < 0.05 else "no"

    def _points(self, sign_id: str, at: Moment) -> float:
        """Return the chance of a yes to a sign that points at a set of sources: it grows with the largest of them."""
        meant = {s for meaning in load().signs[sign_id].evidence["yes"] for s in meaning.troubled}
        worst = 0.0
        for id_ in meant:
            size = load().sources[id_].size.get(str(at.setup.machine)) or load().sources[id_].size["any"]
            worst = max(worst, abs(at[id_]) / size.trouble)
        return 0.07 + 0.78 * min(1.0, worst / 0.4) if worst > 0.12 else 0.07


def preparations(check: Check, states: frozenset[str]) -> list[str]:
    """Return what has to be done before a check: getting into its states, then its own first steps."""
    known = load()
    entering = [a for state in check.states if state not in states for a in known.states[state].does]
    return list(dict.fromkeys([*entering, *check.first]))


def _yes(seen: bool) -> str:
    return "yes" if seen else "no"
