"""A message made ready for reading: cleaned, folded, and masked where a reader has taken its part.

Readers work on `folded`, which is lower case without accents and has exactly one character for
each of `original`, so that a span means the same in both. A span that one reader has understood is
replaced by `TAKEN`, and no later reader sees it: "june 6" cannot also be a count of six.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Generic, TypeVar

T = TypeVar("T")
Span = tuple[int, int]

TAKEN = "\0"
# Chat channels cut messages at 4,096 characters; what lies beyond twice that is not a brief.
LONGEST_READ = 8_192

_TYPED = str.maketrans(
    {
        "’": "'",
        "‘": "'",
        "′": "'",
        "ʼ": "'",
        "`": "'",
        "´": "'",
        "“": '"',
        "”": '"',
        "″": '"',
        "–": "-",
        "—": "-",
        "−": "-",
        "‑": "-",
        "×": "x",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
    }
)
_WORD = re.compile(r"[^\W_]+(?:'[^\W\d_]+)?")


@dataclass(frozen=True, slots=True)
class Word:
    """One word, without its apostrophe ("valentine's" reads "valentines")."""

    text: str
    start: int
    end: int
    follows: bool = False  # only a space or a hyphen stands between it and the word before


@dataclass(frozen=True, slots=True)
class Hit(Generic[T]):
    """A phrase of a table found at words `first` to `last`, both included."""

    value: T
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Passage:
    original: str
    folded: str

    @classmethod
    def of(cls, text: str) -> "Passage":
        original = _clean(text)
        return cls(original, "".join(map(_fold, original)))

    def without(self, spans: Iterable[Span]) -> "Passage":
        """The same passage with the spans masked."""
        chars = list(self.folded)
        for start, end in spans:
            chars[start:end] = TAKEN * (end - start)
        return Passage(self.original, "".join(chars))

    def words(self) -> list[Word]:
        return list(_words(self.folded))


# Many readers look at one passage, each of them word by word.
@lru_cache(maxsize=32)
def _words(folded: str) -> tuple[Word, ...]:
    words: list[Word] = []
    for found in _WORD.finditer(folded):
        gap = folded[words[-1].end : found.start()] if words else TAKEN
        text = found.group().replace("'", "")
        words.append(Word(text, found.start(), found.end(), gap.strip(" ") in ("", "-")))
    return tuple(words)


class Phrases(Generic[T]):
    """A table of phrases of one or more words, looked up longest first in linear time."""

    def __init__(self, table: Mapping[str, T]) -> None:
        self._table = {tuple(phrase.split()): value for phrase, value in table.items()}
        self._longest: dict[str, int] = {}
        for words in self._table:
            self._longest[words[0]] = max(len(words), self._longest.get(words[0], 0))

    def at(self, words: list[Word], index: int) -> Hit[T] | None:
        longest = self._longest.get(words[index].text)
        if longest is None:
            return None
        run = [words[index].text]
        for word in words[index + 1 : index + longest]:
            if not word.follows:
                break
            run.append(word.text)
        for size in range(len(run), 0, -1):
            key = tuple(run[:size])
            if key in self._table:
                return Hit(self._table[key], index, index + size - 1)
        return None

    def find(self, words: list[Word]) -> list[Hit[T]]:
        hits, index = [], 0
        while index < len(words):
            hit = self.at(words, index)
            if hit:
                hits.append(hit)
            index = hit.last + 1 if hit else index + 1
        return hits


def _clean(text: str) -> str:
    # Twice the limit bounds the work before normalising, which can lengthen a text.
    typed = text[: 2 * LONGEST_READ].translate(_TYPED)
    composed = unicodedata.normalize("NFKC", typed).replace("''", '"')
    return "".join(filter(None, map(_visible, composed)))[:LONGEST_READ]


def _visible(char: str) -> str:
    if char in "\n\r":
        return "\n"
    if char.isspace():
        return " "
    return "" if unicodedata.category(char) in ("Cc", "Cf", "Cs", "Co", "Cn") else char


def _fold(char: str) -> str:
    if char.isascii():
        return char.lower()
    return unicodedata.normalize("NFD", char.lower())[0]
