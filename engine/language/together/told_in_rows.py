"""What was done, seen or set up, told in whatever words: the few that matter in their order, some others between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from askew.engine.language.clauses.message import Message
from askew.engine.language.observed.signs import place_of
from askew.engine.language.together.attempt import Trial, asks
from askew.engine.language.together.evidence import elsewhere_beside
from askew.engine.language.together.undone import was_at_the_jaw
from askew.engine.language.words.gapped import Row, Rows, row
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.row_words import as_in_rows
from askew.engine.language.words.word_tables import forms, table, word_lists
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign, name_of

_BEFORE = 8
"""So many words before what is told a "not" or a "will" takes it back."""
_TALKING = {
    *("sir", "mate", "it", "i", "we", "they", "wait", "that", "sorry", "he", "she", "you", "there", "nobody"),
    *("the", "my", "our", "its", "it's", "this"),
}
"""What follows a "no" that only answers."""
_FOR = {"for", "under", "behind", "between"}
_TURNS = {"", "but", "so", "then", "now"}
_WAS_NOT = {"never", "didn't", "didnt", "hadn't", "hadnt", "forgot"}
_NOT_YET = {"once", "until", "till", "when", "whenever"}
_ASKED_AFTER = {
    *("can", "could", "may", "is", "are", "was", "isn't", "do", "does", "did", "should", "shall", "am"),
    *("will", "don't", "what", "how", "why", "which", "where", "good", "ok", "okay", "any"),
}
"""How a question begins that follows what was told, after a comma."""
_WAS = {"has", "have", "had", "was", "were", "is", "are"}
_DOUBTED = {"unsure", "dont_know", "might_be", "to_do", "planned", "intended"}
_STOPS = {".", "!", "?", ";", ":"}
_FILES = (("deeds.toml", "deeds"), ("seen.toml", "seen"), ("set_up.toml", "set_up"))
"""Where the rows are listed, and the tables there."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What rows of words tell.

    Attributes:
        kind: The table it is listed in.
        id: The action, the sign or the setup key.
        answer: The answer of the sign or the choice, None of an action.
        unreal: Words that take it back.
        never: Words, and names of phrases after an "@", that must not stand in its clauses.
        mention: Words one of which must stand in the message; none where it is empty.
        phrase: Name of a phrase that must stand in the message, if any.
        without: Name of a phrase that must not stand in the message, if any.
        numbers: Whether a number may stand among the words of an action: "over it with a 10 mm end mill in strips".
        over_commas: Whether its rows go on after a comma, as those of deeds do.
        sure: Whether the network has no say against it.
    """

    kind: str
    id: str
    answer: str | None
    unreal: frozenset[str]
    never: frozenset[str]
    mention: frozenset[str]
    phrase: str | None
    without: str | None
    numbers: bool
    over_commas: bool
    sure: bool


@cache
def _rules() -> Mapping[bool, Rows[tuple[int, _Told]]]:
    """Return the rows, those that go on over a comma and those that do not, with what they tell and its place there."""
    rules: dict[bool, list[tuple[Row, tuple[int, _Told]]]] = {True: [], False: []}
    number = 0
    for file, kind in _FILES:
        lists = table(file)
        classes = word_lists(lists["classes"])
        refused = word_lists(lists["never"])
        for name, told in lists[kind].items():
            made = _told(kind, name, told, classes, refused)
            number += 1
            rules[made.over_commas] += [(row(text, classes), (number, made)) for text in told["ways"]]
    return {over_commas: Rows(told) for over_commas, told in rules.items()}


def _told(
    kind: str,
    name: str,
    told: Mapping[str, Any],
    classes: Mapping[str, frozenset[str]],
    refused: Mapping[str, frozenset[str]],
) -> _Told:
    """Return what a table of the lexicon tells, under a name like "cooled" or "rubbing:yes"."""
    mention = str(told.get("mention", ""))
    name, answer, *_ = (*name.split(":"), "")  # a third part only keeps rows apart that need other words beside them
    return _Told(
        kind=kind,
        id=name,
        answer=answer or None,
        unreal=classes["unreal"],
        never=frozenset[str]().union(*({**classes, **refused}[each] for each in told.get("never", ()))),
        mention=classes.get(mention, frozenset[str]()),
        phrase=mention.removeprefix("@") if mention.startswith("@") else None,
        without=told.get("without"),
        numbers=bool(told.get("numbers")),
        over_commas=kind != "seen" or bool(told.get("over_commas")),
        sure=bool(told.get("sure")),
    )


def add_told(trial: Trial, asked: str | None = None) -> None:
    """Add the actions, signs and choices of the setup that the message tells in rows of words, and vouch for them.

    Args:
        trial: The attempt at the message; a sign that it holds already gives way to the answer told here.
        asked: What was asked for; which way it was fed is an answer where marks were asked for.
    """
    message = trial.message
    for told, start, end in _fitting(message):
        if any(told.id == name_of(sure) for sure in trial.vouched if isinstance(sure, Action | Sign | SetupFact)):
            continue
        marks = message.has("arcs") or (told.answer != "both" and message.has("hatch"))
        if told.id == "feed_sense" and (asked == "heel_marks" or marks):
            continue  # "double arcs when the cutter goes to the left" says when they come
        if told.id == "vertical_travel" and _only_turned(trial.facts):
            continue
        if told.id == "pass_order" and _of_the_cutter(trial, start, end):
            continue
        if told.id == "edge_worn" and _of_one_tooth(trial, start, end):
            continue
        message.take(start, end)
        fact = _fact(message, told, start, end)
        if told.id == "bar_removed":  # what was taken away is there no more
            trial.facts[:] = [old for old in trial.facts if not was_at_the_jaw(message, old, end)]
        if told.id == "feed_sense":  # "the cutter started at the front and went away from me" orders no passes
            trial.facts[:] = [old for old in trial.facts if not (_is_order(old) and old.words in fact.words)]
        if told.kind == "set_up" and "nothing" in message.names(start, end):
            trial.facts[:] = [old for old in trial.facts if not _nothing_else(message, old, start, end)]
        here = next((at for at, old in enumerate(trial.facts) if _same(old, fact)), None)
        if here is None:
            trial.facts.append(fact)
        elif isinstance(fact, SetupFact) or (
            isinstance(fact, Sign) and not (fact.answer == "yes" and _says_where(trial.facts[here]))
        ):
            trial.facts[here] = fact
        trial.vouched.append(fact if here is None else trial.facts[here])
        if told.sure:
            trial.sure.append(trial.vouched[-1])


def _of_the_cutter(trial: Trial, start: int, end: int) -> bool:
    """Tell whether an order is only the way that the cutter went: "cutter started at the front, went away from me"."""
    ways = [fact for fact in trial.vouched if isinstance(fact, SetupFact) and fact.key == "feed_sense"]
    return any(trial.message.said(start, end) in fact.words for fact in ways)


def _is_order(fact: Observation) -> bool:
    return isinstance(fact, SetupFact) and fact.key == "pass_order"


def _only_turned(facts: Sequence[Observation]) -> bool:
    """Tell whether a slide was only turned to find its lost motion: "turning the knee handle down then up I lose 8"."""
    return any(
        isinstance(fact, Reading) and fact.id.startswith(("backlash", "push_pull", "lock_shift")) for fact in facts
    )


def _of_one_tooth(trial: Trial, start: int, end: int) -> bool:
    """Tell whether the wear is told to say that one tooth does the work, or that all do alike."""
    said = trial.message.said(start, end)
    marked = [fact.words for fact in trial.facts if isinstance(fact, Sign) and fact.id == "one_tooth_cutting"]
    return "corner" not in said and any(said in words for words in marked)


def _nothing_else(message: Message, old: Observation, start: int, end: int) -> bool:
    """Tell whether a reading of nothing rests on words of the setup: "nothing in there, just the plain jaw"."""
    nothings = [spot for spot in message.prepared_spots if spot.name == "nothing"]
    told = all(start <= spot.start and spot.end <= end for spot in nothings)
    return told and isinstance(old, Reading) and old.value == 0


def _same(old: Observation, fact: Action | Sign | SetupFact) -> bool:
    return type(old) is type(fact) and name_of(old) == name_of(fact)


def _says_where(fact: Observation) -> bool:
    return isinstance(fact, Sign) and fact.answer not in ("yes", "no", "unknown", "none")


def _fact(message: Message, told: _Told, start: int, end: int) -> Action | Sign | SetupFact:
    """Return the action, the choice or the sign, with its place where its clauses name one."""
    words = message.said(start, end)
    if told.kind == "set_up":
        return SetupFact(told.id, {"true": True, "false": False}.get(told.answer or "", told.answer or ""), words=words)
    if told.answer is None:
        return Action(told.id, words)
    mask = message.mask(start, _clauses(message, start, end)[1])
    meaning = lexicon().meanings[told.id]
    place = place_of(meaning, mask) if told.answer == "yes" else None
    if place is None and told.answer == "yes":  # "the front of the part" is no place for any other reading
        said = {token.text for token in message.tokens[start:end]}
        place = next((name for name, _ in meaning.places if name in said), None)
    return Sign(told.id, place or told.answer, words)


def _fitting(message: Message) -> Iterator[tuple[_Told, int, int]]:
    """Yield what the message tells with the tokens it begins and ends at, in the order of the lexicon."""
    usual = forms()[1]
    texts = [
        usual.get(token.text, as_in_rows(token.text, message.words.get(i, ""))) if token.kind != "mark" else ""
        for i, token in enumerate(message.tokens)
    ]
    fits: list[tuple[int, _Told, int, int]] = []
    for over_commas in (True, False):
        marks = _STOPS if over_commas else _STOPS | {","}
        at = [i for i, token in enumerate(message.tokens) if texts[i] or token.text in marks]
        words = [texts[i] for i in at]
        for (number, told), places in _rules()[over_commas].found_in(words):
            if _holds(message, texts, told, [at[i] for i in places]):
                fits.append((number, told, at[places[0]], at[places[-1]] + 1))
    for _, told, start, end in sorted(fits, key=lambda fit: fit[0]):
        yield told, start, end


def _holds(message: Message, texts: Sequence[str], told: _Told, places: Sequence[int]) -> bool:
    """Tell whether nothing around a row takes it back: a refusal, a plan, a question, a matter of another kind."""
    start, end = places[0], places[-1] + 1
    if (told.mention and not told.mention & set(texts)) or (told.phrase and not message.has(told.phrase)):
        return False
    if told.without is not None and message.has(told.without):
        return False
    before = list(texts[max(0, start - _BEFORE) : start])
    turn = next((at for at in range(len(before) - 1, -1, -1) if before[at] in _TURNS), -1)
    before = [text for at, text in enumerate(before) if text != "no" or not {*before[at + 1 : at + 2]} & _TALKING]
    if any(one == "looked" and two in _FOR for one, two in pairwise(before)):
        return False
    counted = any(message.tokens[at].kind == "number" for at in range(start, end) if at not in places)
    if told.answer is None and counted and not told.numbers:
        return False  # "75 across where I fed it and 140 the other way"
    between = {texts[at] for at in range(start, end) if at not in places}
    if told.unreal & {*before[turn + 1 :], *between} or (start and texts[start - 1] == "to"):
        return False
    first, last = _clauses(message, start, end)
    names = message.names(first, last)
    if told.never & {*texts[first:last], *(f"@{name}" for name in names)}:
        return False
    doubted = names & _DOUBTED
    if told.id == "locks_were_loose" and texts[start] in _WAS_NOT:
        doubted = doubted - {"planned"}  # "never tightened it before I cut"
    if told.answer is not None and doubted:
        return False
    if told.answer is None and texts[first] in _NOT_YET:
        return False
    clause = message.clause_at(start)
    if clause is None:
        return True
    return not (asks(message, clause.start, _told_until(message, end, clause.end)) or elsewhere_beside(message, start))


def _told_until(message: Message, at: int, end: int) -> int:
    """Return where a question begins after what is told in the same clause, or its end: "so I did, can I bin it?"."""
    clause = next(clause for clause in message.clauses if clause.end == end)
    if message.tokens[clause.start].text in _WAS and message.text_at(clause.start + 1) in _TALKING:
        return end  # "has he set it right, is it true now?"
    commas = (i for i in range(at, end - 1) if message.tokens[i].text == ",")
    return next((i for i in commas if message.tokens[i + 1].text in _ASKED_AFTER), end)


def _clauses(message: Message, start: int, end: int) -> tuple[int, int]:
    """Return where the clauses begin and end that the tokens from `start` to `end` stand in."""
    held = [clause for clause in message.clauses if clause.start < end and start < clause.end]
    return min((clause.start for clause in held), default=start), max((clause.end for clause in held), default=end)
