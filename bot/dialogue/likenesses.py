"""What clients liken a size to, and how large such a thing usually is.

Only ever a guess to confirm. Common practice, no source: doors and garages as built, furniture as
sold, cars as parked in the US.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from bot.dialogue.draft import Piece
from bot.dialogue.sayings import folded
from bot.dialogue.supports import METRES_PER_INCH, SUPPORTS


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """A thing, the words for it in English and Spanish, and its usual sizes in inches: how wide
    it may be, the likeliest first, and how tall."""

    name: str
    words: str
    wide_in: tuple[int, ...]
    tall_in: tuple[int, ...] = ()


# The longer name goes before the shorter one that it holds.
LIKENESSES: tuple[Likeness, ...] = (
    Likeness(
        name="garage_door",
        words=r"garage|garaje|cochera",
        wide_in=(96, 192),
        tall_in=(84,),
    ),
    Likeness(
        name="double_door",
        words=r"double doors?|french doors?|puertas? dobles?",
        wide_in=(72,),
        tall_in=(80,),
    ),
    Likeness(name="door", words=r"doors?|doorways?|puertas?", wide_in=(36,), tall_in=(80,)),
    Likeness(name="sofa", words=r"sofas?|couch(?:es)?|sillon(?:es)?", wide_in=(84,), tall_in=(36,)),
    Likeness(
        name="fireplace",
        words=r"fireplaces?|mantels?|chimeneas?",
        wide_in=(60,),
        tall_in=(54,),
    ),
    Likeness(
        name="king_bed", words=r"king(?:[ -]size)?(?: bed)?|cama king", wide_in=(76,), tall_in=(48,)
    ),
    Likeness(
        name="queen_bed",
        words=r"(?:queen(?:[ -]size)? )?beds?|camas?(?: queen)?",
        wide_in=(60,),
        tall_in=(48,),
    ),
    Likeness(
        name="eight_foot_table",
        words=r"(?:8|eight)[ -]?(?:ft|foot|feet) tables?|mesas? de 8 pies",
        wide_in=(96,),
        tall_in=(29,),
    ),
    Likeness(
        name="six_foot_table",
        words=r"tables?|mesas?",
        wide_in=(72,),
        tall_in=(29,),
    ),
    Likeness(name="suv", words=r"suvs?|trucks?|pickups?|vans?|camionetas?", wide_in=(192,)),
    Likeness(name="car", words=r"cars?|carros?|coches?|autos?", wide_in=(180,), tall_in=(58,)),
    Likeness(
        name="person",
        words=r"person|people|me|my height|man|woman|persona|yo|mi altura",
        wide_in=(),
        tall_in=(66, 72),
    ),
)

# At most so many sizes are offered as a guess.
_MOST_SIZES = 4


def likeness(words: str) -> Likeness | None:
    """The thing that `words` name, where we know how large it is."""
    plain = folded(words)
    return next((one for one in LIKENESSES if re.search(rf"\b(?:{one.words})\b", plain)), None)


def sizes_like(one: Likeness, piece: Piece) -> tuple[tuple[int, ...], ...]:
    """Sizes in inches for `piece` if it is as large as that thing; what is known stays."""
    if piece.support is None:
        return ()
    support = SUPPORTS[piece.support]
    choices = [
        _inches(one, piece, name, usual)
        for name, usual in zip(support.measures, support.usual_in[0], strict=True)
    ]
    sizes: list[tuple[int, ...]] = [()]
    for inches in choices:
        sizes = [(*size, inch) for size in sizes for inch in inches]
    return tuple(dict.fromkeys(sizes))[:_MOST_SIZES]


def _inches(one: Likeness, piece: Piece, name: str, usual: int) -> tuple[int, ...]:
    known: float | None = getattr(piece, name)
    if known is not None:
        return (round(known / METRES_PER_INCH),)
    likened: Mapping[str, tuple[int, ...]] = {
        "width_m": one.wide_in,
        "length_m": one.wide_in,
        "height_m": one.tall_in,
    }
    return likened[name] or (usual,)
