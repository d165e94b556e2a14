"""What the shop keeps that comes nearest to a colour that the client named, or showed."""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import itemgetter
from typing import Protocol
from unicodedata import normalize

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.understanding.lexicon.hues import FAMILIES, HUES, NOT_HUES, PLAIN_HUES, SPELLINGS
from bot.understanding.shading import TINTS, difference, mixed, tinted


class Shade(Protocol):
    """A colour that the shop keeps; `hex` like `#a3b899`."""

    @property
    def name(self) -> str: ...

    @property
    def hex(self) -> str: ...


@dataclass(frozen=True, kw_only=True)
class Near:
    """A shade of the stock, and how far it is from what was asked for: CIEDE2000 with k_L 1.5.

    0 is the very colour, by the shop's own name or another that the shop gave it.
    """

    name: str
    hex: str
    distance: float


# Of two colours that are said together, the second's share: "blue green" is as much the one as the
# other, while "peach pink" is peach. Common practice, no source.
_OF_TWO, _OF_KIND = 0.5, 0.2
# "Blue grey" and "grey blue" are both more of the grey.
_OF_GREY = 0.65

# A lighter sage is still a sage, while a grey that is a little green is no grey: with CIEDE2000 as
# it stands, dark grey comes nearest to purple and lime to yellow. Textiles are judged with 2, by
# which blood red is a terracotta; between them lies what a decorator would take.
_LIGHTNESS = 1.5

_MOST_WORDS = 5
_NEARLY_AS_NEAR = 4.0  # CIEDE2000
_LEAST, _LONG_ENOUGH, _LONG = 4, 6, 9  # letters of a word that is mended
_BETWEEN = re.compile(r"[^a-z0-9]+")
_WORDS = frozenset(word for name in (*HUES, *FAMILIES, *TINTS) for word in name.split())


def nearest(
    words: str, stock: Sequence[Shade], aliases: Mapping[str, str], most: int = 3
) -> tuple[Near, ...]:
    """At most `most` shades for a colour in plain English, the nearest first.

    `aliases` are other names of the stock's shades, alias → name. A name for several colours
    ("earth tones") gives one shade for each. () for what is no colour that we know.
    """
    known = _known(tuple(stock), tuple(aliases.items()))
    tokens = tuple(_plain(words).split())
    if not 0 < len(tokens) <= _MOST_WORDS:
        return ()
    for said in dict.fromkeys((tokens, known.mended(tokens)[:_MOST_WORDS])):
        if (family := FAMILIES.get(" ".join(said))) is not None:
            colours = (known.colour((name,)) or HUES[name] for name in family)
            return nearest_to(tuple(colours), stock, most)
        if (colour := known.colour(said)) is not None:
            return _ranked(colour, stock, known.shade(said))[:most]
    return ()


def kept_as(words: str, stock: Sequence[Shade], aliases: Mapping[str, str]) -> str | None:
    """The shop's name for the colour that it calls `words`; None where it has no such name."""
    known = _known(tuple(stock), tuple(aliases.items()))
    shade = known.shade(tuple(_plain(words).split()))
    return None if shade is None else shade.name


def nearest_to(hexes: Sequence[str], stock: Sequence[Shade], most: int) -> tuple[Near, ...]:
    """At most `most` different shades for the colours of a picture, most prominent first.

    Two colours that come down to one shade give that shade once, unless another is as near.
    """
    chosen: dict[str, Near] = {}
    for colour in hexes:
        ranked = _ranked(colour, stock)
        close = [near for near in ranked if near.distance <= ranked[0].distance + _NEARLY_AS_NEAR]
        free = next((near for near in close if near.name not in chosen), None)
        if free is not None and len(chosen) < most:
            chosen[free.name] = free
    return tuple(chosen.values())


def _ranked(colour: str, stock: Sequence[Shade], own: Shade | None = None) -> tuple[Near, ...]:
    """All of `stock` by its difference from `colour`, which is the very shade `own`."""
    ranked = [(one != own, difference(colour, one.hex.lower(), _LIGHTNESS), one) for one in stock]
    return tuple(
        Near(name=one.name, hex=one.hex, distance=distance if other else 0.0)
        for other, distance, one in sorted(ranked, key=itemgetter(0, 1))
    )


class _Known:
    """The names that the shop and everybody else has for colours."""

    def __init__(self, stock: Sequence[Shade], aliases: Mapping[str, str]) -> None:
        by_name = {_plain(shade.name): shade for shade in stock}
        others = {_plain(alias): by_name.get(_plain(name)) for alias, name in aliases.items()}
        self._shades = {**{name: shade for name, shade in others.items() if shade}, **by_name}
        self._joined = {**_joined(HUES), **_joined(self._shades)}
        self._words = _WORDS.union(*(name.split() for name in self._shades))

    def mended(self, tokens: tuple[str, ...]) -> tuple[str, ...]:
        """`tokens` with plurals and slips of the pen set right, and words parted that were run
        together."""
        whole = self._joined.get("".join(tokens))
        words = [whole] if whole else [self._mended(token) for token in tokens]
        return tuple(" ".join(words).split())

    def _mended(self, token: str) -> str:
        if token in self._words or token in NOT_HUES:
            return token
        if token.removesuffix("s") in self._words:
            return token.removesuffix("s")
        return self._joined.get(token) or _without_slip(token, self._words) or token

    def shade(self, tokens: tuple[str, ...]) -> Shade | None:
        """The shop's own shade of that name."""
        return self._shades.get(" ".join(tokens))

    def colour(self, tokens: tuple[str, ...]) -> str | None:
        """What `tokens` look like; None where a word among them is no colour and no tint."""
        if (shade := self.shade(tokens)) is not None:
            return shade.hex.lower()
        if (hue := HUES.get(" ".join(tokens))) is not None:
            return hue
        return (self._tinted(tokens) or self._mixed(tokens)) if len(tokens) > 1 else None

    def _tinted(self, tokens: tuple[str, ...]) -> str | None:
        for tint, rest in ((tokens[0], tokens[1:]), (tokens[-1], tokens[:-1])):
            if tint in TINTS and (colour := self.colour(rest)) is not None:
                return tinted(colour, TINTS[tint])
        return None

    def _mixed(self, tokens: tuple[str, ...]) -> str | None:
        first, second = self.colour(tokens[:-1]), self.colour(tokens[-1:])
        if first is None or second is None:
            return None
        if tokens[0] not in PLAIN_HUES:
            share = _OF_KIND
        else:
            share = {tokens[-1]: _OF_GREY, tokens[0]: 1 - _OF_GREY}.get("grey", _OF_TWO)
        return mixed(first, second, share)


@lru_cache(maxsize=8)
def _known(stock: tuple[Shade, ...], aliases: tuple[tuple[str, str], ...]) -> _Known:
    """A shop's names change seldom, and its clients name colours all day."""
    return _Known(stock, dict(aliases))


def _plain(words: str) -> str:
    """`words` in small letters without accents, points and hyphens, and in one spelling."""
    letters = normalize("NFKD", words.lower()).encode("ascii", "ignore").decode()
    tokens = _BETWEEN.sub(" ", letters.replace("'", "")).split()
    return " ".join(SPELLINGS.get(token, token) for token in tokens)


def _joined(names: Iterable[str]) -> dict[str, str]:
    return {name.replace(" ", ""): name for name in names}


def _without_slip(token: str, words: Collection[str]) -> str | None:
    """The word that `token` was meant to be, where it is one slip away, or two if it is long.

    A slip in a short word makes another word ("tea", "brush"): there only two letters that
    changed places count.
    """
    long = len(token) >= _LONG_ENOUGH
    slips = 1 + (len(token) >= _LONG)
    for word, _, _ in process.extract(token, words, scorer=OSA.distance, score_cutoff=slips):
        swapped = len(token) >= _LEAST and sorted(word) == sorted(token)
        if word[0] == token[0] and (long or swapped):
            return str(word)
    return None
