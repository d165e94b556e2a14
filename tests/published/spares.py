"""How many balloons break, and how many more to take."""

from functools import partial

from scipy import stats

from service.estimating.spares import enough_of, shortage
from tests.published.demo import book, frame
from tests.published.row import Between, Disagreement, Row, derived, published

_TABLE = "'Binomial distribution table' (statistics-website), cumulative, to five decimals"


def more_than(broken: int, taken: int, odds: float) -> float:
    """P(more than `broken` of `taken` break)."""
    return shortage(taken, taken - broken, odds)


def enough(good: int, odds: float) -> float:
    """How many to take for so many good ones, 99 times of a hundred."""
    return enough_of(good, odds, 0.99)[0]


def spare_percent() -> float:
    """Spares as a percentage of the count on the 4 by 7 ft frame."""
    spares = sum(b.spares for piece in frame().pieces for b in piece.balloons)
    return 100 * spares / frame().balloons_total


def breakage_percent(size_class: int) -> float:
    """Of a hundred balloons of one size, how many the demo shop reckons to lose."""
    size = book().size(size_class)
    assert size
    return 100 * size.breakage


BINOMIAL = (
    *(
        published(
            id=f"more than {k} of 5 at {odds:.0%}",
            source=f"{_TABLE}: P(X <= {k}) = {cumulative}",
            expected=round(1 - cumulative, 5),
            tolerance=5.1e-6,
            answer=partial(more_than, k, 5, odds),
        )
        for k, odds, cumulative in (
            (0, 0.05, 0.77378),
            (1, 0.05, 0.97741),
            (2, 0.05, 0.99884),
            (1, 0.10, 0.91854),
            (2, 0.20, 0.94208),
        )
    ),
    published(
        id="more than 1 of 8 at 5 %",
        source="'Distribution tables', table A1: P(X <= 1) = 0.9428",
        expected=0.0572,
        tolerance=5.1e-5,
        answer=partial(more_than, 1, 8, 0.05),
    ),
    derived(
        id="fewer than 118 good of 124 at 2 %",
        source="scipy.stats.binom",
        expected=float(stats.binom.cdf(117, 124, 0.98)),
        tolerance=1e-12,
        answer=partial(shortage, 124, 118, 0.02),
    ),
)

_CANDY = "Wikipedia, 'Negative binomial distribution', selling candy: five sales at 0.4"

ENOUGH = (
    published(
        id="five good within eight tries at 0.4",
        source=f"{_CANDY}, by the eighth house 0.1737",
        expected=0.1737,
        tolerance=5e-5,
        answer=lambda: enough_of(5, 0.6, 0.17)[1],
    ),
    published(
        id="tries for five good with odds of 17 %",
        source=f"{_CANDY}, by the eighth house 0.1737",
        expected=8,
        answer=lambda: enough_of(5, 0.6, 0.17)[0],
    ),
    published(
        id="odds that the tenth try brings the fifth good one",
        source=f"{_CANDY}, at the tenth house 0.1003",
        expected=0.1003,
        tolerance=5e-5,
        answer=lambda: shortage(9, 5, 0.6) - shortage(10, 5, 0.6),
    ),
    *(
        derived(
            id=f"enough for {good} good at {odds:.1%} and 99 %",
            source="scipy.stats.nbinom",
            expected=good + float(stats.nbinom.ppf(0.99, good, 1 - odds)),
            answer=partial(enough, good, odds),
        )
        for good, odds in ((118, 0.02), (5000, 0.025))
    ),
)

ALLOWANCES = (
    published(
        id="spares on a frame, three colors and three sizes",
        source="'Cómo hacer guirnalda de globos': 10 to 15 % more",
        expected=Between(low=10, high=15),
        unit="%",
        answer=spare_percent,
    ),
    published(
        id="bursts among eleven-inch balloons",
        source="'Calculating balloon coverage' 2005: some 30 of 720",
        expected=100 * 30 / 720,
        tolerance=1,
        unit="%",
        answer=partial(breakage_percent, 11),
        disagrees=Disagreement(
            by=-0.52, because="theirs were blown too large, by people who do it once"
        ),
    ),
    published(
        id="how far a count may vary, as two standard deviations",
        source="maker's sheet 'How to make a 6 1/2 ft balloon column': as much as 20 %",
        expected=20,
        tolerance=2.5,
        unit="%",
        answer=lambda: 200 * book().spread.packing,
    ),
)

ROWS: tuple[Row, ...] = (*BINOMIAL, *ENOUGH, *ALLOWANCES)
