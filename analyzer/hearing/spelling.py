"""How names of moves are spelt and bent: their tokens, and the key by which two spellings are one name."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

__all__ = ["Spelling", "tokens"]

WORD = re.compile(r"[^\W_]+")


@lru_cache(maxsize=1 << 14)
def tokens(name: str) -> tuple[str, ...]:
    """The words of a name: lower case, apostrophes gone, split at hyphens and all other punctuation.

    >>> tokens("Child's Pose"), tokens("ninety-ninety")
    (('childs', 'pose'), ('ninety', 'ninety'))
    """
    return tuple(WORD.findall(name.lower().replace("'", "").replace("’", "")))


class Spelling:
    """A language's rules for names, from its ``_grammar.toml``; without rules only a plain "s" is a plural.

    ``after`` are words before which a name ends, ``tails`` words at the end that are no part of it, ``alone``
    names that are no head noun. ``tails`` and ``alone`` hold stems.
    """

    def __init__(self, grammar: Mapping[str, Any]) -> None:
        self._plurals = tuple((str(end), str(singular)) for end, singular in grammar.get("plurals", ()))
        self._stems: dict[str, str] = {}
        self._keys: dict[str, str] = {}
        self.after = frozenset(map(str, grammar.get("after", ())))
        self.tails = frozenset(map(self.stem, grammar.get("tails", ())))
        self.alone = frozenset(map(self.stem, grammar.get("alone", ())))
        phrases = filter(None, map(tokens, grammar.get("everyday", ())))
        self._everyday = frozenset(words if len(words) > 1 else (self.stem(words[0]),) for words in phrases)

    def stem(self, word: str) -> str:
        """A token without its accents and its plural ending.

        >>> Spelling({"plurals": [["ches", "ch"]]}).stem("crunches"), Spelling({}).stem("pliés")
        ('crunch', 'plie')
        """
        stem = self._stems.get(word)
        if stem is None:
            stem = self._stems[word] = self._singular(word if word.isascii() else _plain(word))
        return stem

    def key(self, name: str) -> str:
        """What a name is compared by: two names with one key are the same name.

        >>> Spelling({}).key("Push-Ups") == Spelling({}).key("pushup")
        True
        """
        key = self._keys.get(name)
        if key is None:
            key = self._keys[name] = self.joined(tokens(name))
        return key

    def joined(self, words: tuple[str, ...]) -> str:
        """The key of a name that is in tokens already."""
        return "".join(map(self.stem, words))

    def is_everyday(self, words: tuple[str, ...]) -> bool:
        """Whether a name in tokens is listed as an ordinary word (in either number) or phrase."""
        return (words if len(words) > 1 else tuple(map(self.stem, words))) in self._everyday

    def _singular(self, word: str) -> str:
        for end, singular in self._plurals:
            if word.endswith(end) and len(word) > len(end) + 1:
                return word.removesuffix(end) + singular
        return word[:-1] if len(word) > 2 and word.endswith("s") and not word.endswith("ss") else word


def _plain(word: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", word) if not unicodedata.combining(c))
