"""The small pieces of sentences."""

from __future__ import annotations

from askew.engine.phrases import capital, chance_words, share_words


def test_no_chance_is_told_as_certain() -> None:
    said = [chance_words(p) for p in (0.0, 0.001, 0.126, 0.997, 1.0, 1.0 + 1e-12)]
    assert said == ["under 1%", "under 1%", "13%", "over 99%", "over 99%", "over 99%"]


def test_a_share_is_nought_or_whole_only_where_it_is() -> None:
    said = [share_words(s) for s in (0.0, 0.001, -0.001, 0.126, 0.997, 1.0, 1.24, -0.3)]
    assert said == ["0%", "under 1%", "under 1%", "13%", "over 99%", "100%", "124%", "-30%"]


def test_a_sentence_begins_with_a_capital() -> None:
    assert [capital(text) for text in ("", "jaw lift", "Z is up")] == ["", "Jaw lift", "Z is up"]
