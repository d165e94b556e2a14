"""Twenty briefs whose pictures are looked at, and timed: every support, many palettes."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    ColourShare,
    Estimate,
    Event,
    Floating,
    FloatKind,
    Fullness,
    Pattern,
    Piece,
    Placement,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.leads.words import ENGLISH
from service.rendering import picture
from service.storage.price_book import read_price_book
from service.workshop.scene import Scene, scene_of, seed_of

FOLDER = Path(__file__).parents[1] / ".pictures"
BOOK_FILE = Path(__file__).with_name("price_book.yaml")
TODAY = dt.date(2027, 1, 10)
EVENT_DAY = dt.date(2027, 6, 6)
WIDTH = 1200
FOOT = 0.3048


@dataclass(frozen=True, kw_only=True)
class Case:
    """A brief of the gallery, and what its picture is to show."""

    name: str
    brief: Brief


def _case(
    name: str,
    pieces: Piece | tuple[Piece, ...],
    colours: str,
    *,
    foils: Iterable[str] = (),
    floating: tuple[Floating, ...] = (),
    setting: Setting = Setting.INDOOR,
) -> Case:
    return Case(
        name=name,
        brief=Brief(
            pieces=pieces if isinstance(pieces, tuple) else (pieces,),
            palette=tuple(ColourShare(colour=colour) for colour in colours.split(", ")),
            event=Event(date=EVENT_DAY),
            site=Site(setting=setting),
            foils=tuple(foils),
            floating=floating,
        ),
    )


_FLOWERS = Accent(kind=AccentKind.FLOWERS, count=9, words="white roses")
_GREENERY = Accent(kind=AccentKind.GREENERY, count=7)
_SIGN = Accent(kind=AccentKind.SIGN, words="Fifty years afloat")
_RIBBON = Accent(kind=AccentKind.RIBBON, count=8)
_COVER = Accent(kind=AccentKind.FABRIC_COVER)

CASES = (
    _case(
        "01 round-top frame, full, five colors, 5 0 in foil",
        Piece(support=Support.ROUND_TOP_FRAME, width_m=4 * FOOT, height_m=7 * FOOT),
        "sage, cream, white, dusty rose, gold",
        foils=("5", "0"),
    ),
    _case(
        "02 round-top frame, lush, dark",
        Piece(
            support=Support.ROUND_TOP_FRAME,
            width_m=5 * FOOT,
            height_m=7.5 * FOOT,
            fullness=Fullness.LUSH,
            accents=(_COVER, _SIGN),
        ),
        "navy, black, silver",
    ),
    _case(
        "03 square frame, full, greenery and flowers",
        Piece(
            support=Support.SQUARE_FRAME,
            width_m=6 * FOOT,
            height_m=7 * FOOT,
            accents=(_FLOWERS, _GREENERY),
        ),
        "white, cream, sage",
    ),
    _case(
        "04 square frame, airy, three bright colors",
        Piece(
            support=Support.SQUARE_FRAME,
            width_m=5 * FOOT,
            height_m=7 * FOOT,
            fullness=Fullness.AIRY,
        ),
        "coral, mustard, teal",
    ),
    _case(
        "05 hoop, full, two soft colors, greenery",
        Piece(support=Support.HOOP, width_m=6 * FOOT, accents=(_GREENERY,)),
        "blush, champagne",
    ),
    _case(
        "06 hoop, airy, white alone",
        Piece(support=Support.HOOP, width_m=6 * FOOT, fullness=Fullness.AIRY),
        "white",
    ),
    _case(
        "07 wall, lush, six colors",
        Piece(support=Support.WALL, length_m=10 * FOOT, fullness=Fullness.LUSH),
        "peach, blush, dusty rose, terracotta, mustard, cream",
    ),
    _case(
        "08 doorway, full, three colors",
        Piece(support=Support.DOORWAY, width_m=4 * FOOT, height_m=7 * FOOT),
        "light blue, white, dusty blue",
    ),
    _case(
        "09 doorway, airy, dark alone",
        Piece(
            support=Support.DOORWAY, width_m=6 * FOOT, height_m=7.5 * FOOT, fullness=Fullness.AIRY
        ),
        "burgundy",
    ),
    _case(
        "10 staircase, full, four colors",
        Piece(support=Support.STAIRCASE, rise_m=9 * FOOT, run_m=11 * FOOT),
        "forest green, gold, white, burgundy",
    ),
    _case(
        "11 mantel, full, flowers",
        Piece(support=Support.MANTEL, length_m=6 * FOOT, accents=(_FLOWERS,)),
        "cream, sand, dusty rose, white",
    ),
    _case(
        "12 table, airy, three colors",
        Piece(support=Support.TABLE, length_m=8 * FOOT, fullness=Fullness.AIRY),
        "lavender, white, mint",
        foils=("star", "heart"),
    ),
    _case(
        "13 ceiling, full, blues",
        Piece(support=Support.CEILING, length_m=13 * FOOT),
        "navy, blue, light blue, white",
    ),
    _case(
        "14 freestanding arch outdoors, full, six colors",
        Piece(support=Support.FREESTANDING_ARCH, width_m=10 * FOOT, height_m=8 * FOOT),
        "red, orange, yellow, green, blue, purple",
        setting=Setting.OUTDOOR,
    ),
    _case(
        "15 freestanding arch, lush, ombre",
        Piece(
            support=Support.FREESTANDING_ARCH,
            width_m=9 * FOOT,
            height_m=8 * FOOT,
            fullness=Fullness.LUSH,
            pattern=Pattern.OMBRE,
        ),
        "hot pink, white, rose gold",
    ),
    _case(
        "16 swag, full, ribbon",
        Piece(support=Support.SWAG, width_m=10 * FOOT, sag_m=2 * FOOT, accents=(_RIBBON,)),
        "teal, white, gold",
    ),
    _case(
        "17 a pair of columns, stripes",
        Piece(support=Support.COLUMN, height_m=6 * FOOT, count=2, pattern=Pattern.STRIPE),
        "black, gold",
        foils=("star",),
    ),
    _case(
        "18 columns and arch outdoors",
        (
            Piece(support=Support.COLUMN, height_m=5 * FOOT, count=2),
            Piece(support=Support.FREESTANDING_ARCH, width_m=8 * FOOT, height_m=7 * FOOT),
        ),
        "blue, white, silver",
        setting=Setting.OUTDOOR,
    ),
    _case(
        "19 half a round-top frame, letters and helium",
        Piece(
            support=Support.ROUND_TOP_FRAME,
            width_m=6 * FOOT,
            height_m=7 * FOOT,
            coverage=0.55,
            placement=Placement.ONE_SIDE,
            accents=(_COVER, _GREENERY),
        ),
        "sage, white, gold, olive",
        foils=("JOY",),
        floating=(
            Floating(kind=FloatKind.LATEX, size_class=11, count=6),
            Floating(kind=FloatKind.FOIL_STAR, size_class=19, count=2),
        ),
    ),
    _case(
        "20 wall, airy, greys and black",
        Piece(support=Support.WALL, length_m=8 * FOOT, fullness=Fullness.AIRY),
        "grey, black, white, silver",
        foils=("4", "0"),
    ),
)


def demo_book() -> PriceBook:
    """The price book of the demo shop."""
    return read_price_book(BOOK_FILE.read_text(encoding="utf-8"), BOOK_FILE.name)


def estimated(case: Case, book: PriceBook) -> Estimate:
    """What the case comes to."""
    return estimate(case.brief, book, today=TODAY)


def scene(case: Case, found: Estimate, book: PriceBook) -> Scene:
    """The case as its picture shows it."""
    return scene_of(case.brief, found, book, seed=seed_of(case.name))


def main() -> None:
    """Save every picture of the gallery as PNG, to be looked at."""
    book = demo_book()
    FOLDER.mkdir(exist_ok=True)
    for case in CASES:
        png = picture.png(scene(case, estimated(case, book), book), words=ENGLISH, width=WIDTH)
        path = FOLDER / f"gallery-{case.name.replace(' ', '-').replace(',', '')}.png"
        path.write_bytes(png)
        print(path)


if __name__ == "__main__":
    main()
