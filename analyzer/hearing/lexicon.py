"""The move lexicon: what moves are called, what they are, and what a trainer can say about each.

Data lives in ``language/en/moves``: one TOML file a family with a ``[[move]]`` table for each move, and
``_grammar.toml`` for how names are bent in speech. A house file, in the same form, adds moves, or overrides
single fields of a move by giving its name.

Names are compared by their tokens (:func:`tokens`) without plural endings, accents, hyphens or spaces, so
"Push-Ups", "push up" and "pushup" are one name. No two moves share a name, an alias or a mishearing.
Where a name comes from a published programme its ``source`` says so; all else is common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property, lru_cache
from pathlib import Path

from analyzer.hearing.moves import GRAMMAR, LexiconError, Move, MoveTable, read_grammar, read_moves
from analyzer.hearing.spelling import Spelling, tokens

__all__ = ["Lexicon", "LexiconError", "Move", "load", "tokens"]

# which field answers which kind of coaching cue
_SAYS = {
    "regression": "easier", "progression": "harder", "form": "form", "breathing": "breathing",
    "safety": "cautions",
}


class Lexicon:
    """All moves by all their names. Made by :func:`load`."""

    def __init__(self, moves: tuple[Move, ...], spelling: Spelling) -> None:
        self.moves = moves
        self._spelling = spelling
        key = spelling.key
        # later moves (those of a house file) win over earlier ones, names over mishearings
        self._named = {key(name): move for move in moves for name in (*move.aliases, move.name)}
        self._misheard = {key(name): move for move in moves for name in move.mishearings}
        self._repairs = {
            tokens(said)[0]: tokens(move.name)[0]
            for move in moves if len(tokens(move.name)) == 1
            for said in move.mishearings if len(tokens(said)) == 1
        }

    def __iter__(self) -> Iterator[Move]:
        return iter(self.moves)

    def __len__(self) -> int:
        return len(self.moves)

    def find(self, name: str) -> Move | None:
        """The move that goes by a name, alias or mishearing, else the move of its head noun, else None.

        >>> lexicon = load()
        >>> [move.name for said in ("Press-Ups", "slow reverse lunges", "zombie lunge", "squats with a clap")
        ...  if (move := lexicon.find(said))]
        ['push-up', 'reverse lunge', 'lunge', 'squat']
        >>> lexicon.find("office chair") is None
        True
        """
        said = tokens(name)
        repaired = tuple(self._repairs.get(word, word) for word in said)
        shorter = [form for words in dict.fromkeys((said, repaired)) for form in self._trimmed(words)]
        for words in shorter:
            key = self._spelling.joined(words)
            if move := self._named.get(key) or self._misheard.get(key):
                return move
        for words in shorter:
            for start in range(1, len(words)):
                tail = words[start:]
                if len(tail) == 1 and self._spelling.stem(tail[0]) in self._spelling.alone:
                    continue
                if move := self._named.get(self._spelling.joined(tail)):
                    return move
        return None

    def names(self) -> frozenset[tuple[str, ...]]:
        """Every name, alias and mishearing as tokens; hyphenated ones in one word too ("push-up", "pushup").

        >>> {("push", "up"), ("pushup",), ("reverse", "lunches")} <= load().names()
        True
        """
        return self._names

    def everyday(self) -> frozenset[tuple[str, ...]]:
        """Those of :meth:`names` that are ordinary words too, and prove no move when heard alone.

        >>> ("chair",) in load().everyday(), ("chair", "pose") in load().everyday()
        (True, False)
        """
        return frozenset(filter(self._spelling.is_everyday, self._names))

    def family(self, name: str) -> str | None:
        """The family of the move that :meth:`find` gives, None where it gives none.

        >>> load().family("goblet squats")
        'squats'
        """
        move = self.find(name)
        return move.family if move else None

    def suggest(self, name: str, kind: str) -> str | None:
        """A sentence to say for a move, by kind of coaching cue; None for an unknown move or kind.

        >>> load().suggest("lunges", "regression")
        'Make the step short and the dip shallow.'
        """
        move = self.find(name)
        if move is None or kind not in _SAYS:
            return None
        said = getattr(move, _SAYS[kind])
        return said if isinstance(said, str) else next(iter(said), None)

    @cached_property
    def _names(self) -> frozenset[tuple[str, ...]]:
        said = [n for move in self.moves for n in (move.name, *move.aliases, *move.mishearings)]
        return frozenset(map(tokens, said)) | {tokens(n.replace("-", "")) for n in said if "-" in n}

    def _trimmed(self, words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        """The words, then without what follows a preposition, then without one tail word after another."""
        yield words
        cut = next((i for i, word in enumerate(words) if i and word in self._spelling.after), len(words))
        for end in range(cut, 0, -1):
            yield words[:end]
            if self._spelling.stem(words[end - 1]) not in self._spelling.tails:
                return


@lru_cache(maxsize=8)
def load(folder: Path | None = None, house: Path | None = None) -> Lexicon:
    """The moves of a folder (the English ones unless told), with those of a house file over them.

    A house entry with the name of a move overrides the fields it gives; any other adds a move and gives all
    fields. Where it goes by an alias or a mishearing of another move, the house wins. Read once a process
    for each pair of arguments. Raises :class:`LexiconError`, which names the file, the line and the
    entry, for anything that is missing, unknown or said twice.
    """
    folder = folder or Path(__file__).parents[1] / "language" / "en" / "moves"
    paths = sorted(path for path in folder.glob("*.toml") if path.name != GRAMMAR)
    if not paths:
        raise LexiconError(path=folder, what="no move files", todo="Name a folder that holds *.toml files.")
    spelling = Spelling(read_grammar(folder))
    key = spelling.key
    tables = [table for path in paths for table in read_moves(path)]
    owners = _owners(tables, key, {})
    if house:
        named = {key(table.name): table for table in tables}
        added = [
            table.over(named[key(table.name)]) if key(table.name) in named else table
            for table in read_moves(house)
        ]
        _owners(added, key, owners)
        replaced = {key(table.name) for table in added}
        tables = [table for table in tables if key(table.name) not in replaced] + added
    return Lexicon(tuple(table.move() for table in tables), spelling)


def _owners(
    tables: Iterable[MoveTable], key: Callable[[str], str], taken: Mapping[str, MoveTable]
) -> dict[str, MoveTable]:
    """Which table each name belongs to; no two share one, and none takes the name of one in ``taken``."""
    owners: dict[str, MoveTable] = {}
    for table in tables:
        for field in ("name", "aliases", "mishearings"):
            value = table.fields.get(field, ())
            for said in (value,) if isinstance(value, str) else value:
                at = key(said)
                other = owners.setdefault(at, table)
                if other is table and at in taken and at == key(taken[at].name) != key(table.name):
                    other = taken[at]
                if other is not table:
                    line = other.line()
                    raise table.error(
                        f'"{said}" already belongs to "{other.name}" ({other.path.name}:{line})',
                        f'Take it out, or write name = "{other.name}" to change that move.', field,
                    )
    return owners
