"""A day at one mill as lines for the scriptable seam: parts gripped, cut and measured, now and then something mended.

What is read follows from sizes drawn for every source, with the scatter of each reading; every action draws afresh
what it touches. So the readings agree with each other, as those of a real day do.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

import numpy as np

from askew.engine.belief.columns import in_play, prior_of, size_of
from askew.engine.belief.items import scatter_of
from askew.engine.physics.readings import predict
from askew.engine.setup import Setup
from askew.knowledge.load import load

WIDTHS = (40.0, 50.0, 60.0, 70.0)
MORE = ("other_corner", "sweep_x", "sweep_y", "clamp_rise", "step_felt", "trammed", "cleaned", "part_across")


class Day:
    """One machine, and what is out on it from moment to moment."""

    def __init__(self, seed: int) -> None:
        """Draw the state of the machine, with a fixed jaw that leans 0.1 mm over 100 mm."""
        self.rng = np.random.default_rng(seed)
        self.setup = Setup(
            machine="knee_mill",
            cutter_diameter=80.0,
            passes=1,
            part_across=60.0,
            part_along=90.0,
            part_height=50.0,
        )
        self.true: dict[str, float] = {}
        self._draw(load().sources)
        self.true["fixed_jaw_lean"] = 0.001

    def _draw(self, ids: Iterable[str]) -> None:
        for id_ in ids:
            source = load().sources[id_]
            if id_ == "unlisted" or not in_play(source, self.setup):
                continue
            usual, trouble = (
                size_of(source, self.setup),
                self.rng.random() < prior_of(source, self.setup, 1.0),
            )
            size = self.rng.normal(0.0, usual.trouble if trouble else usual.healthy)
            self.true[id_] = float(abs(size) if source.one_sided else size)

    def _read(self, id_: str, over: float | None = None) -> str:
        value = float(predict(id_, self.setup, self.true, over)) + self.rng.normal(0.0, scatter_of(id_, over))
        return json.dumps({"reading": id_, "value": round(value, 3)} | ({"over": over} if over else {}))

    def _do(self, action: str) -> str:
        self._draw(load().actions[action].redraws)
        return json.dumps({"done": action})

    def lines(self, count: int) -> Iterator[str]:
        """Yield what is said on this day."""
        yield json.dumps({"setup": dict(self.setup.told())})
        yield self._read("face_out_of_square")
        left = count - 2
        while left > 0:
            part = [self._do("regripped"), self._read("face_out_of_square"), *map(self._one, self._chosen())]
            yield from part[:left]
            left -= len(part)

    def _chosen(self) -> list[str]:
        return [str(name) for name in self.rng.choice(MORE, self.rng.integers(1, 5))]

    def _one(self, what: str) -> str:
        if what == "part_across":
            self.setup = self.setup.having(part_across=float(self.rng.choice(WIDTHS)))
            return json.dumps({"setup": {"part_across": self.setup.part_across}})
        if what == "step_felt":
            felt = abs(float(predict("step", self.setup, self.true))) > 0.01
            return json.dumps({"sign": what, "answer": "yes" if felt else "no"})
        if what in load().actions:
            return self._do(what)
        return self._read(what, 300.0 if what.startswith("sweep") else None)
