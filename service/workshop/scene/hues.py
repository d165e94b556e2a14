"""Hex colours of what is no balloon: by the client's own words where they name one."""

from collections.abc import Iterable, Sequence

from service.estimating import PriceBook

_METALS = ("gold", "rose gold", "silver", "copper")
_GOLD = "#C9A24B"
UNKNOWN = "#BFB8B0"


def hue(name: str, book: PriceBook) -> str:
    """A balloon's stock colour; where the shop does not keep it the shade that the word stands
    for, and a plain grey for a word that stands for none."""
    known = book.colour(name)
    return known.hex if known else _shade_of(name) or UNKNOWN


def _shade_of(name: str) -> str | None:
    """By the named colours of CSS Color Level 4: "dark green" is one, of "misty teal" the teal."""
    from coloraide import Color  # loads matrices that nobody needs before the first such word

    words = name.lower().split()
    for start in range(len(words)):
        named = "".join(words[start:])
        known = Color.match(named, fullmatch=True) if named.isalpha() else None
        if known and known.color.alpha() == 1:
            return str(known.color.convert("srgb").to_string(hex=True)).upper()
    return None


def metal_hue(colours: Iterable[str], book: PriceBook) -> str:
    """What foils shine in: the first metal among the client's colours, else gold."""
    metal = next((name for name in colours if name in _METALS), "gold")
    known = book.colour(metal)
    return known.hex if known else _GOLD


def named_hue(words: str | None, book: PriceBook) -> str | None:
    """The colour that `words` speak of, as in "white roses"; None where they name none."""
    said = (words or "").lower().replace(",", " ").split()
    for length in (3, 2, 1):
        for start in range(len(said) - length + 1):
            known = book.colour(" ".join(said[start : start + length]))
            if known:
                return known.hex
    return None


def in_turn(hexes: Sequence[str], number: int) -> tuple[str, ...]:
    """`number` of the colours, one after another and round again."""
    return tuple(hexes[i % len(hexes)] for i in range(number))
