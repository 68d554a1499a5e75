"""What a message may be about at all, as the network weighs it.

The lexicon knows phrases; it does not know how people talk around them. Thousands of sentences are labelled with what
they say, and a network that learned from them tells what a sentence hardly speaks of, and what it surely does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.choosing import choosing_words
from askew.engine.language.learned import told as learned
from askew.engine.language.model import Context
from askew.engine.language.together.asked import asked_meanings
from askew.engine.language.together.numbers_told import AXES, made_of
from askew.engine.language.together.other_axis import twin_of
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign, name_of

HARDLY = {Action: 0.3, Command: 0.2, Reading: 0.1, Sign: 0.03, SetupFact: 0.01}
"""Below this chance a message hardly speaks of a fact, whatever phrase was found in it. Of 2,500 sentences by strangers
most that was heard below it was made up; what stands beside a fact may still keep it."""

ARGUED, NAME = 0.001, 4
"""The same for a command that names what it is of in no more than so many words: "why table slope in full"."""

BARELY = 0.1
"""The same for what was done, where a row of words tells it, which says more than a phrase."""

LIKELY, DONE, ASKED_TO = 0.45, 0.85, 0.9
"""From these chances on a message speaks of a fact though no phrase told it, of something that was done, and of a
command: the last two are taken as they stand, without words that answer a question."""

LONG, REACH = 25, 6
"""From so many words and marks on a message may speak of many things; then a fact is held to its own words and to so
many on each side of them."""

BRIEF = 4
"""A command of fewer words is taken as it stands: "status?"."""

KNOWN, FEW = 0.85, 3
"""Such a share of its words, and so many of them where nothing was asked for, must have been learned from before it is
said what a message is likely about."""


def meaning_of(fact: Observation) -> str:
    """Return the name under which a fact's meaning is learned; keys, actions and commands are marked as such.

    That there is none of something is a meaning of its own: "solid" speaks of no wall.
    """
    if isinstance(fact, SetupFact):
        none = fact.value == 0 and not isinstance(fact.value, bool)
        return f"{fact.key}:=0" if none else f"{fact.key}:="
    mark = "!" if isinstance(fact, Action) else "$" if isinstance(fact, Command) else ""
    return mark + fact.id


def mostly_known(message: Message, context: Context) -> bool:
    """Tell whether enough of the words of a message were learned from that they tell what it may be about."""
    known, words = learned.share_known(message)
    return known >= KNOWN * words and (known >= FEW or context.asked is not None)


def likely(message: Message, context: Context) -> list[str]:
    """Return the meanings that a message likely speaks of, the likeliest first, named as by `meaning_of`.

    Of a long one nothing: it speaks of many things, each of them in a few of its words.
    """
    if len(message.tokens) > 2 * LONG:
        return []
    may_be = learned.meanings(message, context.asked)
    least = {"!": DONE, "$": ASKED_TO}
    found = [name for name, chance in may_be.items() if chance >= least.get(name[0], LIKELY)]
    return sorted(found, key=lambda name: -may_be[name])


def far_fetched(message: Message, asked: Command, context: Context) -> bool:
    """Tell whether a command was found in a message whose words hardly speak of it: "fourteen grand, forget it"."""
    words = [token for token in message.tokens if token.kind != "mark"]
    least = ARGUED if 0 < len((asked.argument or "").split()) <= NAME else None
    return len(words) >= BRIEF and _hardly(asked, learned.meanings(message, context.asked), least)


def unlikely(
    message: Message, facts: Sequence[Observation], context: Context, told: Sequence[Observation] = ()
) -> list[Observation]:
    """Return the facts heard in a message that its words hardly speak of; what was asked for is what they speak of.

    Args:
        message: The message.
        facts: What was heard in it.
        context: What was asked for.
        told: Those of them that rows of words tell; deeds among them are held to less.
    """
    answers = {context.asked, *(meaning.id for meaning in asked_meanings(context))}
    open_ = [fact for fact in facts if name_of(fact) not in answers and not _listed(fact)]
    if not open_:
        return []
    whole = learned.hardly(message, context.asked)
    strange = [fact for fact in open_ if _hardly(fact, whole)]
    if strange:
        borne = {name_of(fact) for fact in facts if not any(fact is one for one in strange)}
        strange = [
            fact
            for fact in strange
            if not _borne_beside(fact, borne, whole)
            and not _borne_by_number(message, fact, context.asked)
            and not (names_only_material(fact) and (borne or told))
        ]
    if len(message.tokens) <= LONG:
        return [fact for fact in strange if _hardly(fact, whole, _least(fact, told))]
    return [
        fact for fact in strange if _hardly(fact, _near(message, fact, context.asked), _least(fact, told))
    ]


def _least(fact: Observation, told: Sequence[Observation]) -> float:
    """Return the chance below which a fact is left out, less for a deed that a row of words tells."""
    return BARELY if isinstance(fact, Action) and any(fact is one for one in told) else HARDLY[type(fact)]


def _listed(fact: Observation) -> bool:
    """Tell whether a fact is a list, "a square and feelers", whose words bear it out among many of the job."""
    return isinstance(fact, SetupFact) and isinstance(fact.value, tuple) and len(fact.value) > 1


def _hardly(fact: Observation, may_be: Mapping[str, float], least: float | None = None) -> bool:
    """Tell whether words hardly speak of a fact, nor of the same reading on another axis.

    Which axis is meant one or two words tell, beside many that tell what was measured.
    """
    name = meaning_of(fact)
    if name.endswith(":=0"):
        return False  # "a solid cube": too few say so beside other things for the network to know
    names = {name[:-2] + axis for axis in AXES} if isinstance(fact, Reading) and name[-2:] in AXES else {name}
    chance = max((may_be[name] for name in names if name in may_be), default=1.0)
    return chance < (HARDLY[type(fact)] if least is None else least)


_AFTER = {
    "reversed_step": ("feed_reversed", "step"),
    "cross_feed_step": ("cross_cut", "step"),
    "cross_feed_hollow": ("cross_cut", "hollow_across"),
    "turned_error": ("turned_part", "face_out_of_square"),
    "fine_cutter_error": ("fine_cut", "face_out_of_square"),
}
"""Readings of a second cut: what was done before it, and how the reading is called where nothing was."""


_CORNERS = {"face_out_of_square": "other_corner", "other_corner": "face_out_of_square"}


def _borne_beside(fact: Observation, borne: Set[str], may_be: Mapping[str, float]) -> bool:
    """Tell whether a fact is borne by another: a reading by that of the other axis, one of a second cut by the deed.

    Few sentences tell two axes or two cuts at once, so that the network hardly shows the second.
    """
    if not isinstance(fact, Reading):
        return False
    if fact.id in _AFTER:
        deed, usual = _AFTER[fact.id]
        return deed in borne and may_be.get(usual, 1.0) >= HARDLY[Reading]
    return (_CORNERS.get(fact.id) or twin_of(fact.id)) in borne


def names_only_material(fact: Observation) -> bool:
    """Tell whether a fact is a material under a name or grade that nothing else has: "in S355", "it's 4140".

    There are more grades than were ever learned from, and the network takes their numbers for any number.
    """
    return (
        isinstance(fact, SetupFact)
        and fact.key == "material"
        and fact.words.lower() in choosing_words("only_material")
    )


NUMBERED = 0.5
"""From this share of all chances on the words around a number bear its reading out, whatever else is spoken of."""


def _borne_by_number(message: Message, fact: Observation, asked: str | None) -> bool:
    """Tell whether the words around the number of a reading tell that it is one, in a message of other things."""
    if not isinstance(fact, Reading) or not fact.value:
        return False
    own = message.tokens_of(fact.words)
    for quantity in message.prepared:
        if quantity.head in own and made_of(fact, quantity):
            name, share = learned.likeliest(learned.number(message, quantity, asked))
            return name == fact.id and share >= NUMBERED
    return False


def _near(message: Message, fact: Observation, asked: str | None) -> Mapping[str, float]:
    """Return the chance of each meaning by the words around those of a fact; a long message speaks of many things."""
    at = message.tokens_of(fact.words)
    near = range(max(at.start - REACH, 0), min(at.stop + REACH, len(message.tokens)))
    return learned.hardly(message, asked, near)
