"""The tagger's network: a small BERT-shaped encoder with a pause embedding and one linear head.

Started from all-MiniLM-L6-v2 (Apache 2.0), whose weights are checked by their published SHA-256.
Needs torch and safetensors (the ``train`` extra).
"""

from __future__ import annotations

import hashlib
from pathlib import Path

import torch
from torch import Tensor, nn
from torch.nn import functional

from analyzer.hearing.labels import WIDTH
from analyzer.hearing.pieces import PAUSES

__all__ = ["HIDDEN", "LAYERS", "PRETRAINED_SHA256", "Tagger", "pretrained"]

PRETRAINED_SHA256 = "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db"
"""Of model.safetensors as its makers published it."""
HIDDEN, HEADS, LAYERS, INNER, POSITIONS = 384, 12, 6, 1536, 512


class Layer(nn.Module):
    """Self-attention and a feed-forward net, each with a residual and a layer norm after it."""

    def __init__(self, dropout: float) -> None:
        super().__init__()
        self.qkv = nn.Linear(HIDDEN, 3 * HIDDEN)
        self.out = nn.Linear(HIDDEN, HIDDEN)
        self.norm1 = nn.LayerNorm(HIDDEN, eps=1e-12)
        self.up = nn.Linear(HIDDEN, INNER)
        self.down = nn.Linear(INNER, HIDDEN)
        self.norm2 = nn.LayerNorm(HIDDEN, eps=1e-12)
        self.dropout = nn.Dropout(dropout)

    def forward(self, x: Tensor, mask: Tensor) -> Tensor:
        """``x`` (batch, length, HIDDEN); ``mask`` (batch, length), True where there is a piece."""
        batch, length, _ = x.shape
        q, k, v = self.qkv(x).view(batch, length, 3, HEADS, HIDDEN // HEADS).permute(2, 0, 3, 1, 4)
        attended = functional.scaled_dot_product_attention(q, k, v, attn_mask=mask[:, None, None, :])
        x = self.norm1(x + self.dropout(self.out(attended.transpose(1, 2).reshape(batch, length, HIDDEN))))
        return self.norm2(x + self.dropout(self.down(functional.gelu(self.up(x)))))


class Tagger(nn.Module):
    """Pieces and pauses in, one row of logits a piece out."""

    def __init__(self, vocabulary: int, layers: int = LAYERS, dropout: float = 0.1) -> None:
        super().__init__()
        self.pieces = nn.Embedding(vocabulary, HIDDEN)
        self.positions = nn.Embedding(POSITIONS, HIDDEN)
        self.pauses = nn.Embedding(PAUSES, HIDDEN)
        self.norm = nn.LayerNorm(HIDDEN, eps=1e-12)
        self.layers = nn.ModuleList(Layer(dropout) for _ in range(layers))
        self.dropout = nn.Dropout(dropout)
        self.head = nn.Linear(HIDDEN, WIDTH)
        nn.init.zeros_(self.pauses.weight)
        nn.init.normal_(self.head.weight, std=0.02)
        nn.init.zeros_(self.head.bias)

    def forward(self, ids: Tensor, pause: Tensor, mask: Tensor) -> Tensor:
        """Logits, (batch, length, WIDTH)."""
        where = torch.arange(ids.shape[1], device=ids.device)
        x = self.pieces(ids) + self.positions(where)[None] + self.pauses(pause)
        x = self.dropout(self.norm(x))
        for layer in self.layers:
            x = layer(x, mask)
        return self.head(self.dropout(x))


def pretrained(path: Path, kept: list[int], dropout: float = 0.1, *, checked: bool = True) -> Tagger:
    """A Tagger with the published encoder's weights and its word pieces ``kept`` (ids of its vocabulary).

    ``checked`` compares the file's SHA-256 with the published one and raises ValueError where it differs;
    only a half-precision copy made from a checked file may pass without.
    """
    from safetensors.torch import load_file

    if checked and (found := hashlib.sha256(path.read_bytes()).hexdigest()) != PRETRAINED_SHA256:
        raise ValueError(f"{path}: SHA-256 {found}, not the published {PRETRAINED_SHA256}")
    given = {k.removeprefix("bert."): v.float() for k, v in load_file(path).items()}
    model = Tagger(len(kept), dropout=dropout)
    own = {
        "pieces.weight": given["embeddings.word_embeddings.weight"][kept],
        # token type 0 is all a single text uses: fold it into the positions
        "positions.weight": given["embeddings.position_embeddings.weight"]
        + given["embeddings.token_type_embeddings.weight"][0],
        "norm.weight": given["embeddings.LayerNorm.weight"],
        "norm.bias": given["embeddings.LayerNorm.bias"],
    }
    renamed = {
        "attention.output.dense": "out",
        "attention.output.LayerNorm": "norm1",
        "intermediate.dense": "up",
        "output.dense": "down",
        "output.LayerNorm": "norm2",
    }
    for i in range(LAYERS):
        base = f"encoder.layer.{i}."
        for part in ("weight", "bias"):
            rows = [given[f"{base}attention.self.{n}.{part}"] for n in ("query", "key", "value")]
            own[f"layers.{i}.qkv.{part}"] = torch.cat(rows)
            for theirs, ours in renamed.items():
                own[f"layers.{i}.{ours}.{part}"] = given[f"{base}{theirs}.{part}"]
    missing = model.load_state_dict(own, strict=False)
    assert not missing.unexpected_keys, missing.unexpected_keys
    return model
