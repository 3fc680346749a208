"""The spaCy pipeline: one Doc a class, one token a word, what was heard in named span groups.

Two components: ``class_tagger`` writes the trained scores to ``doc.tensor`` (words, WIDTH); ``class_spans``
writes the span groups "lengths", "time calls", "moves" and one a kind of coaching cue ("form", ...). A span's
label is its kind, ``span._.value`` its seconds or fraction (None for the others), ``span._.p`` its
probability, ``span._.sure`` whether a unit was said (lengths) or the lexicon has the name (moves).
Tokens are the words of the captions, so that token i is word i; ``token.norm_`` is what patterns read.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import spacy
from spacy.language import Language
from spacy.tokens import Doc, Span

from analyzer.captions.records import Timing
from analyzer.hearing import tagger
from analyzer.hearing.heard import Called, Heard, Named, listen
from analyzer.hearing.numbers import Length
from analyzer.hearing.pieces import pause_buckets, pieces, tokenizer
from analyzer.hearing.spans import Found
from analyzer.outline.records import CUE_KINDS
from analyzer.words import Word

__all__ = ["hear", "heard_in", "pipeline"]


def _said(key: str) -> Callable[[Span], Any]:
    return lambda span: span.doc._.said[span.id_][key]


# spaCy keeps the attributes of a span by its place alone, and a length, a call and a cue may share one: these
# are kept by the span's id
Span.set_extension("value", getter=_said("value"), force=True)
Span.set_extension("p", getter=_said("p"), force=True)
Span.set_extension("sure", getter=_said("sure"), force=True)
Doc.set_extension("said", default=None, force=True)
Doc.set_extension("pauses", default=None, force=True)


@Language.component("class_tagger")
def class_tagger(doc: Doc) -> Doc:
    """Scores of every word; pauses come in as ``doc._.pauses``."""
    coder = tokenizer()
    p = pieces([t.text for t in doc], np.asarray(doc._.pauses, dtype=np.int64), coder)
    class_id = coder.token_to_id(tagger.CLASS_TOKEN)
    assert class_id is not None, "the tokenizer in the package has it"
    doc.tensor = tagger.logits(p, class_id)  # type: ignore[assignment]  # spaCy's stub says float64
    return doc


@Language.component("class_spans")
def class_spans(doc: Doc) -> Doc:
    """Span groups of everything heard."""
    heard = listen([t.norm_ for t in doc], np.asarray(doc.tensor, dtype=np.float32))

    said: dict[str, dict[str, Any]] = {}
    doc._.said = said

    def span(first: int, last: int, label: str, value: float | None, p: float, sure: bool = False) -> Span:
        key = f"{label} {len(said)}"
        said[key] = {"value": value, "p": p, "sure": sure}
        return Span(doc, first, last, label=label, span_id=key)

    doc.spans["lengths"] = [span(x.first, x.last, "length", x.seconds, 1.0, x.unit) for x in heard.lengths]
    doc.spans["time calls"] = [
        span(c.span.first, c.span.last, c.span.kind, c.value, c.span.p) for c in heard.calls
    ]
    doc.spans["moves"] = [
        span(n.span.first, n.span.last, "move", None, n.span.p, n.known) for n in heard.names
    ]
    for kind in CUE_KINDS:
        doc.spans[kind] = [span(c.first, c.last, kind, None, c.p) for c in heard.cues if c.kind == kind]
    return doc


@lru_cache(maxsize=1)
def pipeline() -> Language:
    """The pipeline, built once a process."""
    nlp = spacy.blank("en")
    nlp.add_pipe("class_tagger")
    nlp.add_pipe("class_spans")
    return nlp


def hear(words: Sequence[Word], timing: Timing) -> Doc:
    """The class as a Doc: token i is ``words[i]``."""
    nlp = pipeline()
    doc = Doc(nlp.vocab, words=[w.text for w in words])
    for token, word in zip(doc, words, strict=True):
        token.norm_ = word.norm or word.text.lower()
    doc._.pauses = pause_buckets(words, timing)
    return nlp(doc)


def heard_in(doc: Doc) -> Heard:
    """The plain records of a Doc's span groups."""

    def found(span: Span) -> Found:
        return Found(span.label_ if span.label_ != "move" else "name", span.start, span.end, span._.p)

    cues = sorted((found(s) for kind in CUE_KINDS for s in doc.spans[kind]), key=lambda s: (s.first, s.kind))
    return Heard(
        norms=tuple(t.norm_ for t in doc),
        logits=np.asarray(doc.tensor, dtype=np.float32),
        lengths=tuple(Length(s.start, s.end, s._.value, s._.sure) for s in doc.spans["lengths"]),
        calls=tuple(Called(found(s), s._.value) for s in doc.spans["time calls"]),
        cues=tuple(cues),
        names=tuple(Named(found(s), s._.sure) for s in doc.spans["moves"]),
    )
