"""Misspelt words: the shop word that was most likely meant, where that is clear."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from rapidfuzz.distance import OSA

from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.stems import stem
from askew.engine.language.words.word_tables import forms, word_list

_FUZZY_SCORE = 0.79
_FUZZY_MARGIN = 0.1
_FUZZY_TRIES = 40
_SWAPPED = 0.7
_SHORT_SCORE = 0.8
_CORE = 0.1


@lru_cache(maxsize=4096)
def _nearest_known(word: str) -> str | None:
    """Return the shop word that a misspelt word is most likely meant for, or None if that is not clear."""
    lex = lexicon()
    first, second, found = 0.0, 0.0, None
    letters, core = sorted(word), word_list("words.toml", "stems", "core")
    four = word_list("words.toml", "stems", "four")
    for size in range(len(word) - 1, len(word) + 2):
        for known in lex.shop.get(size, ()):
            if known[0] != word[0] and known[-1] != word[-1]:
                continue
            if len(word) == 3 and (known not in four or known[0] != word[0]):
                continue
            score = OSA.normalized_similarity(word, known, score_cutoff=0.6)
            if score >= _SWAPPED and _same_letters(letters, known) and (size == len(word) or len(word) > 5):
                score = 1 - (1 - score) / 2  # fingers swap letters more often than they miss them
            if _without_vowels(word) == _without_vowels(known):
                score += _CORE  # in haste it is the vowels that are left out: "feelr"
            if known in core:
                score += _CORE  # the words used most are meant most
            if score > first:
                if found is None or not _alike(found, known):
                    second = first
                first, found = score, known
            elif score > second and found is not None and not _alike(found, known):
                second = score
    if found is None or first < (_FUZZY_SCORE if len(word) > 3 else _SHORT_SCORE):
        return None
    if first - second < _FUZZY_MARGIN:
        return None
    usual = forms()[1].get(found)
    return found if usual is None else stem(usual)


@lru_cache(maxsize=8192)
def _without_vowels(word: str) -> str:
    return "".join(letter for at, letter in enumerate(word) if at == 0 or letter not in "aeiouy")


def _same_letters(letters: list[str], known: str) -> bool:
    """Tell whether a word has the same letters in another order, but for one at most, and the same first one."""
    other = sorted(known)
    if letters == other:
        return True
    longer, shorter = (letters, other) if len(letters) > len(other) else (other, letters)
    left = list(longer)
    for letter in shorter:
        if letter not in left:
            return False
        left.remove(letter)
    return len(left) == 1


@lru_cache(maxsize=8192)
def swapped(typed: str) -> str | None:
    """Return the shop word of which two neighbouring letters were typed the other way round: "jwas", "nkee", "adn".

    None where the word is known as it stands, or where it is not clear which one was meant.
    """
    lex = lexicon()
    if len(typed) < 3 or not typed.isalpha() or {typed, stem(typed)} & lex.vocabulary or typed in forms()[1]:
        return None
    if typed in word_list("words.toml", "stems", "no_swaps"):
        return None
    meant = {typed[:at] + typed[at + 1] + typed[at] + typed[at + 2 :] for at in range(len(typed) - 1)} - {typed}
    if len(typed) == 3:
        fits = meant & word_list("words.toml", "stems", "core")
    else:
        fits = {word for word in meant if stem(word) in lex.senses or word in lex.everyday}
    return fits.pop() if len({stem(word) for word in fits}) == 1 else None


@lru_cache(maxsize=4096)
def run_together(word: str) -> int | None:
    """Return where two shop words were run together in one, as in "clamprise"; None if they were not."""
    if len(word) < 7 or not word.isalpha() or len(word) > 24 or stem(word) in lexicon().vocabulary:
        return None
    if _nearest_known(word) is not None or _nearest_known(stem(word)) is not None:
        return None
    for at in range(len(word) - 3, 2, -1):
        if all(len(half) >= 3 and lexicon().senses.get(stem(half)) for half in (word[:at], word[at:])):
            return at
    return None


def _close(typed: str, known: str) -> bool:
    return OSA.distance(typed, known) == 1 and known in forms()[0]


def _alike(one: str, two: str) -> bool:
    """Tell whether two words stand for the same thing, so that it does not matter which was meant."""
    if stem(one) == stem(two):  # two spellings of one word
        return True
    senses = lexicon().senses
    mine, other = senses.get(one, frozenset()), senses.get(two, frozenset())
    return (bool(mine) and mine == other) or bool(mine & other)


_CONSONANTS = "bcdfghjklmnprstvwxz"


def _ending_whole(typed: str) -> str | None:
    """Return the stem of a word whose ending lacks its vowel: "movng", "milld"; None where it is no such word."""
    if len(typed) < 5 or typed[-2] == "i":
        return None
    whole = ""
    if typed.endswith("ng") and typed[-3] in _CONSONANTS:
        whole = f"{typed[:-2]}ing"
    elif typed.endswith("d") and typed[-2] in _CONSONANTS:
        whole = f"{typed[:-1]}ed"
    return stem(whole) if whole and stem(whole) in lexicon().senses else None


def _done_again(typed: str) -> bool:
    """Tell whether a word is a known one done again, and no slip: "rechecked" is not "rechucked"."""
    return len(typed) > 6 and typed.startswith("re") and stem(typed[2:]) in lexicon().vocabulary


def respell(stems: Sequence[str], typed: Sequence[str] | None = None) -> list[str]:
    """Replace unknown words by the shop words they are misspellings of, where that is clear.

    The stem is tried first, then the word as typed, for a shop word that is kept with its ending.
    """
    lex, tries, made = lexicon(), 0, []
    for word, whole in zip(stems, stems if typed is None else typed, strict=True):
        slip = word in lex.everyday and whole != word and whole not in lex.everyday and len(whole) > 5
        if slip and (near := _nearest_known(whole)) is not None and _close(whole, near):
            made.append(near)  # "claned" is no form of "clan"
            continue
        if (
            word in lex.vocabulary
            or len(whole) < 3
            or not word.isalpha()
            or tries >= _FUZZY_TRIES
            or len(word) > 24
        ):
            made.append(word)
            continue
        tries += 1
        if whole.endswith("in") and stem(whole + "g") in lex.senses:
            made.append(stem(whole + "g"))  # squealin
            continue
        if _done_again(whole):
            made.append(word)
            continue
        ended = _ending_whole(whole)
        if ended is not None:
            made.append(ended)
            continue
        near = _nearest_known(whole) if whole != word else None
        made.append(near or (_nearest_known(word) if len(word) >= 3 else None) or word)
    return made
