"""Networks against the same sums written out in plain loops, and against the library that learned it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from scipy.optimize import approx_fprime
from scipy.signal import correlate

from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.learned.committee import Committee, committee
from askew.engine.language.learned.inputs import features
from askew.engine.language.learned.network import FAR, Networks, convolved, read_networks, shipped
from askew.engine.language.learned.told import answers, direction, meanings, number, share_known
from askew.engine.observations import Reading
from askew.knowledge.load import load

LISTS = {
    **{"features": ["open", "#", "thou", "?step"], "meanings": ["step", "twist"], "answers": ["$why"]},
    **{"numbers": ["none", "step", "over"], "readings": ["step", "twist"], "ways": ["+", "-", "?"]},
}


def _some(rng: np.random.Generator, members: int = 1, depth: int = 4) -> Networks:
    """Return networks of random weights."""
    shapes = {
        **{"conv0": (5, depth, depth), "conv0_bias": (depth,), "conv1": (3, depth, depth), "conv1_bias": (depth,)},
        **{"whole": (2 * depth, 6), "whole_bias": (6,), "said": (6, 3), "said_bias": (3,)},
        **{"is": (6, 3), "is_bias": (3,), "goes": (6, 3), "goes_bias": (3,)},
        **{"reading": (2, 6), "reading_query": (2, depth)},
    }
    for name in ("number", "way"):
        shapes |= {f"{name}_query": (depth, depth), f"{name}_key": (depth, depth)}
        shapes |= {f"{name}_distance": (2 * FAR + 1,), name: (4 * depth, 6), f"{name}_bias": (6,)}
    arrays = {name: rng.standard_normal((members, *shape)).astype(np.float32) for name, shape in shapes.items()}
    rows = rng.standard_normal((members, len(LISTS["features"]) + 1, depth)).astype(np.float32)
    rows[:, 0] = 0.0
    place = {name: i for i, name in enumerate(LISTS["features"], 1)}
    lists = {key: tuple(LISTS[key]) for key in ("meanings", "answers", "numbers")}
    return Networks(place, rows, arrays, **lists, readings={"step": 0, "twist": 1}, ways=("+", "-", "?"))


def _alone(nets: Networks, i: int) -> Networks:
    """Return one of some networks by itself."""
    arrays = {name: array[i : i + 1] for name, array in nets.arrays.items()}
    return replace(nets, rows=nets.rows[i : i + 1], arrays=arrays)


TOLD = [["open", "unheard"], ["#"], ["never learned"], ["thou", "open"], ["#"], ["thou"]]


def _tokens_in_loops(net: Networks, i: int, asked: str | None) -> tuple[list[list[float]], list[bool]]:
    """Return what each token has become in network `i`, by loops over tokens, neighbours and numbers."""
    rows, depth = net.rows[i], net.rows.shape[2]
    told = [[f"?{asked}"] if asked else [], *TOLD]
    known = [any(name in net.place for name in names) for names in told]
    x = [[sum(float(rows[net.place.get(n, 0)][k]) for n in names) for k in range(depth)] for names in told]
    for layer in range(2):
        kernel, bias = net.arrays[f"conv{layer}"][i], net.arrays[f"conv{layer}_bias"][i]
        size = [math.sqrt(sum(v * v for v in row) / depth + 1e-5) if layer else 1.0 for row in x]
        new = []
        for t, row in enumerate(x):
            added = [float(b) for b in bias]
            for w in range(len(kernel)):
                s = t + w - len(kernel) // 2
                for j in range(depth) if 0 <= s < len(x) else ():
                    for k in range(depth):
                        added[k] += x[s][j] / size[s] * float(kernel[w][j][k])
            new.append([(v + max(0.0, a)) if known[t] else 0.0 for v, a in zip(row, added, strict=True)])
        x = new
    return x, known


@pytest.mark.parametrize("asked", [None, "step", "never asked"])
def test_a_message_becomes_what_loops_make_of_it(asked: str | None) -> None:
    net = _some(np.random.default_rng(3), 2)
    seen = net.encode(TOLD, asked)
    for i in range(2):
        x, known = _tokens_in_loops(net, i, asked)
        assert seen.tokens[i] == pytest.approx(np.array(x), abs=1e-4)
        assert seen.known.tolist() == known
        kept = np.array([row for row, there in zip(x, known, strict=True) if there])
        whole = np.concatenate([kept.max(0), kept.sum(0) / math.sqrt(len(kept) + 1)])
        assert seen.whole[i] == pytest.approx(whole, abs=1e-4)
        hidden = np.maximum(whole @ net.arrays["whole"][i] + net.arrays["whole_bias"][i], 0.0)
        score = hidden @ net.arrays["said"][i] + net.arrays["said_bias"][i]
        assert net.of_whole(seen)[i] == pytest.approx(score, abs=1e-3)
        one = _alone(net, i)
        said, told = Committee(one).of_whole(one.encode(TOLD, asked))
        assert [*said.values(), *told.values()] == pytest.approx(1.0 / (1.0 + np.exp(-score)), abs=1e-4)


def test_what_tokens_add_to_a_score_is_all_of_it_but_the_biases() -> None:
    """As its slope times the whole message, which scipy finds by small differences."""
    net = _some(np.random.default_rng(13), 2)
    seen = net.encode(TOLD, "step")
    for kind in range(3):
        borne = net.bearing(seen, kind)
        assert borne.shape == seen.tokens.shape[:2]
        assert borne[:, 1 + 2] == pytest.approx(0.0)  # nothing is known of it
        for i in range(2):

            def score(whole: np.ndarray, i: int = i, kind: int = kind) -> float:
                half = whole @ net.arrays["whole"][i].astype(float) + net.arrays["whole_bias"][i]
                return float(np.maximum(half, 0.0) @ net.arrays["said"][i][:, kind])

            whole = seen.whole[i].astype(float)
            slope = approx_fprime(whole, score, 1e-7)
            assert borne[i].sum() == pytest.approx(slope @ whole, rel=1e-3, abs=1e-3)


@pytest.mark.parametrize("head", [1, 4])
def test_a_number_is_told_from_the_tokens_it_attends_to(head: int) -> None:
    net = _some(np.random.default_rng(4))
    seen = net.encode(TOLD)
    tokens, weights = seen.tokens[0], {name: array[0] for name, array in net.arrays.items()}
    at, depth = head + 1, tokens.shape[1]
    query = tokens[at] @ weights["number_query"]
    near = weights["number_distance"]
    odds = [
        math.exp((token @ weights["number_key"]) @ query / math.sqrt(depth) + near[t - at + FAR]) if there else 0.0
        for t, (token, there) in enumerate(zip(tokens, seen.known, strict=True))
    ]
    attended = sum(odd * token for odd, token in zip(odds, tokens, strict=True)) / sum(odds)
    told = np.concatenate([tokens[at], attended, seen.whole[0]])
    hidden = np.maximum(told @ weights["number"] + weights["number_bias"], 0.0)
    shares = np.exp(hidden @ weights["is"] + weights["is_bias"])
    of_numbers = Committee(net).of_numbers(seen, [head, 1])
    assert [*of_numbers[head].values()] == pytest.approx(shares / shares.sum(), abs=1e-3)


def test_a_way_is_told_for_a_reading_that_has_ways() -> None:
    net = Committee(_some(np.random.default_rng(5), 2))
    seen = net.encode(TOLD)
    for head in (None, 1):
        shares = net.of_direction(seen, "step", head)
        assert sum(shares.values()) == pytest.approx(1.0)
        assert shares != net.of_direction(seen, "twist", head)
    assert net.of_direction(seen, "runout", 1) == {}


def test_convolved_is_the_correlation_of_a_general_library() -> None:
    rng = np.random.default_rng(6)
    x = rng.standard_normal((2, 7, 3)).astype(np.float32)
    kernel = rng.standard_normal((2, 5, 3, 2)).astype(np.float32)
    for ours, one, its in zip(convolved(x, kernel), x, kernel, strict=True):
        theirs = [sum(correlate(one[:, i], its[:, i, k], "same") for i in range(3)) for k in range(2)]
        assert ours == pytest.approx(np.stack(theirs, axis=1), abs=1e-5)


def test_a_message_of_unknown_words_has_chances_too() -> None:
    net = Committee(_some(np.random.default_rng(7)))
    for told in ([], [["zyxq"]]):
        said, asked_for = net.of_whole(net.encode(told))
        assert all(0.0 < chance < 1.0 for chance in [*said.values(), *asked_for.values()])
    seen = net.encode([["zyxq"]])
    assert sum(net.of_numbers(seen, [0])[0].values()) == pytest.approx(1.0)
    assert net.of_numbers(seen, []) == {}


def _written(folder: Path, name: str, net: Networks, lists: dict[str, list[str]] = LISTS) -> Path:
    """Write a network as it is shipped."""
    weights = {key: array[0] for key, array in net.arrays.items()}
    np.savez_compressed(folder / name, **shipped(lists, net.rows[0], weights))
    return folder / name


def test_networks_are_read_as_they_were_written(tmp_path: Path) -> None:
    nets = [_some(np.random.default_rng(seed)) for seed in (8, 11)]
    paths = [_written(tmp_path, f"{i}.npz", net) for i, net in enumerate(nets)]
    with paths[0].open("rb") as one, paths[1].open("rb") as two:
        again = read_networks([one, two])
    assert (again.place, again.meanings, again.ways) == (nets[0].place, nets[0].meanings, nets[0].ways)
    for i, net in enumerate(nets):
        near = float(np.abs(net.rows).max()) / 250.0  # eight bits a weight
        assert again.rows[i] == pytest.approx(net.rows[0], abs=near)
        assert again.of_whole(again.encode(TOLD))[i] == pytest.approx(net.of_whole(net.encode(TOLD))[0], abs=0.5)


def test_networks_that_know_other_classes_are_refused(tmp_path: Path) -> None:
    net = _some(np.random.default_rng(12))
    one = _written(tmp_path, "one.npz", net)
    other = _written(tmp_path, "other.npz", net, {**LISTS, "meanings": ["twist", "step"]})
    with one.open("rb") as first, other.open("rb") as second, pytest.raises(ValueError, match="do not know the same"):
        read_networks([first, second])


def test_two_networks_tell_the_mean_of_their_log_odds() -> None:
    nets = _some(np.random.default_rng(9), 2)
    both, alone = Committee(nets), [Committee(_alone(nets, i)) for i in range(2)]
    odds = np.exp(nets.of_whole(nets.encode(TOLD)).astype(np.float64).mean(0))
    told = [chance for chances in both.of_whole(both.encode(TOLD)) for chance in chances.values()]
    assert told == pytest.approx(odds / (1.0 + odds))
    shares = [[*one.of_numbers(one.encode(TOLD), [1])[1].values()] for one in alone]
    middle = np.sqrt(np.array(shares[0]) * shares[1])
    assert [*both.of_numbers(both.encode(TOLD), [1])[1].values()] == pytest.approx(middle / middle.sum(), abs=1e-6)


def test_the_library_that_learns_scores_as_the_network_does(
    learning: ModuleType, examples: ModuleType, tables: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """JAX's own convolutions and attention, nothing dropped; skipped where what learns is not installed."""
    jax = pytest.importorskip("jax")
    monkeypatch.setattr(learning, "DROPPED", 0.0)
    monkeypatch.setattr(learning, "UNSAID", 0.0)
    net = _alone(committee().members, 0)
    monkeypatch.setattr(learning, "DEPTH", net.rows.shape[2])
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
    weights = {"rows": net.rows[0], **{name: array[0] for name, array in net.arrays.items()}}
    whole, numbers, _ = learning.scores(weights, table, jax.random.PRNGKey(0))
    for i, one in enumerate(said):
        seen = net.encode(one.features, one.asked)
        assert net.of_whole(seen)[0] == pytest.approx(np.asarray(whole[i]), abs=1e-2)
        assert net.of_numbers(seen, [[5, 0][i]])[0, 0] == pytest.approx(np.asarray(numbers[i, 0]), abs=1e-2)


def test_every_class_is_one_that_the_knowledge_has() -> None:
    known, net = load(), committee().members
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


def test_a_network_that_goes_on_learning_begins_with_what_it_knew(learning_on: ModuleType, tables: ModuleType) -> None:
    """Under other lists too, in which names are new, gone or in another order; skipped without JAX."""
    net = committee().members
    lists = tables.Lists(
        ["aardvark", *reversed(net.place)],
        ["zebra", *net.meanings[1:]],
        [*reversed(net.answers)],
        [*net.numbers, "unicorn"],
        [*net.readings],
    )
    weights = learning_on.carried(net, 1, lists, 5)
    again = Networks(
        {name: i for i, name in enumerate(lists.features, 1)},
        weights.pop("rows")[None],
        {name: array[None] for name, array in weights.items()},
        tuple(lists.meanings),
        tuple(lists.answers),
        tuple(lists.numbers),
        {name: i for i, name in enumerate(lists.readings)},
        tuple(lists.ways),
    )
    was, now = Committee(_alone(net, 1)), Committee(again)
    told = features(prepare("the face is closed by 4 thou over 3 inches"))
    before, after = was.of_whole(was.encode(told, "step")), now.of_whole(now.encode(told, "step"))
    for old, new in zip(before, after, strict=True):
        assert all(new[name] == pytest.approx(old[name], abs=1e-5) for name in old if name in new)
    assert {*after[0]} - {*before[0]} == {"zebra"}
    odds = [one.of_numbers(one.encode(told), [5])[5] for one in (was, now)]
    rest = sum(share for name, share in odds[1].items() if name != "unicorn")
    assert all(odds[1][name] / rest == pytest.approx(share, abs=1e-5) for name, share in odds[0].items())
    ways = [one.of_direction(one.encode(told), "face_out_of_square", 5) for one in (was, now)]
    assert ways[0] == pytest.approx(ways[1], abs=1e-5)


def test_the_networks_think_of_a_sentence_what_its_arrays_have_places_for(
    learning_on: ModuleType, examples: ModuleType, tables: ModuleType
) -> None:
    fact = Reading("face_out_of_square", -0.1016, over=76.2, unit="thou", words="")
    text = "the face is closed by 4 thou over 3 inches"
    said = [examples.example(examples.Labelled(text, examples.Context(), (fact,), False))]
    net = committee().members
    lists = tables.Lists(
        [*net.place], [*net.meanings], [*net.answers, "$new"], [*net.numbers], [*net.readings], "".join(net.ways)
    )
    thought = learning_on.opinions(committee(), said, lists)
    right = tables.arrays_of(said, lists, learning_on.LENGTHS[0])
    assert thought["said"][0, lists.meaning["face_out_of_square"]] > 0.5
    assert thought["said"][0, -1] == 0.0
    for k in (0, 1):
        assert thought["number"][0, k].argmax() == right["number"][0, k]
    assert thought["way"][0, 0].argmax() == right["way"][0, 0] == lists.ways.index("-")
    assert not thought["number"][0, 2:].any()
