"""Rows of the published table about money: what shops and tax offices print, by our own policy.

Each row sets the price book's policy as its source has it, and reads what becomes of it.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache, partial

from service.estimating import (
    Brief,
    ColourShare,
    Estimate,
    Event,
    Piece,
    Setting,
    Site,
    Support,
    Task,
    estimate,
)
from service.estimating.book import Charge, Policy, TaxRule, Zone
from service.estimating.costing import Costs, Ledger, total
from service.estimating.price import asked, price_range, surcharges
from tests.published.demo import book
from tests.published.row import Disagreement, Mark, Row

FOOT, MILE = 0.3048, 1609.344
TODAY = dt.date(2027, 6, 4)
"""A Friday: four and five days on it is neither weekend nor holiday."""

FEES = "'Fees & deposit', a shop's page"
POLICIES = "a shop's policies"
CALIFORNIA = "California sales and use tax annotation"
FLORIDA = "Florida TIP 24A01-14, on decorations"
MILEAGE = "IRS standard mileage rate, business"


def _row(
    id: str,
    mark: Mark,
    source: str,
    expected: float,
    tolerance: float,
    answer: Callable[[], float],
    *,
    at_least: bool = False,
    disagrees: Disagreement | None = None,
) -> Row:
    return Row(
        id=id,
        mark=mark,
        source=source,
        expected=expected,
        tolerance=tolerance,
        answer=answer,
        at_least=at_least,
        disagrees=disagrees,
    )


def policy(**changed: object) -> Policy:
    """The demo shop's policy, with some of it as a source has it; prices to the cent."""
    given = {
        "rounding": Decimal("0.01"),
        "deposit_rounding": Decimal("0.01"),
        "minimum": Decimal(0),
        "holidays": {},
        **changed,
    }
    return replace(book().policy, **given)  # type: ignore[arg-type]  # entries by name


def charged(amount: str, terms: Policy) -> float:
    """What a job of `amount` [dollars] is charged at the least, nothing of it taxed."""
    certain = (Decimal(1),) * 3
    price = price_range(
        Decimal(amount), certain, terms, "USD", tax_rate=Decimal(0), taxable_share=Decimal(0)
    )
    return float(price.low)


def deposit(share: Decimal) -> float:
    """Deposit on a price of $300 [dollars]."""
    price = price_range(
        Decimal("299.99"),
        (Decimal(1),) * 3,
        policy(deposit_share=share),
        "USD",
        tax_rate=Decimal(0),
        taxable_share=Decimal(0),
    )
    return float(price.deposit)


def surcharged(rush_days: int, notice_days: int) -> float:
    """How many surcharges there are at so many days' notice."""
    terms = policy(rush_days=rush_days)
    return len(surcharges(TODAY + dt.timedelta(days=notice_days), TODAY, terms))


def driven(miles: float, dollars_a_mile: str) -> float:
    """What driving so far there and back, in all, is charged [dollars]."""
    a_km = Decimal(dollars_a_mile) / Decimal(MILE) * 1000
    rates = replace(book().travel, price_per_km=a_km, zones=())
    there = miles / 2 * MILE
    return float(total(Ledger(()).driving(there, 1, replace(book(), travel=rates))))


def by_zone(trips: int) -> float:
    """What a flat fee of $50 comes to for so many trips [dollars]."""
    zones = (Zone(up_to_m=50 * MILE, fee=Decimal(50)),)
    rates = replace(book().travel, zones=zones)
    return float(total(Ledger(()).driving(10 * MILE, trips, replace(book(), travel=rates))))


def by_the_rule() -> float:
    """What a column of $100 in direct cost is asked for by a mark-up of 150 % alone [dollars]."""
    goods = Ledger(()).line("balloons", "a column", 1, "column", Decimal(100))
    costs = Costs(materials=(goods,), support=(), labour=(), driving=())
    terms = policy(charge=Charge.MARKUP, overhead=Decimal(0), markup=Decimal("1.5"))
    return float(asked(costs, {}, terms))


CODES = frozenset(
    {"balloons", "leftovers", "line", "fixings", "foils", "consumables", "wear", "vehicle"}
)
"""The codes of every line that the arch below has, but time."""


@cache
def arch(kept: frozenset[str], taken_back: frozenset[str], client_keeps: bool) -> Estimate:
    """An arch under a tax of 10 % on those lines."""
    rule = TaxRule(
        postal_prefix="", rate=Decimal("0.1"), when_kept=kept, when_taken_back=taken_back
    )
    piece = Piece(support=Support.FREESTANDING_ARCH, width_m=8 * FOOT, height_m=7 * FOOT)
    brief = Brief(
        pieces=(piece,),
        palette=tuple(ColourShare(colour=name) for name in ("navy", "white")),
        event=Event(date=TODAY + dt.timedelta(days=32), start_time=dt.time(15)),
        site=Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034),
        foils=("5", "0"),
        client_keeps=client_keeps,
    )
    return estimate(brief, replace(book(), policy=policy(tax=(rule,))), today=TODAY)


def taxed_time(answer: Estimate, *tasks: Task) -> float:
    """Share of the cost of these tasks that is taxed."""
    labels = [f"{task.value.replace('_', ' ')}: time" for task in tasks]
    lines = [line for line in answer.cost_lines if line.label in labels]
    return float(total(line for line in lines if line.taxable) / total(lines))


def taxed_share(answer: Estimate) -> float:
    """The tax over what it would be if all of the price were taxed."""
    price = answer.price
    return float(price.tax / (price.likely * price.tax_rate))


def dollars_a_foot() -> float:
    """Price of the arch's garland by its length [$/ft]."""
    answer = arch(frozenset(), frozenset(), False)
    return float(answer.price.likely) / (answer.pieces[0].garland_length_m / FOOT)


ALL_SOLD = CODES | {"labour"}
NOT_HANGING = CODES | {f"labour.{task}" for task in Task if task is not Task.INSTALL}
NOTHING: frozenset[str] = frozenset()

TERMS = (
    _row(
        "a small delivered job",
        "published",
        f"{FEES}: $300 is the least that is delivered",
        300,
        1e-9,
        lambda: charged("120", policy(minimum=Decimal(300))),
    ),
    _row(
        "a job above the least",
        "published",
        f"{FEES}: $300 is the least that is delivered",
        420,
        1e-9,
        lambda: charged("420", policy(minimum=Decimal(300))),
    ),
    _row(
        "notice of five days",
        "published",
        f"{FEES}: rush below five days' notice",
        0,
        0,
        partial(surcharged, 5, 5),
    ),
    _row(
        "notice of four days",
        "published",
        f"{FEES}: rush below five days' notice",
        1,
        0,
        partial(surcharged, 5, 4),
    ),
    *(
        _row(f"deposit of {words}", "published", source, expected, 0.005, partial(deposit, share))
        for words, source, share, expected in (
            ("a half", "three shops' policies: 50 % of $300", Decimal("0.5"), 150),
            ("a third", f"{POLICIES}: one third of $300", Decimal(1) / 3, 100),
            ("40 %", f"{POLICIES}: 40 % of $300, booked two weeks ahead", Decimal("0.4"), 120),
            ("all of it", f"{POLICIES}: all of $300 at the order", Decimal(1), 300),
        )
    ),
    _row(
        "a foot of installed garland",
        "published",
        "'The one thing every holiday party needs': $10 to $12 a foot, professionally made",
        10,
        0,
        dollars_a_foot,
        at_least=True,
    ),
    _row(
        "columns at 2.5 times their direct cost",
        "published",
        "'How do I put a price on balloon columns': 2.5 × $100",
        250,
        1e-9,
        by_the_rule,
    ),
)

WAYS = (
    _row(
        "twelve miles at 59 cents",
        "published",
        f"'General policies', {POLICIES}: $0.59 a mile beyond the usual area, 12 × 0.59",
        7.08,
        0.01,
        partial(driven, 12, "0.59"),
    ),
    _row(
        "flat delivery",
        "published",
        f"{POLICIES}: $50 within the area",
        50,
        1e-9,
        partial(by_zone, 1),
    ),
    _row(
        "flat delivery, and to take it down",
        "published",
        f"{POLICIES}: $50 within the area, the strike included",
        50,
        1e-9,
        partial(by_zone, 2),
        disagrees=Disagreement(
            by=1.0, because="a zone's fee is for one trip there and back: coming again costs again"
        ),
    ),
    *(
        _row(
            f"1,000 miles in {year}",
            "published",
            f"{MILEAGE}, {year}: {rate} a mile",
            1000 * float(rate),
            0.005,
            partial(driven, 1000, rate),
        )
        for year, rate in (
            ("2016", "0.54"),
            ("2019", "0.58"),
            ("2021", "0.56"),
            ("the first half of 2022", "0.585"),
            ("the second half of 2022", "0.625"),
            ("2023", "0.655"),
            ("2024", "0.67"),
            ("2025", "0.70"),
            ("2026", "0.725"),
        )
    ),
)

TAXES = (
    _row(
        "California: making an arch that is sold",
        "published",
        f"{CALIFORNIA} 295.0035.180: labor is taxable, though stated apart",
        1,
        0,
        lambda: taxed_time(
            arch(ALL_SOLD, NOTHING, True), Task.TYING, Task.CLUSTERING, Task.LINE_BUILD
        ),
    ),
    _row(
        "California: a display that is taken back",
        "published",
        f"{CALIFORNIA} 360.0010: a service, the customer never has title",
        0,
        0,
        lambda: taxed_share(arch(ALL_SOLD, NOTHING, False)),
    ),
    _row(
        "California: hanging a garland",
        "published",
        f"{CALIFORNIA} 240.0008: hanging it physically is not taxable",
        0,
        0,
        lambda: taxed_time(arch(NOT_HANGING, NOTHING, True), Task.INSTALL),
    ),
    _row(
        "California: taking a garland down",
        "published",
        f"{CALIFORNIA} 240.0008: removal does not share in that",
        1,
        0,
        lambda: taxed_time(arch(NOTHING, NOT_HANGING, False), Task.STRIKE),
    ),
    _row(
        "Florida: a display with balloons in it, sold",
        "published",
        f"{FLORIDA}: all of it, installation and removal too",
        1,
        5e-4,
        lambda: taxed_share(arch(ALL_SOLD, ALL_SOLD, True)),
    ),
    _row(
        "Florida: a display with balloons in it, taken back",
        "published",
        f"{FLORIDA}: all of it, installation and removal too",
        1,
        5e-4,
        lambda: taxed_share(arch(ALL_SOLD, ALL_SOLD, False)),
    ),
)

MONEY = (*TERMS, *WAYS, *TAXES)
