"""A network against the same sums written out in plain loops, and against the library that learned it."""

from __future__ import annotations

import math
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from scipy.signal import correlate

from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.learned.committee import Committee, committee
from askew.engine.language.learned.inputs import features
from askew.engine.language.learned.network import FAR, Network, convolved, read_network, shipped
from askew.engine.language.learned.told import answers, direction, meanings, number, share_known
from askew.knowledge.load import load

LISTS = {
    **{"features": ["open", "#", "thou", "?step"], "meanings": ["step", "twist"], "answers": ["$why"]},
    **{"numbers": ["none", "step", "over"], "readings": ["step", "twist"], "ways": ["+", "-", "?"]},
}


def _some(rng: np.random.Generator, depth: int = 4) -> Network:
    """Return a network of random weights."""
    shapes = {
        **{"conv0": (5, depth, depth), "conv0_bias": (depth,), "conv1": (3, depth, depth), "conv1_bias": (depth,)},
        **{"whole": (2 * depth, 6), "whole_bias": (6,), "said": (6, 3), "said_bias": (3,)},
        **{"is": (6, 3), "is_bias": (3,), "goes": (6, 3), "goes_bias": (3,)},
        **{"reading": (2, 6), "reading_query": (2, depth)},
    }
    for name in ("number", "way"):
        shapes |= {f"{name}_query": (depth, depth), f"{name}_key": (depth, depth)}
        shapes |= {f"{name}_distance": (2 * FAR + 1,), name: (4 * depth, 6), f"{name}_bias": (6,)}
    arrays = {name: rng.standard_normal(shape).astype(np.float32) for name, shape in shapes.items()}
    rows = rng.standard_normal((len(LISTS["features"]) + 1, depth)).astype(np.float32)
    rows[0] = 0.0
    place = {name: i for i, name in enumerate(LISTS["features"], 1)}
    lists = {key: tuple(LISTS[key]) for key in ("meanings", "answers", "numbers")}
    return Network(place, rows, arrays, **lists, readings={"step": 0, "twist": 1}, ways=("+", "-", "?"))


TOLD = [["open", "unheard"], ["#"], ["never learned"], ["thou", "open"], ["#"], ["thou"]]


def _tokens_in_loops(net: Network, asked: str | None) -> tuple[list[list[float]], list[bool]]:
    """Return what each token has become, by loops over tokens, neighbours and numbers."""
    depth = net.rows.shape[1]
    told = [[f"?{asked}"] if asked else [], *TOLD]
    known = [any(name in net.place for name in names) for names in told]
    x = [[sum(float(net.rows[net.place.get(n, 0)][k]) for n in names) for k in range(depth)] for names in told]
    for layer in range(2):
        kernel, bias = net.arrays[f"conv{layer}"], net.arrays[f"conv{layer}_bias"]
        size = [math.sqrt(sum(v * v for v in row) / depth + 1e-5) if layer else 1.0 for row in x]
        new = []
        for t, row in enumerate(x):
            added = [float(b) for b in bias]
            for w in range(len(kernel)):
                s = t + w - len(kernel) // 2
                for i in range(depth) if 0 <= s < len(x) else ():
                    for k in range(depth):
                        added[k] += x[s][i] / size[s] * float(kernel[w][i][k])
            new.append([(v + max(0.0, a)) if known[t] else 0.0 for v, a in zip(row, added, strict=True)])
        x = new
    return x, known


@pytest.mark.parametrize("asked", [None, "step", "never asked"])
def test_a_message_becomes_what_loops_make_of_it(asked: str | None) -> None:
    net = _some(np.random.default_rng(3))
    seen = net.encode(TOLD, asked)
    x, known = _tokens_in_loops(net, asked)
    assert seen.tokens == pytest.approx(np.array(x), abs=1e-4)
    assert seen.known.tolist() == known
    kept = np.array([row for row, there in zip(x, known, strict=True) if there])
    whole = np.concatenate([kept.max(0), kept.sum(0) / math.sqrt(len(kept) + 1)])
    assert seen.whole == pytest.approx(whole, abs=1e-4)
    hidden = np.maximum(whole @ net.arrays["whole"] + net.arrays["whole_bias"], 0.0)
    score = hidden @ net.arrays["said"] + net.arrays["said_bias"]
    assert net.of_whole(seen) == pytest.approx(score, abs=1e-3)
    said, told = Committee((net,)).of_whole((seen,))
    assert [*said.values(), *told.values()] == pytest.approx(1.0 / (1.0 + np.exp(-score)), abs=1e-4)


@pytest.mark.parametrize("head", [1, 4])
def test_a_number_is_told_from_the_tokens_it_attends_to(head: int) -> None:
    net = _some(np.random.default_rng(4))
    seen = net.encode(TOLD)
    at, depth = head + 1, seen.tokens.shape[1]
    query = seen.tokens[at] @ net.arrays["number_query"]
    near = net.arrays["number_distance"]
    odds = [
        math.exp((token @ net.arrays["number_key"]) @ query / math.sqrt(depth) + near[t - at + FAR])
        if there
        else 0.0
        for t, (token, there) in enumerate(zip(seen.tokens, seen.known, strict=True))
    ]
    attended = sum(odd * token for odd, token in zip(odds, seen.tokens, strict=True)) / sum(odds)
    told = np.concatenate([seen.tokens[at], attended, seen.whole])
    hidden = np.maximum(told @ net.arrays["number"] + net.arrays["number_bias"], 0.0)
    shares = np.exp(hidden @ net.arrays["is"] + net.arrays["is_bias"])
    assert [*Committee((net,)).of_number((seen,), head).values()] == pytest.approx(shares / shares.sum(), abs=1e-3)


def test_a_way_is_told_for_a_reading_that_has_ways() -> None:
    net = Committee((_some(np.random.default_rng(5)),))
    seen = net.encode(TOLD)
    for head in (None, 1):
        shares = net.of_direction(seen, "step", head)
        assert sum(shares.values()) == pytest.approx(1.0)
        assert shares != net.of_direction(seen, "twist", head)
    assert net.of_direction(seen, "runout", 1) == {}


def test_convolved_is_the_correlation_of_a_general_library() -> None:
    rng = np.random.default_rng(6)
    x, kernel = rng.standard_normal((7, 3)).astype(np.float32), rng.standard_normal((5, 3, 2)).astype(np.float32)
    theirs = [sum(correlate(x[:, i], kernel[:, i, k], "same") for i in range(3)) for k in range(2)]
    assert convolved(x, kernel) == pytest.approx(np.stack(theirs, axis=1), abs=1e-5)


def test_a_message_of_unknown_words_has_chances_too() -> None:
    net = Committee((_some(np.random.default_rng(7)),))
    for told in ([], [["zyxq"]]):
        said, asked_for = net.of_whole(net.encode(told))
        assert all(0.0 < chance < 1.0 for chance in [*said.values(), *asked_for.values()])
    assert sum(net.of_number(net.encode([["zyxq"]]), 0).values()) == pytest.approx(1.0)


def test_a_network_is_read_as_it_was_written(tmp_path: Path) -> None:
    net = _some(np.random.default_rng(8))
    np.savez_compressed(tmp_path / "some.npz", **shipped(LISTS, net.rows, net.arrays))
    with (tmp_path / "some.npz").open("rb") as file:
        again = read_network(file)
    assert (again.place, again.meanings, again.ways) == (net.place, net.meanings, net.ways)
    assert again.rows == pytest.approx(net.rows, abs=float(np.abs(net.rows).max()) / 250.0)  # eight bits a weight
    assert again.of_whole(again.encode(TOLD)) == pytest.approx(net.of_whole(net.encode(TOLD)), abs=0.5)


def test_two_networks_tell_the_mean_of_their_log_odds() -> None:
    one, two = _some(np.random.default_rng(9)), _some(np.random.default_rng(10))
    both = Committee((one, two))
    seen = both.encode(TOLD)
    odds = np.exp((one.of_whole(seen[0]) + two.of_whole(seen[1])).astype(np.float64) / 2.0)
    assert [chance for told in both.of_whole(seen) for chance in told.values()] == pytest.approx(odds / (1.0 + odds))
    shares = [[*Committee((net,)).of_number((its,), 1).values()] for net, its in zip((one, two), seen, strict=True)]
    middle = np.sqrt(np.array(shares[0]) * shares[1])
    assert [*both.of_number(seen, 1).values()] == pytest.approx(middle / middle.sum(), abs=1e-6)


def test_the_library_that_learns_scores_as_the_network_does(
    learning: ModuleType, examples: ModuleType, tables: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """JAX's own convolutions and attention, nothing dropped; skipped where what learns is not installed."""
    jax = pytest.importorskip("jax")
    monkeypatch.setattr(learning, "DROPPED", 0.0)
    monkeypatch.setattr(learning, "UNSAID", 0.0)
    net = committee().members[0]
    monkeypatch.setattr(learning, "DEPTH", net.rows.shape[1])
    monkeypatch.setattr(learning, "LAYERS", sum(name.startswith("conv") for name in net.arrays) // 2)
    lists = tables.Lists(
        [*net.place], [*net.meanings], [*net.answers], [*net.numbers], [*net.readings], "".join(net.ways)
    )
    said = [
        examples.example(examples.Labelled(text, examples.Context(asked), (), False))
        for text, asked in (("the face is open by 4 thou over 3 inches", None), ("2 hundredths", "step"))
    ]
    table = tables.arrays_of(said, lists, learning.LENGTHS[0])
    table["number_at"][:, 0] = [6, 1]
    whole, numbers, _ = learning.scores({"rows": net.rows, **net.arrays}, table, jax.random.PRNGKey(0))
    for i, one in enumerate(said):
        seen = net.encode(one.features, one.asked)
        assert net.of_whole(seen) == pytest.approx(np.asarray(whole[i]), abs=1e-2)
        assert net.of_number(seen, [5, 0][i]) == pytest.approx(np.asarray(numbers[i, 0]), abs=1e-2)


def test_every_class_is_one_that_the_knowledge_has() -> None:
    known, net = load(), committee().members[0]
    assert all(one.meanings == net.meanings and one.answers == net.answers for one in committee().members)
    assert all(one.numbers == net.numbers and one.readings == net.readings for one in committee().members)
    named = {*known.readings, *known.signs, *known.setup}
    assert {*net.numbers} <= named | {"over", "none"}
    assert {*net.ways} == {"+", "-", "?"}
    assert {*net.readings} <= {*known.readings}
    told = {name.lstrip("!$").partition(":")[0] for name in (*net.answers, *net.meanings)}
    assert told <= named | {*known.actions, *known.commands}
    for name in net.answers:
        sign, _, answer = name.partition(":")
        if sign in known.signs:
            assert answer in {*known.signs[sign].places, *known.signs[sign].evidence, "yes", "no", "unknown"}


def test_of_each_token_is_told_its_word_its_number_and_its_phrases() -> None:
    told = features(prepare("Opened 4 thou."))
    assert len(told) == 4
    assert "r:opened" in told[0]
    assert {"#", "u:thou"} <= {*told[1]}
    assert told[3] == ["|"]


def test_what_is_told_of_a_message_depends_on_what_was_asked_for() -> None:
    message = prepare("none that I could see")
    assert answers(message, "chip_found")["chip_found:no"] > 0.5 > answers(message)["chip_found:no"]
    assert meanings(message, "chip_found")["chip_found"] > 0.5


def test_numbers_and_directions_of_a_plain_sentence() -> None:
    message = prepare("the face is closed by 4 thou over 3 inches")
    value, length = message.prepared
    assert number(message, value)["face_out_of_square"] > 0.9
    assert number(message, length)["over"] > 0.9
    assert direction(message, "face_out_of_square", value.head)["-"] > 0.9
    known, words = share_known(message)
    assert known == words
