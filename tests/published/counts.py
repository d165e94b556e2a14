"""Balloons per length: quads, columns and organic garlands as others count them."""

from functools import partial

from service.estimating import Fullness, Piece, Shape, Support
from tests.published.demo import along_wall, answer_to, frame, of_size, quads_along
from tests.published.row import FOOT, INCH, Between, Disagreement, Row, practice, published


def quads(length_ft: float, size_class: int, sized_in: float) -> float:
    """Balloons in nested quads along a straight run."""
    return answer_to(quads_along(length_ft, size_class, sized_in)).balloons_total


def garland(length_ft: float, fullness: Fullness) -> float:
    """Balloons in an organic garland along a straight run."""
    return answer_to(along_wall(length_ft, fullness)).balloons_total


def column(height_in: float) -> float:
    """Balloons in a column of the price book's usual quads."""
    return answer_to(Piece(support=Support.COLUMN, height_m=height_in * INCH)).balloons_total


def share_of_size(size_class: int) -> float:
    """Percentage of one size in ten feet of full organic garland."""
    answer = answer_to(along_wall(10, Fullness.FULL))
    return 100 * of_size(answer, size_class) / answer.balloons_total


def full_arch() -> float:
    """Balloons in a full arch some six and a half feet wide and seven high."""
    piece = Piece(support=Support.FREESTANDING_ARCH, width_m=2, height_m=2.1, shape=Shape.CATENARY)
    return answer_to(piece).balloons_total


def in_frame(size_class: int) -> float:
    """Balloons of one size on the 4 by 7 ft frame."""
    return of_size(frame(), size_class)


_SPIRAL = "'Making spiral garlands & clusters', a party shop's chart"
_TOUCHING = "touching quads of 8 in need 6.73 in each, not 8"

QUADS = (
    published(
        id="column of 6 1/2 ft",
        source="maker's sheet 'How to make a 6 1/2 ft balloon column': 32, may vary by 20 %",
        expected=Between(low=25.6, high=38.4),
        answer=partial(column, 78),
    ),
    published(
        id="20 ft of spiral arch",
        source="decorators' FAQ 'Classic balloon decor 101': about 120",
        expected=120,
        tolerance=6,
        answer=partial(quads, 20, 11, 9.5),
    ),
    published(
        id="16 ft of arch",
        source="'Balloon arch: how many people, time allowed': 6 a foot, 96 in 24 quads",
        expected=96,
        tolerance=4,
        answer=partial(quads, 16, 11, 9.5),
    ),
    published(
        id="10 ft of 11 in quads",
        source=f"{_SPIRAL}; 'How to make balloon garlands' and two more: 6 a foot",
        expected=60,
        tolerance=2,
        answer=partial(quads, 10, 11, 9.5),
    ),
    published(
        id="10 ft of 5 in quads",
        source=f"{_SPIRAL}: 12 a foot",
        expected=120,
        tolerance=8,
        answer=partial(quads, 10, 5, 4.5),
    ),
    published(
        id="10 ft of 9 in quads, sized to 8 in",
        source=f"{_SPIRAL}: 8 a foot",
        expected=80,
        tolerance=4,
        answer=partial(quads, 10, 10, 8),
        disagrees=Disagreement(by=-0.1, because="8 a foot are 7.1 in each: it sizes them small"),
    ),
    published(
        id="10 ft of 14 in quads, sized to 12.5 in",
        source=f"{_SPIRAL}: 4 a foot, as of 16 in",
        expected=40,
        tolerance=2,
        answer=partial(quads, 10, 16, 12.5),
        disagrees=Disagreement(by=0.1, because="the chart gives two sizes one and the same count"),
    ),
    published(
        id="10 ft of 16 in quads",
        source=f"{_SPIRAL}: 4 a foot",
        expected=40,
        tolerance=2,
        answer=partial(quads, 10, 16, 14.5),
    ),
    published(
        id="3 ft of 5 in quads at 4 in",
        source=f"{_SPIRAL}, training garland: 18 + 18",
        expected=36,
        tolerance=2,
        answer=partial(quads, 3, 5, 4),
        disagrees=Disagreement(
            by=0.222, because="the sheet allows 4 in a quad; touching ones need 3.36 in"
        ),
    ),
    published(
        id="22 ft of quads at 8 in",
        source="craft how-to 'make balloon arch, two colors': 132, at 8 in a quad",
        expected=132,
        tolerance=4,
        answer=partial(quads, 22, 11, 8),
        disagrees=Disagreement(by=0.182, because=_TOUCHING),
    ),
    published(
        id="32 ft of quads at 8 in",
        source="craft how-to 'balloon arch, spiral pattern': 192, at 8 in a quad",
        expected=192,
        tolerance=4,
        answer=partial(quads, 32, 11, 8),
        disagrees=Disagreement(by=0.1875, because=_TOUCHING),
    ),
)

_DIY = "'Tips for a perfect DIY balloon garland'"

ORGANIC = (
    published(
        id="10 ft, full",
        source=f"{_DIY}: 10 to 15 a foot",
        expected=Between(low=100, high=150),
        answer=partial(garland, 10, Fullness.FULL),
    ),
    published(
        id="10 ft, full, its worked list",
        source=f"{_DIY}: 70 + 30 + 20 = 120",
        expected=120,
        tolerance=12,
        answer=partial(garland, 10, Fullness.FULL),
        disagrees=Disagreement(
            by=0.2, because="the upper end of its own 10 to 15 a foot, for all the five-inch"
        ),
    ),
    published(
        id="20 ft, full",
        source="how-to '20 foot balloon arch': 10 to 15 a foot",
        expected=Between(low=200, high=300),
        answer=partial(garland, 20, Fullness.FULL),
    ),
    published(
        id="35 ft, airy",
        source="'How to make a balloon garland' 2019: 35 ft, about 300",
        expected=300,
        tolerance=20,
        answer=partial(garland, 35, Fullness.AIRY),
    ),
    published(
        id="10 ft, airy",
        source="'10 essential supplies for a garland': 60 to 80",
        expected=Between(low=60, high=80),
        answer=partial(garland, 10, Fullness.AIRY),
        disagrees=Disagreement(
            by=0.025, because="those garlands are slimmer than the book's airy 22 in"
        ),
    ),
    published(
        id="10 ft, airy, against the slimmest",
        source="'Are balloon garlands easy to make?' 2022: about 60",
        expected=60,
        tolerance=5,
        answer=partial(garland, 10, Fullness.AIRY),
        disagrees=Disagreement(by=0.367, because="6 a foot is a string of balloons, not a garland"),
    ),
    published(
        id="12 ft, airy",
        source="'How many days in advance can you make a garland': 60 to 84",
        expected=Between(low=60, high=84),
        answer=partial(garland, 12, Fullness.AIRY),
        disagrees=Disagreement(
            by=0.190, because="those garlands are slimmer than the book's airy 22 in"
        ),
    ),
    published(
        id="2 m, airy",
        source="'Cómo hacer guirnalda de globos': 30 to 40",
        expected=Between(low=30, high=40),
        answer=partial(garland, 2 / FOOT, Fullness.AIRY),
        disagrees=Disagreement(
            by=0.35, because="a slim garland of 5 a foot; the book's airy is 22 in thick"
        ),
    ),
    published(
        id="full arch for which 144 were not enough",
        source="'Birthday surprise balloons' 2022: 144, and 20 to 30 more would help",
        expected=164,
        answer=full_arch,
        at_least=True,
    ),
    published(
        id="sizes in a garland",
        source="'What goes into an organic garland', a decorator's page: 16, 11 and 5 in",
        expected=3,
        answer=lambda: len({b.size_class for p in frame().pieces for b in p.balloons}),
    ),
    *(
        published(
            id=f"share of {what} in a full garland",
            source=f"{_DIY}: {percent:.0f} %",
            expected=percent,
            tolerance=4,
            unit="%",
            answer=partial(share_of_size, size_class),
            disagrees=Disagreement(by=by, because=because),
        )
        for what, size_class, percent, by, because in (
            ("the middle size", 10, 58.3, -0.142, "ours has more small ones between"),
            ("the large", 18, 25.0, -0.889, "theirs are a body of 17 in, ours accents of 18 in"),
            ("the small", 5, 16.7, 1.828, "ours fills with quads of five-inch, theirs by ones"),
        )
    ),
    *(
        practice(
            id=f"frame 4 x 7 ft, {what}",
            source=f"decorators' talk: about {number}",
            expected=number,
            tolerance=tolerance,
            answer=partial(in_frame, size_class),
        )
        for what, size_class, number, tolerance in (
            ("ten-inch", 10, 120, 18),
            ("five-inch", 5, 120, 18),
            ("eighteen-inch", 18, 6, 1),
        )
    ),
)

ROWS: tuple[Row, ...] = (*QUADS, *ORGANIC)
