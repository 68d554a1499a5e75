"""Whether the words around a fact bear it out: a shop word in idle talk, in a question or about the past is none.

What no word of the lexicon knows counts against a fact: "hollow laugh from the foreman" holds one shop word
and two others. A measured value with its unit needs less than a bare word.
"""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.together.around import (
    AWAY,
    Around,
    around_words,
    away,
    bare,
    counted,
    touches_elsewhere,
)
from askew.engine.language.together.attempt import asks
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign, name_of

_WISHED = {"tolerance", "leaned_on_purpose"}
"""What is told by how a thing should be: "the head ought to stand square"."""
_FEW = 2
_SHOP_WORDS = 2
"""So many more words of the shop than strange ones a story must hold."""
_CLUTTER = 4
_MUCH = 6
"""So many words of the shop around a number say that it is of the shop."""
_MAY_BE = {"can", "could", "would", "should", "might", "will"}
_UNREAL = {"was", "were", "does", "do", "would", "could", "might", "will", "should"}
_IF = {"if", "unless", "suppose", "supposing"}
_WOULD = {"would", "wouldn't", "wouldnt", "could", "i'd", "it'd"}
_ONCE = {"when", "once", "after", "until", "till", "before"}
_OTHER_PARTS = {"follows_part", "stays_with_machine", "comes_and_goes"}


def supported(message: Message, fact: Observation, answering: bool) -> bool:
    """Tell whether a fact may be taken from the message.

    Args:
        message: The message it was read from.
        fact: What was read.
        answering: True where something was asked for, so that a word may stand alone.
    """
    if isinstance(fact, Command):
        return True
    around = around_words(message, fact.words)
    if around is None:
        return True
    if isinstance(fact, Sign) and fact.answer == "unknown":
        return answering or (around.strange < _CLUTTER and not around.elsewhere)  # nothing is claimed
    name = name_of(fact)
    if _supposed(message, around) or ("some_day" in around.names and not answering):
        return False
    if isinstance(fact, Reading) and fact.value is None and _without_figure(message, fact, around):
        return True
    if not (isinstance(fact, Reading) and fact.value) and name != "tolerance" and _not_so(message, around):
        return False
    if "history" in around.names and name not in _OTHER_PARTS:
        return False
    if isinstance(fact, Action | Sign) and message.tokens[around.start].text in _ONCE and message.has("planned"):
        return False  # "I'll measure it when it's cooled down"
    if isinstance(fact, Reading | Sign) and not answering and _only_thought(message, around, fact):
        return False
    if isinstance(fact, Reading) and fact.value and not answering and _out_of_reach(fact):
        return False
    if isinstance(fact, Reading) and fact.value is not None:
        may_be = message.tokens[around.start].text in _MAY_BE and asks(message, around.start, around.end)
        if _asks_what_is_usual(message, around):
            return False
        told = _telling(message, fact, around)
        if not answering and _too_strange(message, told):
            return False
        apart = around.elsewhere and _told_elsewhere(message, told)
        return not (apart or may_be or "other_machine" in around.names)
    if answering:
        return True
    none_found = isinstance(fact, Sign) and (fact.id, fact.answer) == ("chip_found", "no")
    if none_found and not _nothing_there(message, around):
        return False
    tools = isinstance(fact, SetupFact) and isinstance(fact.value, tuple) and len(fact.value) > 1
    if asks(message, around.start, around.end) and (not isinstance(fact, Reading) or _wonders(message, around)):
        led_in = tools and message.text_at(around.start) in ("is", "are") and message.text_at(around.end) != "?"
        if not led_in or asks(message, 0, around.end):  # "what I have, bar good will, is a square and feelers"
            return False
    if isinstance(fact, Reading) and message.tokens[around.start].text == "if":
        return False
    if name == "machine" and around.strange < 2 and _at_work(message, around):
        return True
    if tools:  # "in the toolbox" is no saying of these
        return around.strange < max(_CLUTTER, around.known) and not around.names & (AWAY - {"saying", "buy"})
    clear = around.known >= 3 and not around.strange  # a remark beside it takes nothing from a clear sentence
    if around.elsewhere or (not clear and not isinstance(fact, Action | SetupFact) and _all_elsewhere(message)):
        return False
    if name == "material" and _said_to_be(message, fact):
        return "to_do" not in around.names and around.strange < _CLUTTER
    if isinstance(fact, SetupFact):
        wished = "to_do" in around.names and fact.key not in _WISHED
        return not wished and (around.strange < _FEW or around.known > _FEW)
    spare = 1 if isinstance(fact, Action) and around.known > 1 else 0
    return around.strange < (2 if around.known > 1 else 1) + (around.known > 3) + spare


def _said_to_be(message: Message, fact: Observation) -> bool:
    """Tell whether something is said to be of a material in so many words: "the bus bars are electrolytic copper"."""
    start = message.tokens_of(fact.words).start
    before = [message.text_at(at) for at in range(max(0, start - _FEW), start)]
    return bool(set(before) & _BEING)


_BEING = {"is", "are", "was", "were", "it's", "its", "that's", "they're", "it", "gray", "grey"}


def _without_figure(message: Message, fact: Reading, around: Around) -> bool:
    """Tell whether only the number of a complaint is said to be missing, which bears it out: "haven't measured it"."""
    own = message.tokens_of(fact.words)
    if not any(spot.name == "no_figure" and spot.start not in own[:_FEW] for spot in message.prepared_spots):
        return False  # "never measured a hollow face" complains of none
    unsure = around.names & {"history", "other_machine", "planned", "unsure", "might_be", "what_if"}
    return not (unsure or around.elsewhere or _asked_whole(message, around))


def _out_of_reach(fact: Reading) -> bool:
    """Tell whether a number is no error of its kind: a step of 3 mm is meant, degrees of heat are no tilt."""
    most = lexicon().meanings[fact.id].most
    return (0 < most < abs(fact.value or 0)) or (fact.id == "cooled_change" and fact.unit == "deg")


def _telling(message: Message, fact: Reading, around: Around) -> list[Clause]:
    """Return the clauses with words that tell such a reading; what stands between them is a remark by the way."""
    held = [clause for clause in message.clauses if around.start <= clause.start < around.end]
    meaning = lexicon().meanings.get(fact.id)
    if meaning is None:
        return held
    told = 0
    for way in (*meaning.when, *meaning.plus, *meaning.minus):
        for term in (*way.must, *way.may):
            told |= term
    return [clause for clause in held if message.mask(clause.start, clause.end) & told]


def _told_elsewhere(message: Message, told: Sequence[Clause]) -> bool:
    """Tell whether a number is of another walk of life; "my wife's brother lent me a square" may lead up."""
    known = sum(counted(message, clause.start, clause.end)[0] for clause in told)
    numbered = [
        clause
        for clause in told
        if known < _MUCH or any(is_value(quantity) for quantity in message.within(clause.start, clause.end))
    ]
    return any(away(message, clause.start, clause.end) for clause in numbered)


def _too_strange(message: Message, told: Sequence[Clause]) -> bool:
    """Tell whether too much was not understood in the clauses that tell a number, for the words of the shop there."""
    parts = [counted(message, clause.start, clause.end) for clause in told]
    known, strange = sum(known for known, _ in parts), sum(strange for _, strange in parts)
    return strange >= 2 and known < strange + (_SHOP_WORDS if strange >= 3 else 1)


_CHIP_WORDS = {"chip", "looked_for", "spotless", "none_at_all", "clean", "deburr"}
_NOTHING = {"nothing", "none", "nowt", "anything", "not", "no"}
_PLACES_OF_CHIPS = {"behind_jaw", "under_part", "under_square", "under_vise", "elsewhere"}


def _nothing_there(message: Message, around: Around) -> bool:
    """Tell whether "no chip" is said in so many words, or "nothing" right before a place where one could be."""
    if around.names & _CHIP_WORDS:
        return True
    places = [spot.start for spot in message.prepared_spots if spot.name in _PLACES_OF_CHIPS]
    return any(
        message.tokens[at].text in _NOTHING and any(at < place <= at + 3 for place in places)
        for at in range(around.start, around.end)
    )


def _only_thought(message: Message, around: Around, fact: Reading | Sign) -> bool:
    """Tell whether a fact is only planned, asked or supposed: "I'll run it up the jaw", "would there be a ridge"."""
    first = message.tokens[around.start].text
    if isinstance(fact, Reading) and fact.value == 0 and first in ("how", "what") and "hypothetical" in around.names:
        return True  # "how flat should it come out?"
    if isinstance(fact, Sign) or fact.value is None:
        if _asked_whole(message, around) and (first in _UNREAL or "hypothetical" in around.names):
            return True
        return "planned" in around.names
    if first == "if" and any(
        spot.name == "hypothetical" and message.tokens[spot.start].text != "if" for spot in message.prepared_spots
    ):
        return True  # "if it is more than 5 thou open I'll scrap it"
    making = [spot.start for spot in message.prepared_spots if spot.name == "planned_make"]
    values = [quantity.head for quantity in message.prepared if is_value(quantity)]
    return any(around.start <= at < value < around.end for at in making for value in values[:1])


def _asks_what_is_usual(message: Message, around: Around) -> bool:
    """Tell whether a number is only put up for what may be: "what runout should a collet have, 2 thou?"."""
    wondering = word_list("clauses.toml", "evidence", "wondering")
    usual = word_list("clauses.toml", "evidence", "usual")
    texts = {token.text for token in message.tokens[around.start : around.end]}
    return message.tokens[around.start].text in wondering and bool(texts & usual) and _asked_whole(message, around)


def _supposed(message: Message, around: Around) -> bool:
    """Tell whether the sentence only supposes: "if the screw had 20 thou of backlash I would hear it"."""
    start, end = message.sentence(around.start, around.end)
    texts = {token.text for token in message.tokens[start:end]}
    return bool(texts & _IF) and bool(texts & _WOULD)


def _not_so(message: Message, around: Around) -> bool:
    """Tell whether what is said is only planned or wished for, not done yet, or another one's."""
    if around.names & {"planned", "intended", "not_mine"}:
        return True
    last = message.tokens[around.end - 1].text
    return last == "yet" and "not" in around.names


def _at_work(message: Message, around: Around) -> bool:
    """Tell whether all that is named from elsewhere is where a machine stands or whose it was: "in the garage"."""
    fine = word_list("clauses.toml", "evidence", "workplaces")
    away = word_list("clauses.toml", "evidence", "elsewhere") - fine
    named = around.names - {"buy"} if _bought_it(message, around) else around.names
    return not named & AWAY and not any(
        bare(token.text) in away for token in message.tokens[around.start : around.end]
    )


def _bought_it(message: Message, around: Around) -> bool:
    """Tell whether what was bought is only said by the way to be one's own: "the mill that I bought last year"."""
    texts = [message.tokens[at].text for at in range(around.start, around.end)]
    return any(
        one in ("which", "that") and two in ("i", "we") and three == "bought"
        for one, two, three in zip(texts, texts[1:], texts[2:], strict=False)
    )


def _asked_whole(message: Message, around: Around) -> bool:
    """Tell whether the clauses ask, or the sentence that they begin does: "does it taper if the head is out?"."""
    stop = next((token.text for token in message.tokens[around.end :] if token.text in SENTENCE_ENDS), "")
    return stop == "?" or asks(message, around.start, around.end)


def _wonders(message: Message, around: Around) -> bool:
    first, *rest = (token.text for token in message.tokens[around.start : around.end])
    return first in word_list("clauses.toml", "evidence", "wondering") or (first in _MAY_BE and "what" in rest)


def _all_elsewhere(message: Message) -> bool:
    """Tell whether a message without any measured value speaks of other things at all."""
    if any(is_value(quantity) for quantity in message.prepared):
        return False
    return touches_elsewhere(message)


def idle(message: Message) -> bool:
    """Tell whether a message is idle talk whose numbers, all without a unit, need not be asked about."""
    if "history" in message.all_names:
        return True
    units = any(quantity.unit is not None and not quantity.junk for quantity in message.prepared)
    return not units and touches_elsewhere(message)


def elsewhere_beside(message: Message, at: int) -> bool:
    """Tell whether the clause of a token speaks of the past or of other walks of life: "why is my dog barking"."""
    clause = message.clause_at(at)
    if clause is None:
        return False
    if message.names(clause.start, clause.end) & {"history", *AWAY}:
        return True
    elsewhere = word_list("clauses.toml", "evidence", "elsewhere")
    foil = {at for spot in message.spots if spot.name == "beer_can" for at in range(spot.start, spot.end)}
    return any(
        bare(message.tokens[at].text) in elsewhere for at in range(clause.start, clause.end) if at not in foil
    )


def elsewhere_in(message: Message) -> bool:
    """Tell whether any part of a message speaks of the past or of other walks of life."""
    return "history" in message.all_names or touches_elsewhere(message)


