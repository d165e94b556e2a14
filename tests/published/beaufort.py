"""Beaufort's scale, in meters a second and in miles an hour."""

from functools import partial

from service.estimating.gusts import beaufort, beaufort_band, beaufort_speed
from tests.published.row import Disagreement, Row, published, remembered
from tests.published.wind import MPH


def is_whole_mph_band(mph: int) -> bool:
    """Whether a whole number of mph falls in the band that the mph table gives."""
    limits = (0, 3, 7, 12, 18, 24, 31, 38, 46, 54, 63, 72)
    return beaufort(mph * MPH) == sum(mph > limit for limit in limits)


_BEAUFORT = "'The Beaufort wind scale' (delta-s.org), table in m/s; 10 min means at 10 m"
_LIMITS = (0.2, 1.5, 3.3, 5.4, 7.9, 10.7, 13.8, 17.1, 20.7, 24.4, 28.4, 32.6)

BEAUFORT = (
    *(
        published(
            id=f"upper limit of force {n}",
            source=_BEAUFORT,
            expected=n,
            tolerance=0,
            answer=partial(beaufort, limit),
        )
        for n, limit in enumerate(_LIMITS)
    ),
    *(
        published(
            id=f"a tenth above force {n}",
            source=_BEAUFORT,
            expected=n + 1,
            tolerance=0,
            answer=partial(beaufort, round(limit + 0.1, 1)),
        )
        for n, limit in enumerate(_LIMITS)
    ),
    published(
        id="Beaufort by whole mph, 0 to 100",
        source="'Beaufort scale of wind speeds' (Wakefield), table in mph: all 101",
        expected=101,
        tolerance=0,
        answer=lambda: sum(is_whole_mph_band(mph) for mph in range(101)),
        disagrees=Disagreement(
            by=-0.0297,
            because="each table rounds its own limits: 18, 31 and 73 mph are 8.05, 13.86 and"
            " 32.63 m/s, one band off",
        ),
    ),
    published(
        id="force of 47 mph",
        source="city of Aztec, 'Wind scale': 8",
        expected=8,
        tolerance=0,
        answer=lambda: beaufort(47 * MPH),
        disagrees=Disagreement(by=0.125, because="gale ends at 46 mph, 20.7 m/s; 47 mph is 21.0"),
    ),
    published(
        id="force of 27 mph",
        source="'Bouncy castle safety: wind and anchors' 2018: 5",
        expected=5,
        tolerance=0,
        answer=lambda: beaufort(27 * MPH),
        disagrees=Disagreement(by=0.2, because="fresh breeze ends at 24 mph; 27 mph is force 6"),
    ),
    remembered(
        id="middle of force 4",
        source="v = 0.836 B^1.5 m/s, handbooks of meteorology",
        expected=6.69,
        tolerance=0.01,
        unit="m/s",
        answer=partial(beaufort_speed, 4),
    ),
    remembered(
        id="middle of force 5",
        source="v = 0.836 B^1.5 m/s, handbooks of meteorology",
        expected=9.35,
        tolerance=0.01,
        unit="m/s",
        answer=partial(beaufort_speed, 5),
    ),
    published(
        id="speed of force 1 in mph",
        source="how-to 'convert wind speed to force': divide mph by 1.87, square, cube root",
        expected=1.87,
        tolerance=0.005,
        unit="mph",
        answer=lambda: beaufort_speed(1) / MPH,
    ),
    published(
        id="speed of force 8.9 in mph",
        source="how-to 'convert wind speed to force': 50 mph is 8.9",
        expected=50,
        tolerance=0.5,
        unit="mph",
        answer=lambda: beaufort_speed(8.9) / MPH,
    ),
    published(
        id="forces whose formula speed lies in their band",
        source="'The Beaufort wind scale' (delta-s.org), table in m/s: all of 1 to 11",
        expected=11,
        tolerance=0,
        answer=lambda: sum(
            beaufort_band(n)[0] <= beaufort_speed(n) < beaufort_band(n)[1] for n in range(1, 12)
        ),
    ),
)

ROWS: tuple[Row, ...] = BEAUFORT
