"""The labelled utterances, and how what was heard is held against them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from askew.engine.language import Context, read
from askew.engine.observations import Action, Bound, Command, Observation, Reading, SetupFact, Sign

DATA = Path(__file__).parents[2] / "data"
UNSEEN = ("final", *(f"blind_{name}" for name in ("i", "k", "o", "z", "ac", "ad", "ah", "ar", "as")))
"""Sets that nothing may be learned from and no rule is tuned to: they measure sentences that were not seen. From `ar`
only a threshold was chosen."""

JUDGED = tuple(f"blind_{name}" for name in ("am", "an", "ao", "ap", "aq", "at"))
"""Sets from which only the verifier learns: what the networks think of them is what they think of any stranger's."""

_MM = {"t": 0.0254, "T": 0.00254, "i": 25.4, "m": 1.0, "u": 0.001, "d": math.nan}
_UNIT = {"t": "thou", "T": "tenth", "i": "in", "m": "mm", "u": "um", "d": "deg"}
NOT_THERE = {"no", "none"}
"""Answers to where second arcs are seen that the case takes alike: not there, and not there either way."""

FOLLOWS: dict[str, set[str]] = {
    "cooled_change": {"cooled"},
    "fine_cutter_error": {"fine_cut", "recut"},
    "reversed_step": {"feed_reversed", "recut"},
    "turned_error": {"turned_part", "recut"},
    "cross_feed_hollow": {"cross_cut", "recut"},
    "cross_feed_step": {"cross_cut", "recut"},
    "block_out_of_square": {"block_gripped"},
    "clamp_rise_plain": {"bar_removed", "moving_jaw_contact"},
    "vise_trued": {"cleaned"},
    "bar_removed": {"regripped", "moving_jaw_contact"},
    "turned_part": {"recut"},
    "cross_cut": {"recut"},
    "fine_cut": {"recut"},
}
"""Deeds and set-ups that a labelled fact presupposes: they are true of the sentence, and are not labelled again."""

_BOUNDS: dict[str, Bound] = {"~": "about", "<": "at_most", ">": "at_least"}
_FLIPPED: dict[Bound, Bound] = {
    "at_least": "at_most",
    "at_most": "at_least",
    "about": "about",
    "between": "between",
}


@dataclass(frozen=True)
class Labelled:
    """One utterance with what should be heard in it."""

    text: str
    context: Context
    facts: tuple[Observation, ...]
    asks: bool


@dataclass
class Score:
    """Counts over a set of utterances."""

    right: int = 0
    heard: int = 0
    said: int = 0
    invented: int = 0
    questions_missed: int = 0
    wrong: list[str] = field(default_factory=list)

    @property
    def precision(self) -> float:
        """Share of the facts heard that were said."""
        return self.right / max(1, self.heard)

    @property
    def recall(self) -> float:
        """Share of the facts said that were heard."""
        return self.right / max(1, self.said)


def _length(text: str) -> tuple[float, str]:
    value, unit = float(text[:-1]), text[-1]
    return (math.tan(math.radians(value)) if unit == "d" else value * _MM[unit]), unit


def _reading(name: str, text: str) -> Reading:
    if not text:
        return Reading(name, None)
    marks = text[: len(text) - len(text.lstrip("?~<>"))]
    known = "?" not in marks
    bound = next((_BOUNDS[mark] for mark in marks if mark in _BOUNDS), None)
    text = text.lstrip("?~<>")
    over = None
    if "/" in text:
        text, span = text.split("/")
        over = _length(span)[0]
    if ".." in text:
        low, high = text.split("..")
        unit = text[-1]
        ends = _length(low + unit)[0], _length(high)[0]
        return Reading(name, sum(ends) / 2, over, "between", *ends, sign_known=known, unit=_UNIT[unit])
    value, unit = _length(text)
    if unit == "d" and over is not None:
        value *= over
    if value < 0:
        bound = None if bound is None else _FLIPPED[bound]
    return Reading(name, value, over, bound, sign_known=known, unit=_UNIT[unit])


def _setup(key: str, text: str) -> SetupFact:
    if key == "instruments":
        return SetupFact(key, tuple(text.split("+")))
    if text in ("true", "false"):
        return SetupFact(key, text == "true")
    if key == "passes":
        return SetupFact(key, int(text))
    if re.fullmatch(r"-?[\d.]+[tTimu]", text):
        return SetupFact(key, _length(text)[0])
    return SetupFact(key, text)


def _fact(text: str) -> Observation:
    if text[0] == "!":
        return Action(text[1:])
    if text[0] == "$":
        return Command(text[1:])
    if ":=" in text:
        return _setup(*text.split(":=", 1))
    if "=" in text:
        return _reading(*text.split("=", 1))
    name, answer = text.split(":")
    return Sign(name, answer)


def _context(text: str) -> Context:
    fields = dict(item.split("=", 1) for item in text.split())
    last = readings = None
    if "last" in fields:
        last = _reading(*fields["last"].split(":"))
    if "readings" in fields:
        readings = _reading(*fields["readings"].split(":"))
    return Context(
        asked=fields.get("asked"),
        unit=fields.get("unit"),
        last=(last,) if last else (),
        readings={readings.id: readings} if readings else {},
    )  # type: ignore[arg-type]


def load(name: str) -> list[Labelled]:
    """Return the labelled utterances of one half ("tuning" or "final")."""
    return list(_lines(DATA / f"utterances_{name}.txt"))


def _lines(path: Path) -> Iterator[Labelled]:
    for line in path.read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("#"):
            continue
        said, label = line.rsplit(" => ", 1)
        match = re.search(r" \[((?:asked|unit|last|readings)=[^\]]*)\]$", said)
        context = _context(match[1]) if match else Context()
        words = label.split()
        facts = tuple(_fact(word) for word in words if word not in ("-", "Q"))
        yield Labelled(said[: match.start()] if match else said, context, facts, "Q" in words)


def chatter(shop: bool | None = None) -> list[str]:
    """Return the lines of idle talk: all, those without words of the shop, or those with them (`shop`)."""
    plain, with_words = (DATA / "utterances_chatter.txt").read_text(encoding="utf-8").split("# Talk with words")
    texts = {None: plain + with_words, False: plain, True: with_words}[shop].splitlines()
    return [line for line in texts if line and not line.startswith("#") and not line.startswith(" of the shop")]


def name_of(fact: Observation) -> str:
    """Return the id or key of a fact."""
    return fact.key if isinstance(fact, SetupFact) else fact.id


def agree(heard: Observation, said: Observation) -> bool:
    """Tell whether a fact heard is the one said: id, sign, value within 2%, length, bound."""
    if type(heard) is not type(said) or name_of(heard) != name_of(said):
        return False
    if isinstance(heard, Reading) and isinstance(said, Reading):
        return _same_reading(heard, said)
    if isinstance(heard, Sign) and isinstance(said, Sign):
        return heard.answer == said.answer or {heard.answer, said.answer} == NOT_THERE
    if isinstance(heard, SetupFact) and isinstance(said, SetupFact):
        if isinstance(said.value, float):
            return isinstance(heard.value, float | int) and math.isclose(
                heard.value, said.value, rel_tol=0.02
            )
        if isinstance(said.value, tuple):
            return isinstance(heard.value, tuple) and set(heard.value) == set(said.value)
        return heard.value == said.value
    return True


def _same_reading(heard: Reading, said: Reading) -> bool:
    if (heard.value is None) != (said.value is None):
        return False
    if heard.value is None or said.value is None:
        return True
    if (heard.over is None) != (said.over is None) or heard.bound != said.bound:
        return False
    if said.value != 0 and heard.sign_known != said.sign_known:
        return False
    one, two = (heard.value, said.value) if said.sign_known else (abs(heard.value), abs(said.value))
    close = math.isclose(one, two, rel_tol=0.02, abs_tol=1e-9)
    return close and (
        heard.over is None or said.over is None or math.isclose(heard.over, said.over, rel_tol=0.02)
    )


def follows(heard: Observation, said: tuple[Observation, ...]) -> bool:
    """Tell whether a fact only repeats labelled ones: what they presuppose, or the length one was taken over."""
    if isinstance(heard, SetupFact) and isinstance(heard.value, float):
        lengths = [fact.over for fact in said if isinstance(fact, Reading) and fact.over is not None]
        return any(math.isclose(heard.value, length, rel_tol=0.02) for length in lengths)
    named = any(name_of(heard) in FOLLOWS.get(name_of(fact), set()) for fact in said)
    return named and (isinstance(heard, Action) or (isinstance(heard, SetupFact) and heard.value == "plain"))


def matched(
    heard: Iterable[Observation], said: Iterable[Observation]
) -> Iterator[tuple[Observation, Observation | None]]:
    """Yield each fact heard with the one said that it is, each of these once; None where it is none."""
    left = list(said)
    for fact in heard:
        same = next((one for one in left if agree(fact, one)), None)
        if same is not None:
            left.remove(same)
        yield fact, same


def score(utterances: list[Labelled], strict: bool = False) -> Score:
    """Return the counts over a set, with a line for every utterance that was not heard as said.

    Args:
        utterances: The set.
        strict: Whether what only follows from labelled facts counts as invented; else it does not count.
    """
    made = Score()
    for utterance in utterances:
        heard = read(utterance.text, utterance.context)
        pairs = [*matched(heard.facts, utterance.facts)]
        left = [said for said in utterance.facts if not any(said is same for _, same in pairs)]
        names = {name_of(fact) for fact in utterance.facts}
        extra = []
        for fact, same in pairs:
            if same is None and not strict and follows(fact, utterance.facts):
                continue
            made.heard += 1
            if same is None:
                extra.append(fact)
                made.invented += name_of(fact) not in names
            else:
                made.right += 1
        made.said += len(utterance.facts)
        missed = utterance.asks and heard.question is None
        made.questions_missed += missed
        if left or extra or missed:
            made.wrong.append(f"{utterance.text!r} missed {left} extra {extra} question {heard.question}")
    return made
