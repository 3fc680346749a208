"""The tagger's word pieces: those of the encoder it starts from that class speech and common English need.

Kept are every piece the training classes and the move lexicon use, every single character, and then the
pieces the encoder's makers put first (their list is in order of frequency), up to ``SIZE``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from tokenizers import Tokenizer

__all__ = ["SIZE", "trimmed"]

SIZE = 11_000
SPECIAL = ("[PAD]", "[UNK]", "[CLS]")


def trimmed(source: Path, texts: Iterable[str], size: int = SIZE) -> tuple[str, list[int]]:
    """The trimmed tokenizer as JSON, and the ids of its pieces in the encoder's own vocabulary."""
    full: dict[str, Any] = json.loads(source.read_text(encoding="utf-8"))
    vocabulary: dict[str, int] = full["model"]["vocab"]
    coder = Tokenizer.from_str(json.dumps(full | {"truncation": None, "padding": None}))
    used: set[str] = set()
    for text in texts:
        used.update(coder.encode(text, add_special_tokens=False).tokens)
    ordered = sorted(vocabulary, key=vocabulary.__getitem__)
    plain = [t for t in ordered if not t.startswith("[")]
    single = [t for t in plain if len(t.removeprefix("##")) == 1 and t.isascii()]
    kept = dict.fromkeys((*SPECIAL, *single, *(t for t in plain if t in used)))
    for token in plain:
        if len(kept) >= size:
            break
        if token.isascii():
            kept.setdefault(token, None)
    tokens = list(kept)
    full["model"]["vocab"] = {t: i for i, t in enumerate(tokens)}
    full["added_tokens"] = [
        t | {"id": tokens.index(t["content"])} for t in full["added_tokens"] if t["content"] in SPECIAL
    ]
    full |= {"truncation": None, "padding": None, "post_processor": None}
    return json.dumps(full, ensure_ascii=False, separators=(",", ":")), [vocabulary[t] for t in tokens]
