"""When work falls: how long on site, how far ahead balloons may be filled, when goods come."""

import datetime as dt
from functools import partial
from typing import Any

import numpy as np

from service.estimating import Piece
from service.estimating.answer import FloatLine, Plan
from service.estimating.book import Supplier
from service.estimating.book.arriving import arrives, order_by
from service.estimating.plan import SET_UP, helium_ahead_h, plan
from tests.published.demo import FRAME, book
from tests.published.rates import INSTALLATION, STAGES, labour, made, minutes, spent
from tests.published.row import Between, Disagreement, Row, derived, published

_ADVANCE = "'How many days in advance can you make a balloon garland?'"


def planned(piece: Piece, *sizes: int, outdoors: bool = False) -> Plan:
    """The plan of one piece with balloons of these sizes, half an hour from the shop."""
    used = tuple(size for size in book().sizes if size.size_class in sizes)
    found = spent(made(piece))
    return plan(found, labour(), sizes=used, outdoors=outdoors, car_loads=1, one_way_h=0.5)


def helium_untreated() -> FloatLine:
    """Untreated 11 in latex, 8 to 12 h as a gas supplier has it."""
    return FloatLine(
        kind="latex",
        size_class=11,
        count=1,
        gas_m3=0.01,
        net_lift_kg=0.01,
        weight_kg=0.02,
        float_low_h=8,
        float_high_h=12,
    )


ON_SITE = (
    published(
        id="putting up a frame",
        source="'Policies', a decorator's page: set-up takes 45 to 180 min",
        expected=Between(low=45, high=180),
        unit="min",
        answer=lambda: minutes(spent(made(FRAME)), SET_UP),
    ),
    published(
        id="an installation's way there and set-up",
        source=f"{STAGES}: 2 to 4 h",
        expected=Between(low=2, high=4),
        unit="h",
        answer=lambda: planned(INSTALLATION, 10).set_up_h + 0.5,
    ),
    published(
        id="striking an installation",
        source=f"{STAGES}: 1 to 2 h, where it is asked for",
        expected=Between(low=1, high=2),
        unit="h",
        answer=lambda: planned(INSTALLATION, 10).strike_h,
        disagrees=Disagreement(
            by=-0.263,
            because="one arch is at the small end of theirs, which are sorted and carried off",
        ),
    ),
    published(
        id="there before a large event",
        source="'Policy page', a decorator's: at least 2 h before, 5 h for a wedding",
        expected=Between(low=2, high=5),
        unit="h",
        answer=lambda: planned(INSTALLATION, 10).arrive_before_h,
    ),
)

AHEAD = (
    published(
        id="longest ahead",
        source=f"{_ADVANCE}: up to three days",
        expected=72,
        unit="h",
        answer=lambda: planned(FRAME, 10).ahead_h,
    ),
    published(
        id="best ahead, with five-inch",
        source=f"{_ADVANCE}: 1 to 2 days is best",
        expected=Between(low=24, high=48),
        unit="h",
        answer=lambda: planned(FRAME, 5, 10, 18).ahead_h,
    ),
    published(
        id="at least the day before",
        source="'How early can I blow up my air-filled balloons?', a decorators' guide: yes",
        expected=24,
        at_least=True,
        unit="h",
        answer=lambda: planned(FRAME, 5, 10, 18).ahead_h,
    ),
    published(
        id="outdoors, ten-inch",
        source="'Terms and conditions', a decorator's page: looks good for about 24 h",
        expected=24,
        tolerance=2,
        unit="h",
        answer=lambda: planned(FRAME, 10, outdoors=True).ahead_h,
    ),
    published(
        id="outdoors, with five-inch",
        source="'Terms and conditions', a decorator's page: looks good for about 24 h",
        expected=24,
        tolerance=2,
        unit="h",
        answer=lambda: planned(FRAME, 5, 10, outdoors=True).ahead_h,
        disagrees=Disagreement(
            by=-0.5, because="the smallest balloons go first; the terms know only one size"
        ),
    ),
    published(
        id="helium ahead",
        source="'The science of balloons' and a cylinder hirer: on the day, best in the first 3 h",
        expected=3,
        unit="h",
        answer=lambda: helium_ahead_h([helium_untreated()]),
    ),
)

_FOUR_DAYS = Supplier(name="four working days", lead_days=4, working_days=True)
_NEW_YEAR = frozenset({dt.date(2027, 1, 1)})


def there_on(ordered: str) -> str:
    """When goods are there that were ordered on that day."""
    return arrives(_FOUR_DAYS, dt.date.fromisoformat(ordered), _NEW_YEAR).isoformat()


def ordered_by(wanted: str) -> str:
    """Until when to order what is wanted on that day."""
    return order_by(_FOUR_DAYS, dt.date.fromisoformat(wanted), _NEW_YEAR).isoformat()


def by_numpy(day: str, days: int) -> str:
    """So many working days on, from a day off: from the next working day that way."""
    roll: Any = "forward" if days > 0 else "backward"
    return str(np.busday_offset(day, days, roll=roll, holidays=["2027-01-01"]))


WORKING_DAYS = (
    *(
        derived(
            id=f"four working days from {day}",
            source="numpy.busday_offset(day, 4, roll='forward', holidays=['2027-01-01'])",
            expected=by_numpy(day, 4),
            answer=partial(there_on, day),
        )
        for day in ("2026-12-30", "2026-12-05", "2027-01-01", "2027-03-01")
    ),
    *(
        derived(
            id=f"four working days before {day}",
            source="numpy.busday_offset(day, -4, roll='backward', holidays=['2027-01-01'])",
            expected=by_numpy(day, -4),
            answer=partial(ordered_by, day),
        )
        for day in ("2027-01-06", "2026-12-13", "2027-01-03", "2027-03-05")
    ),
)

ROWS: tuple[Row, ...] = (*ON_SITE, *AHEAD, *WORKING_DAYS)
