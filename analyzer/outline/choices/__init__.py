"""What an interval was told to last, what its move is called, which side it is on.

Each is a choice among candidates heard in the class. A candidate has a row of features; its score is their
weighted sum, its probability the softmax over the candidates (a conditional logit). Weights are fitted on
classes (``hearing.train.choices``). Intervals are settled in order of time: each leans on those before it.
"""

from __future__ import annotations

from analyzer.outline.choices.lengths import LENGTH_FEATURES, blind, length_options
from analyzer.outline.choices.names import NAME_FEATURES, name_options, same, stem, tokens
from analyzer.outline.choices.records import Class, Length, Settled, settle, with_setup
from analyzer.outline.choices.sides import SIDE_FEATURES, side_options

__all__ = [
    "LENGTH_FEATURES",
    "NAME_FEATURES",
    "SIDE_FEATURES",
    "Class",
    "Length",
    "Settled",
    "blind",
    "length_options",
    "name_options",
    "same",
    "settle",
    "side_options",
    "stem",
    "tokens",
    "with_setup",
]
