"""What the person wants the assistant to do, and what cannot be done here."""

from __future__ import annotations

from askew.engine.language.attempt import asks
from askew.engine.language.evidence import elsewhere_beside, elsewhere_in
from askew.engine.language.groups import divide
from askew.engine.language.instruments import on_the_bench
from askew.engine.language.lexicon import CONCEPT, lexicon, word_list
from askew.engine.language.message import Message
from askew.engine.language.model import Context
from askew.engine.language.quantities import Quantity
from askew.engine.language.signs import SIGN_NUMBERS
from askew.engine.observations import Command

_LONGEST = 9
_FEW = 4
_TERSE = 2
_LOOSE = 16
"""Words that a message may have to be a command in any order of words."""
_LONGEST_TERM = 5
_NO_TERM = {
    "idiom",
    "saying",
    "polite",
    "weather",
    "buy",
    "history",
    "hypothetical",
    "have",
    "not",
    "big",
    "small",
}
_LACKING = {"no", "without", "not", "have", "idiom", "polite", "can't", "cannot", "nothing", "plain", "found"}
_OF_TOOLS = {
    "thin_strip",
    "needle",
    "square_tool",
    "square",
    "straight_edge",
    "parallel",
    "block",
    "feeler",
    "light",
    "thickness",
}
_LONG = {"fix", "live_with", "what_if"}


def command(message: Message, context: Context) -> Command | None:
    """Return the command that the message is, if it is one."""
    words = [token.text for token in message.tokens if token.kind != "mark"]
    if not words:
        return Command("help", words=message.text.strip()) if message.text.strip() == "?" else None
    names = message.names(0, len(message.tokens))
    text = message.text.strip()
    refusal = _cannot(message, context, words, names)
    if refusal is not None:
        return refusal
    of_a_term = any(spot.name == "ask_word" and _term(message, spot.end) for spot in message.spots)
    if of_a_term and "dont_know" in names:
        return Command("help", _argument("help", "ask_word", message), text)  # "dunno, what's a cylinder square"
    if (
        ("dont_know" in names or ("unchecked" in names and (context.asked is not None or len(words) <= _FEW)))
        and len(words) <= _LONGEST
        and ("yet" not in words or context.asked is not None)
        and not any(not quantity.junk and not quantity.pronoun for quantity in message.quantities)
        and not _complains(message, context)
        and not _tells_of_a_sign(message, context)
    ):
        return Command("dont_know", context.asked, text)
    if len(words) > 2 * _LONGEST + 7:
        return None
    polite = _polite(message)
    bare = " ".join(token.text for at, token in enumerate(message.tokens) if at not in polite)
    if bare in lexicon().alone:
        return Command(lexicon().alone[bare], None, text)
    if _unsure(message, context, polite):
        return Command("dont_know", context.asked, text)
    for name, asking, before_a_term in lexicon().commands:
        spots = [spot for spot in message.spots if spot.name == asking]
        wide = max((spot.end - spot.start for spot in spots), default=0) > _TERSE
        if len(words) > _LONGEST + 3 and name not in _LONG and not wide:
            continue
        if spots and elsewhere_beside(message, spots[0].start):
            continue
        if spots and before_a_term and not _term(message, spots[0].end):
            continue
        start = spots[0].start - sum(at < spots[0].start for at in polite) if spots else 0
        width = max((spot.end - spot.start for spot in spots), default=0)
        if spots and _stands(name, message, words, (spots[0].start, start), width):
            return Command(name, _argument(name, asking, message), text)
    return None


def loose_command(message: Message) -> Command | None:
    """Return the command that a short message without any fact asks for, whatever the order of its words."""
    words = [token.text for token in message.tokens if token.kind != "mark"]
    measured = any(not quantity.junk and not quantity.pronoun for quantity in message.prepared)
    if not 1 < len(words) <= _LOOSE:
        return None
    if not _asking(message) or elsewhere_in(message) or _unknown(message) > 1:
        return None
    for at, token in enumerate(message.tokens):
        if token.text in ("what's", "whats") and _term(message, at + 1):
            return Command("help", message.said(at + 1, len(message.tokens)).strip(" ?.!"), message.text.strip())
    names = {spot.name.removeprefix(CONCEPT) for spot in message.concepts}
    if any(spot.name not in _NO_TERM and not spot.name.startswith("ask_") for spot in message.prepared_spots):
        names.add("TERM")
    for name, way in lexicon().loose:
        if (measured and name != "what_if") or (name == "what_if" and not _of_setup(message)):
            continue
        if all(bool(wanted & names) is needed for wanted, needed in way):
            return Command(name, _loose_argument(name, message), message.text.strip())
    return None


def _of_setup(message: Message) -> bool:
    """Tell whether a message names anything of the setup, which "what if" may change."""
    return any(spot.name.startswith(("choice:", "length:")) for spot in message.prepared_spots) or message.has(
        "pass", "bar", "turned", "gripped"
    )


def _loose_argument(name: str, message: Message) -> str | None:
    """Return what follows "if" or "with" in a question of what would be."""
    if name != "what_if":
        return None
    start = next((spot.end for spot in message.concepts if spot.name == f"{CONCEPT}if"), 0)
    return message.said(start, len(message.tokens)).strip(" ?.!,:") or None


def _asking(message: Message) -> bool:
    """Tell whether a message asks or bids: by its mark, or by how one of its clauses begins."""
    if message.text.rstrip().endswith("?"):
        return True
    polite, starters = _polite(message), word_list("commands.toml", "asking", "starters")
    for place, clause in enumerate(message.clauses):
        first = next((at for at in range(clause.start, clause.end) if at not in polite), clause.start)
        if {message.tokens[first].text, message.tokens[clause.start].text} & starters:
            return True
        if place == 0:  # "it would be hollow if ..." tells; what comes later must ask by a word of asking
            starters = word_list("commands.toml", "asking", "later")
    return False


def _unknown(message: Message) -> int:
    """Return how many words of a message are neither known nor small."""
    small = word_list("clauses.toml", "words", "small") | word_list("clauses.toml", "evidence", "plain")
    small |= word_list("commands.toml", "asking", "starters")
    known = {at for spot in (*message.prepared_spots, *message.concepts) for at in range(spot.start, spot.end)}
    return sum(
        token.kind == "word" and at not in known and token.text not in small for at, token in enumerate(message.tokens)
    )


def _polite(message: Message) -> set[int]:
    """Return the tokens of polite and filling words, which do not keep a command from coming first."""
    return {
        at
        for at, token in enumerate(message.tokens)
        if token.kind == "mark"
        or any(spot.name == "polite" and spot.start <= at < spot.end for spot in message.spots)
    }


def _unsure(message: Message, context: Context, polite: set[int]) -> bool:
    """Tell whether the message is nothing but doubt, and answers no question about a sign, which takes "unknown"."""
    asked = lexicon().meanings.get(context.asked) if context.asked is not None else None
    if asked is not None and asked.kind == "sign":
        return False
    doubt = [spot for spot in message.spots if spot.name == "unsure" and spot.end - spot.start >= 2]
    said = set(range(len(message.tokens))) - polite
    said -= {at for at in said if message.tokens[at].text in word_list("clauses.toml", "words", "small")}
    return bool(doubt) and said <= {at for spot in doubt for at in range(spot.start, spot.end)}


def _complains(message: Message, context: Context) -> bool:
    """Tell whether the message says what is wrong, though not by how much."""
    return context.asked is None and any(
        group.meaning is not None and group.meaning.complaint and group.score > 0.5
        for group in divide(message, ())
    )


def _tells_of_a_sign(message: Message, context: Context) -> bool:
    """Tell whether the message names what it does not know or cannot do: "don't know if it slipped"."""
    return context.asked is None and any(
        group.meaning is not None
        and (group.meaning.kind == "sign" or group.meaning.id in SIGN_NUMBERS.values())
        and group.score >= 1
        for group in divide(message, ())
    )


_DOINGS = {
    "quit": ("shim_it",),
    "undo": ("regrip", "bar"),
    "next": (
        *("correct", "came_square", "same", "out_of_square", "lock"),
        *( "regrip", "shim_it", "change_cutter", "tram_it", "bar_out", "turn_part", "cut_again"),
    ),
}
"""What somebody does at the machine, whose words sound like asking for one of these."""


def _stands(name: str, message: Message, words: list[str], at: tuple[int, int], width: int) -> bool:
    """Tell whether the asking words make the message a command rather than part of a story.

    `at` is where they begin, in tokens, and how many words that are not just polite stand before them.
    """
    spot_at, start = at
    if width == 1 and name != "undo" and message.tokens[spot_at].text.endswith("ed"):
        return False  # "reported", "skipped": told, not asked for
    if message.has(*_DOINGS.get(name, ())):
        return False  # "packed up the front of the column", "I'll take it out and put it back in"
    measured = any(not quantity.junk and not quantity.pronoun for quantity in message.quantities)
    if name == "why":
        return start <= 3 and (width > 1 or not _unknown(message) or _names_a_term(message, spot_at + width))
    if name == "undo":
        few = len(words) <= _FEW if width > _TERSE else len(words) < _FEW  # "scrub the last two"
        return start <= 3 and (not measured or few) and (width > 1 or not _unknown(message))
    if name == "next":
        begins = width > _TERSE and any(clause.start == spot_at for clause in message.clauses)
        return not measured and ((start <= 2 and (width >= 2 or len(words) <= 3)) or begins)
    if name == "skip" and words[0] in ("i", "i'd", "don't") and message.has("head", "shim_it", "shim_word", "tram_it"):
        return False  # "I'd rather not touch the head"
    if name == "skip":
        if message.has("tighten", "release", "needle"):
            return False  # "nothing moves on tightening"
        last = width >= 2 and start + width >= len(words)  # "I give up on this one, skip it"
        if start == 0 and len(message.tokens) > width and message.tokens[width].kind == "mark":
            return not measured  # "skip, do it later"
        short = (start <= 1 and len(words) <= width + 3) if width >= 2 else (start == 0 and len(words) <= 2)
        covered = {at for spot in message.spots if spot.name == "ask_skip" for at in range(spot.start, spot.end)}
        whole = width > 1 and len(words) - len(covered | _polite(message)) <= 1
        return not measured and (last or short or whole)
    if name == "what_if":
        return start <= 2 or words[0] in ("if", "suppose", "supposing")
    if name in ("fix", "live_with"):
        return not measured and (start <= 3 or (width >= 2 and asks(message, 0, len(message.tokens))))
    if name in ("report", "help", "quit"):
        if width == 1 and name != "help" and not _nothing_but(message, spot_at):
            return False  # "exit is on the left"
        return not measured and (start <= 5 if width >= 2 else len(words) <= (3 if name == "help" else _LONGEST))
    return False


def _term(message: Message, at: int) -> bool:
    """Tell whether nothing but a term of the trade stands from a token on: "what is a witness mark"."""
    rest = [i for i in range(at, len(message.tokens)) if message.tokens[i].kind != "mark"]
    told = [token.text for token in message.tokens[max(0, at - 2) : at]]
    if not 1 <= len(rest) <= _LONGEST_TERM or told in (["what", "a"], ["what", "an"]):  # "what a day"
        return False
    small = word_list("clauses.toml", "words", "small")
    terms = [spot for spot in message.spots if spot.name not in _NO_TERM and not spot.name.startswith("ask_")]
    trade = {i for spot in terms for i in range(spot.start, spot.end)}
    said = [i for i in rest if message.tokens[i].text not in small]
    return bool(said) and all(i in trade for i in said)


def _names_a_term(message: Message, at: int) -> bool:
    """Tell whether anything of the trade is named from a token on."""
    return any(
        spot.start >= at and spot.name not in _NO_TERM and not spot.name.startswith("ask_")
        for spot in message.prepared_spots
    )


def _nothing_but(message: Message, at: int) -> bool:
    """Tell whether all words but the one at a token are small, polite or of asking."""
    small = word_list("clauses.toml", "words", "small") | word_list("commands.toml", "asking", "beside")
    small |= word_list("clauses.toml", "words", "opening") | word_list("commands.toml", "asking", "starters")
    polite = _polite(message)
    return all(
        i == at or i in polite or token.kind != "word" or token.text in small for i, token in enumerate(message.tokens)
    )


def _argument(name: str, asking_word: str, message: Message) -> str | None:
    if name == "undo":
        numbers = [
            quantity
            for quantity in message.quantities
            if not quantity.junk and not quantity.pronoun and 0 < quantity.value < 1000
        ]
        if numbers:
            return str(int(numbers[0].value))
        return None
    if name not in ("why", "help", "what_if"):
        return None
    asking = next(spot for spot in message.spots if spot.name == asking_word)
    rest = message.said(asking.end, len(message.tokens)).strip(" ?.!,:")
    if not rest and name == "what_if":  # "if I turned the part, what would it read"
        rest = message.said(0, asking.start).strip(" ?.!,:")
    for article in ("the ", "is it ", "do you think it's ", "do you say ", "would it be "):
        rest = rest.removeprefix(article)
    return rest.removesuffix(" means").removesuffix(" mean").removesuffix(" are").removesuffix(" is") or None


_DETERMINERS = {
    "a",
    "an",
    "any",
    "the",
    "my",
    "no",
    "such",
    "own",
    "got",
    "good",
    "decent",
    "proper",
    "and",
    "or",
    ",",
}


def _in_tool(message: Message, quantity: Quantity) -> bool:
    """Tell whether the number is part of the name of an instrument: a "tenths indicator"."""
    return any(
        spot.name.startswith("tool:") and spot.start <= quantity.end - 1 and quantity.start <= spot.end
        for spot in message.spots
    )


def _cannot(message: Message, context: Context, words: list[str], names: set[str]) -> Command | None:
    """Read "can't, haven't got a square" and "can't do that here"."""
    lacking = [
        s.name.removeprefix("tool:") for s in message.spots if s.name.startswith("tool:") and s.start == 1
    ]
    plain = {name for name in names if ":" not in name}
    if words[0] == "no" and lacking and len(words) <= 6 and plain <= _LACKING | _OF_TOOLS:
        return Command("cannot", lacking[0], message.text.strip())
    if (
        "cannot" not in names
        or names & {"unsure", "dont_know"}
        or any(
            not quantity.junk and not quantity.pronoun and not _in_tool(message, quantity)
            for quantity in message.quantities
        )
    ):
        return None
    if "lacks" not in names and _tells_of_a_sign(message, context):
        return None  # "can't shift either of the parallels"
    spot = next(spot for spot in message.spots if spot.name == "cannot")
    counted = [token.text for token in message.tokens]
    tools = [
        found.name.removeprefix("tool:")
        for found in message.spots
        if found.name.startswith("tool:")
        and found.start >= spot.start
        and (counted[found.start - 1] in _DETERMINERS or found.start == spot.end)
    ]
    if not tools and len(words) > 14:
        return None
    if (
        not tools
        and message.has(
            "feel",
            "see",
            "needle",
            "rise",
            "step",
            "release",
            "arcs",
            "repeat",
            "not_repeat",
            "out_of_square",
            "nail",
            "ask_next",
        )
        and len(words) > 3
    ):
        return None
    first = any(found.name == "cant_measure" and found.start <= 1 for found in message.spots)
    if (
        not tools
        and not first
        and any(
            group.meaning is not None
            and (group.score >= 1 or (group.meaning.complaint and group.score > 0.5 and len(words) > 4))
            for group in divide(message, ())
        )
    ):
        return None
    offered = {"just", "only", "but", "all"} & set(words) and context.asked in (None, "instruments")
    if offered and on_the_bench(message, asked=False):
        return None  # "no indicator, just a square" tells what is there
    argument = tools[0] if tools else context.asked
    return Command("cannot", argument, message.text.strip())
