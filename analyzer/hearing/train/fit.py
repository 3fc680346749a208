"""Fine-tuning: windows of classes in, a tagger out.

Each epoch draws windows from a random form and performance of every class and roughens them: pauses forgotten
(as in block transcripts), punctuation lost, words dropped, words misheard. Binary flags are rare, so their
positives weigh more. Seeds are fixed; on a CPU the result repeats, on a GPU to rounding.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from queue import Queue
from threading import Thread

import numpy as np
import numpy.typing as npt
import torch
from tokenizers import Tokenizer
from torch import Tensor, nn
from torch.nn import functional

from analyzer.hearing.labels import CHOICES, FLAGS, SPANS, WIDTH, columns
from analyzer.hearing.pieces import UNKNOWN, Pieces
from analyzer.hearing.train.data import Variant
from analyzer.hearing.train.encoder import Tagger

__all__ = ["Codes", "Settings", "fit", "predict"]

Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Settings:
    """How to train. Rates of AdamW for body and head; ``window`` in pieces, the class token included."""

    epochs: int = 180
    batch: int = 32
    window: int = 320
    body_rate: float = 1.2e-4
    head_rate: float = 1.5e-3
    decay: float = 0.01
    positive: float = 1.5
    dropout: float = 0.15
    average: float = 0.998
    lose_pauses: float = 0.25
    lose_marks: float = 0.3
    drop: float = 0.04
    blank: float = 0.06
    mishear: float = 0.03
    seed: int = 1


MISHEARD = (
    ("two", "to"), ("too", "two"), ("four", "for"), ("for", "four"), ("one", "won"), ("eight", "ate"),
    ("rest", "wrist"), ("wrist", "rest"), ("right", "write"), ("left", "lift"), ("lift", "left"),
    ("breath", "breathe"), ("breathe", "breath"), ("hold", "old"), ("knees", "niece"), ("heels", "hills"),
    ("squat", "squad"), ("plank", "blank"), ("lunge", "lunch"), ("core", "cor"), ("time", "dime"),
    ("seconds", "second"), ("halfway", "half"), ("switch", "which"), ("go", "though"),
)
"""What recognisers write for words of class speech: homophones and near ones (common practice, no source)."""


def misheard(coder: Tokenizer) -> npt.NDArray[np.int64]:
    """For each piece, the piece it may be misheard as (itself, where none is listed)."""
    swap = np.arange(coder.get_vocab_size())
    for said, written in MISHEARD:
        a, b = coder.token_to_id(said), coder.token_to_id(written)
        if a is not None and b is not None:
            swap[a] = b
    return swap


@dataclass(frozen=True, slots=True)
class Codes:
    """Ids of the class token and of an unknown piece, and what each piece may be misheard as."""

    classed: int
    unknown: int
    misheard: npt.NDArray[np.int64]

    @classmethod
    def of(cls, coder: Tokenizer) -> Codes:
        """Those of a tokenizer."""
        classed, unknown = coder.token_to_id("[CLS]"), coder.token_to_id("[UNK]")
        assert classed is not None, "vocabulary.SPECIAL keeps it"
        assert unknown is not None, "vocabulary.SPECIAL keeps it"
        return cls(classed, unknown, misheard(coder))


Batch = tuple[Tensor, Tensor, Tensor, Tensor, Tensor]


def _window(
    v: Variant, s: Settings, rng: np.random.Generator, codes: Codes
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """ids, pause, word row (or -1) of a random window, roughened."""
    total = len(v.pieces.ids)
    room = s.window - 1
    extra = int(room * 1.15) + 8
    low = int(rng.integers(-room // 2, max(1, total - room // 2)))
    a = (
        int(v.pieces.first[np.searchsorted(v.pieces.first, max(0, low))])
        if low > 0 and low <= v.pieces.first[-1]
        else 0
    )
    b = min(total, a + extra)
    ids, pause = v.pieces.ids[a:b].copy(), v.pieces.pause[a:b].copy()
    rows = np.full(b - a, -1, dtype=np.int64)
    i0, i1 = np.searchsorted(v.pieces.first, [a, b])
    rows[v.pieces.first[i0:i1] - a] = np.arange(i0, i1)
    keep = np.ones(b - a, dtype=bool)
    if rng.random() < s.lose_marks:
        keep &= ~v.marks[a:b] | (rows >= 0)
    if rng.random() < s.lose_pauses:
        pause[pause > 0] = UNKNOWN
    if rng.random() < 0.5:
        owner = np.cumsum(rows >= 0)
        gone = rng.random(int(owner[-1]) + 1) < s.drop * 2 * rng.random()
        labelled = np.zeros(int(owner[-1]) + 1, dtype=bool)
        firsts = rows >= 0
        labelled[owner[firsts]] = v.labels[rows[firsts], 2 * len(SPANS) - 0 : len(FLAGS)].any(axis=1)
        keep &= ~(gone & ~labelled)[owner]
    wrong = rng.random(b - a) < s.mishear
    ids[wrong] = codes.misheard[ids[wrong]]
    ids[rng.random(b - a) < s.blank] = codes.unknown
    ids, pause, rows = ids[keep][:room], pause[keep][:room], rows[keep][:room]
    return np.concatenate(([codes.classed], ids)), np.concatenate(([0], pause)), np.concatenate(([-1], rows))


def _batch(variants: Sequence[Variant], s: Settings, rng: np.random.Generator, codes: Codes) -> Batch:
    drawn = [_window(v, s, rng, codes) for v in variants]
    width = max(len(ids) for ids, _, _ in drawn)
    ids = np.zeros((len(drawn), width), dtype=np.int64)
    pause = np.zeros_like(ids)
    mask = np.zeros(ids.shape, dtype=bool)
    labels = np.full((*ids.shape, len(FLAGS) + len(CHOICES)), -1, dtype=np.int8)
    for k, (v, (i, p, r)) in enumerate(zip(variants, drawn, strict=True)):
        ids[k, : len(i)], pause[k, : len(p)], mask[k, : len(i)] = i, p, True
        at = np.flatnonzero(r >= 0)
        labels[k, at] = v.labels[r[at]]
    asked = labels[:, :, 0] >= 0
    return tuple(torch.from_numpy(x) for x in (ids, pause, mask, labels, asked))  # type: ignore[return-value]


def loss_of(logits: Tensor, labels: Tensor, asked: Tensor, positive: Tensor) -> Tensor:
    """Mean loss over the asked words: flags by weighted cross-entropy, choices by cross-entropy."""
    out, want = logits[asked].float(), labels[asked]
    flags = functional.binary_cross_entropy_with_logits(
        out[:, : len(FLAGS)], want[:, : len(FLAGS)].float(), pos_weight=positive
    )
    total = flags * len(FLAGS)
    for i, name in enumerate(CHOICES):
        answer = want[:, len(FLAGS) + i].long()
        if (answer >= 0).any():
            part = functional.cross_entropy(out[:, columns(name)], answer, ignore_index=-1)
            total = total + part * (1.0 if name in ("state", "phase") else 0.3)
    return total


@dataclass(frozen=True, slots=True)
class _Draws:
    """Batches, drawn one after the other: a class by its length, then one of its performances."""

    by_class: dict[str, list[Variant]]
    names: list[str]
    share: Floats
    settings: Settings
    rng: np.random.Generator
    codes: Codes

    def __call__(self) -> Batch:
        picked = self.rng.choice(len(self.names), size=self.settings.batch, p=self.share)
        rows = [self.by_class[self.names[i]] for i in picked]
        chosen = [row[int(self.rng.integers(len(row)))] for row in rows]
        return _batch(chosen, self.settings, self.rng, self.codes)


def _ahead(draw: Callable[[], Batch], steps: int, depth: int = 8) -> Iterator[Batch]:
    """The next batches, made in a thread while the network works; still in order, so still repeatable."""
    queue: Queue[Batch] = Queue(depth)

    def fill() -> None:
        for _ in range(steps):
            queue.put(draw())

    Thread(target=fill, daemon=True).start()
    for _ in range(steps):
        yield queue.get()


def fit(
    variants: Sequence[Variant],
    start: Callable[[], Tagger],
    s: Settings,
    *,
    codes: Codes,
    device: str = "cpu",
    say: Callable[[str], None] = print,
) -> Tagger:
    """Train on ``variants``; every class weighs by its length. Returns the average of the late weights."""
    torch.manual_seed(s.seed)
    rng = np.random.default_rng(s.seed)
    by_class: dict[str, list[Variant]] = {}
    for v in variants:
        by_class.setdefault(v.name, []).append(v)
    names = sorted(by_class)
    share = np.array([len(by_class[n][0].pieces.ids) for n in names], dtype=float)
    draws = max(s.batch, int(1.6 * share.sum() / s.window))
    steps = s.epochs * math.ceil(draws / s.batch)
    model = start().to(device)
    averaged = [p.detach().clone() for p in model.parameters()]
    head = [p for n, p in model.named_parameters() if n.startswith(("head", "pauses"))]
    body = [p for n, p in model.named_parameters() if not n.startswith(("head", "pauses"))]
    groups = [{"params": body, "lr": s.body_rate}, {"params": head, "lr": s.head_rate}]
    optimizer = torch.optim.AdamW(groups, weight_decay=s.decay, fused=device != "cpu")
    warm = max(1, steps // 12)
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimizer,
        lambda k: (
            min(1.0, (k + 1) / warm) * (0.03 + 0.97 * 0.5 * (1 + math.cos(math.pi * min(1.0, k / steps))))
        ),
    )
    positive = torch.full((len(FLAGS),), s.positive, device=device)
    began = time.monotonic()
    model.train()
    draw = _Draws(by_class, names, share / share.sum(), s, rng, codes)
    for step, batch in enumerate(_ahead(draw, steps)):
        ids, pause, mask, labels, asked = (t.to(device, non_blocking=True) for t in batch)
        with torch.autocast(device_type=device.split(":")[0], dtype=torch.bfloat16, enabled=device != "cpu"):
            logits = model(ids, pause, mask)
        loss = loss_of(logits, labels, asked, positive)
        optimizer.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimizer.step()
        schedule.step()
        keep = min(s.average, (step + 1) / (step + 20))
        with torch.no_grad():
            torch._foreach_lerp_(averaged, list(model.parameters()), 1 - keep)
        if step % max(1, steps // 6) == 0 or step == steps - 1:
            say(f"  step {step + 1}/{steps} loss {float(loss.detach()):.3f} {time.monotonic() - began:.0f} s")
    with torch.no_grad():
        for p, mean in zip(model.parameters(), averaged, strict=True):
            p.copy_(mean)
    return model.eval()


def predict(
    model: Tagger, p: Pieces, *, classed: int, window: int = 320, overlap: int = 128, device: str = "cpu"
) -> Floats:
    """Logits of every word, (words, WIDTH): windows overlap, and weigh most in their middle."""
    total = len(p.ids)
    room = window - 1
    starts = list(range(0, max(1, total - room), room - overlap)) + ([total - room] if total > room else [])
    starts = sorted({max(0, a) for a in starts})
    rows = [
        (np.concatenate(([classed], p.ids[a : a + room])), np.concatenate(([0], p.pause[a : a + room])))
        for a in starts
    ]
    width = max(len(i) for i, _ in rows)
    ids = np.zeros((len(rows), width), dtype=np.int64)
    pause, mask = np.zeros_like(ids), np.zeros(ids.shape, dtype=bool)
    for k, (i, q) in enumerate(rows):
        ids[k, : len(i)], pause[k, : len(i)], mask[k, : len(i)] = i, q, True
    with torch.no_grad():
        tensors = (torch.from_numpy(x).to(device) for x in (ids, pause, mask))
        logits = model(*tensors).float().cpu().numpy()
    summed = np.zeros((total, WIDTH), dtype=np.float64)
    weights = np.zeros((total, 1))
    for k, a in enumerate(starts):
        n = int(mask[k].sum()) - 1
        near = np.minimum(np.arange(n) + 1.0, n - np.arange(n))[:, None]
        summed[a : a + n] += logits[k, 1 : n + 1] * near
        weights[a : a + n] += near
    return (summed / weights)[p.first].astype(np.float32)
