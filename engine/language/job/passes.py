"""How many passes a face took: counts beside the word, "passes: 3", "in one go"; and how far apart they were."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import SetupFact

_MOST_PASSES = 500
_MOST_SUMMED = 30
_NOT_COUNTED = {"per", "last", "every", "from", "after", "each", "another", "good", "bad", "fine", "square", "off"}
"""Words before a number that make it no count of passes: "good one cut and bad the next"."""
_PASS_SIZES = {
    *("little", "small", "tiny", "light", "narrow", "fine", "skinny", "shallow", "overlapping", "parallel"),
    *("separate", "successive", "adjacent", "adjoining"),
}
"""Words between a count and its passes: "a hundred little passes"."""


def passes(message: Message) -> list[SetupFact]:
    """Return the number of passes that a message tells, and their distance if it stands right after.

    Args:
        message: The message; a count that is used is removed from it.

    Returns:
        The facts; none if no number of passes is told.
    """
    message.drop([quantity for quantity in message.quantities if _where_passes_meet(message, quantity)])
    for quantity in list(message.quantities):
        if _at_a_joint(message, quantity.head):
            message.drop([quantity] if quantity.unit is None else [])
            continue
        found = _side_by_side(message, quantity) or _counted_before(message, quantity)
        if found:
            return found
    return _counted_after(message) or _in_all(message) or _in_one(message)


def _in_all(message: Message) -> list[SetupFact]:
    """Return a number of passes that is only summed up after their order was told: "front first, three all up"."""
    ordered = any(spot.name.startswith("choice:pass_order=") for spot in message.spots)
    if not ordered and not message.has("pass") and "strip" not in message.word_set:
        return []
    for quantity in message.quantities:
        after = {message.text_at(quantity.end), f"{message.text_at(quantity.end)} {message.text_at(quantity.end + 1)}"}
        ends = message.text_at(quantity.end) in ("", ",", ".") and message.text_at(quantity.start - 1) == "in"
        whole = _whole(quantity) and not quantity.junk and 2 <= quantity.value <= _MOST_SUMMED
        if whole and (ends or after & _words("in_all")):
            message.take(quantity.start, quantity.end)
            message.drop([quantity])
            return [SetupFact("passes", int(quantity.value), words=message.said(quantity.start, quantity.end))]
    return []


def _at_a_joint(message: Message, at: int) -> bool:
    """Tell whether a token only says between which passes something is: "where the two passes meet"."""
    return message.has("joint") and any(spot.name == "joint" and spot.start <= at < spot.end for spot in message.spots)


def _side_by_side(message: Message, quantity: Quantity) -> list[SetupFact]:
    """Return "2 cuts" as passes where these were beside each other, not one after another."""
    if not (
        quantity.junk
        and message.text_at(quantity.end - 1) in ("cuts", "goes")
        and 2 <= quantity.value <= 20
        and not _only_a_place(message, quantity, quantity.end)
        and (
            message.has("length:pass_spacing", "choice:pass_order=front_to_back", "choice:pass_order=back_to_front")
            or message.text_at(quantity.start - 1) == "in"
            or message.text_at(quantity.end) in ("side", "across", "wide")
        )
    ):
        return []
    message.take(quantity.start, quantity.end)
    return [SetupFact("passes", int(quantity.value), words=message.said(quantity.start, quantity.end))]


def _counted_before(message: Message, quantity: Quantity) -> list[SetupFact]:
    """Return the number of passes where it stands before them: "3 passes", "a hundred little passes"."""
    beside = [message.text_at(at) for at in range(quantity.end, quantity.end + 5) if message.text_at(at) != "-"][:3]
    at = quantity.end + (message.text_at(quantity.end) in _PASS_SIZES)
    if beside == ["side", "by", "side"]:  # "three side by side cuts"
        at = quantity.end + (5 if message.text_at(quantity.end + 1) == "-" else 3)
    if not (_whole(quantity) and _means_passes(message, at)):
        return []
    if not 1 <= quantity.value <= _MOST_PASSES or message.text_at(quantity.start - 1) in _NOT_COUNTED:
        return []
    following = message.text_at(at + 1)
    going = word_list("setup.toml", "around", "after_one_pass") if quantity.value == 1 else frozenset()
    if following in ("later", "ago") or following in going - {"and"}:
        return []
    message.take(quantity.start, at + 1)
    message.drop([quantity])
    words = message.said(quantity.start, at + 1)
    return [SetupFact("passes", int(quantity.value), words=words), *_spaced(message, at + 1)]


def _where_passes_meet(message: Message, quantity: Quantity) -> bool:
    """Tell whether a number of passes is no count, but only says where something is."""
    counts = _whole(quantity) and not quantity.junk and _means_passes(message, quantity.end)
    return counts and _only_a_place(message, quantity, quantity.end + 1)


def _only_a_place(message: Message, quantity: Quantity, end: int) -> bool:
    """Tell whether passes only say where something is: "where the two passes meet", "from one pass to the next"."""
    after = {message.text_at(at) for at in range(end, end + 3)}
    if quantity.value == 1:
        return message.text_at(end) in ("and", "to") and bool(after & _words("the_next"))
    named = message.text_at(quantity.start - 1) in ("the", "these", "those", "my", "our", "both", "between")
    led = {message.text_at(at) for at in range(quantity.start - 3, quantity.start)}
    if message.text_at(quantity.start - 1) == "of":  # "at the boundary of two passes"
        named = message.text_at(quantity.start - 2) in _words("where_passes")
    return named and bool(led & _words("where_passes") or message.text_at(end) in _words("meeting"))


def _words(name: str) -> frozenset[str]:
    return word_list("setup.toml", "around", name)


def _means_passes(message: Message, at: int) -> bool:
    """Tell whether a word after a count means passes: "strips" but of paper, "cuts" but not "cuts it"."""
    word = message.words.get(at, "")
    if word == "cut":
        return message.text_at(at) in ("cut", "cuts") and message.text_at(at + 1) not in ("it", "the", "this", "my")
    if message.text_at(at) in _words("tracks"):
        beside = {message.text_at(place) for place in (at - 2, at - 3, at + 1, at + 2)}
        return bool(beside & _words("beside_tracks"))
    of_them = message.text_at(at) == "of" and message.text_at(at + 1) in ("them", "em", "'em", "these", "those")
    spoken_of = any(message.words.get(place) in ("pas", "strip") for place in range(at))
    spoken_of = spoken_of or any(name.startswith("choice:pass_order=") for name in message.all_names)
    if of_them and spoken_of:
        return message.text_at(at + 2) in ("", ".", ",", "altogether", "side", "in") and not message.has("paper")
    return word == "pas" or (word == "strip" and not message.has("paper"))


def _whole(quantity: Quantity) -> bool:
    """Tell whether a quantity is a whole number without a unit."""
    return quantity.unit is None and not quantity.box and quantity.value == quantity.value.to_integral_value()


def _counted_after(message: Message) -> list[SetupFact]:
    """Return the number of passes where it stands after them: "number of passes = 3", "passes: 3"."""
    for quantity in message.quantities:
        at = quantity.start - 1
        while at > 0 and message.text_at(at) in ("=", ":", "is", "was", "were", "-"):
            at -= 1
        named = message.words.get(at) == "pas" and (
            at < quantity.start - 1
            or {"number", "no"} & {message.text_at(place) for place in range(max(0, at - 3), at)}
        )
        if (
            named
            and _whole(quantity)
            and 1 <= quantity.value <= _MOST_PASSES
            and message.text_at(quantity.end) in ("", ",", ".")
        ):
            message.take(at, quantity.end)
            message.drop([quantity])
            return [SetupFact("passes", int(quantity.value), words=message.said(at, quantity.end))]
    return []


def _in_one(message: Message) -> list[SetupFact]:
    """Return the one pass that is told in words: "a single pass", "in one go", "one hit"."""
    stems = [message.words.get(index, "") for index in range(len(message.tokens))]
    for index, word in enumerate(stems[:-1]):
        pair = (word, stems[index + 1])
        following = message.text_at(index + 2)
        if (
            (
                pair in (("singl", "pas"), ("one", "pas"))
                and following not in word_list("setup.toml", "around", "after_one_pass")
                and "joint" not in message.names(index, index + 6)
                and not _at_a_joint(message, index)
            )
            or (pair == ("one", "go") and index and stems[index - 1] == "in")
            or (pair in (("one", "cut"), ("singl", "cut")) and following in ("only", "", ",", "."))
            or pair in (("one", "hit"), ("one", "shot"), ("one", "swipe"))
        ):
            message.take(index, index + 2)
            return [SetupFact("passes", 1, words=message.said(index, index + 2))]
    return []


def _spaced(message: Message, at: int) -> list[SetupFact]:
    """Return the distance between passes that stands right after them: "2 passes @ 2 inch"."""
    if message.text_at(at) not in ("@", "at", "of", "every"):
        return []
    for quantity in message.within(at + 1, at + 2):
        mm = quantity.mm
        if mm is None or mm < 3 or quantity.junk or message.text_at(quantity.end) in ("deep", "depth", "doc"):
            return []
        message.take(at, quantity.end)
        message.drop([quantity])
        words = message.said(at, quantity.end)
        return [SetupFact("pass_spacing", float(mm), quantity.unit or "mm", words)]
    return []
