import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from service.estimating import (
    Brief,
    ColourShare,
    CostLine,
    Estimate,
    Piece,
    PriceBook,
    Support,
    Task,
    estimate,
)
from service.estimating.answer import Fitting
from service.estimating.book import Zone
from service.estimating.costing import Costs, Ledger, overhead_line, total, two
from service.estimating.shopping import shop_for

TODAY = dt.date(2027, 6, 1)
MILE = 1609.344
LEDGER = Ledger(frozenset())


def fitting(label: str, count: int, price: str, *, piece: int = 0, used: str = "") -> Fitting:
    each = Decimal(price)
    return Fitting(
        code="foils",
        label=label,
        piece=piece,
        count=count,
        unit="balloon",
        unit_cost=each,
        cost=each * (Decimal(used) if used else count),
        seconds=0.0,
        place="",
        mount="",
    )


def sums(lines: list[CostLine]) -> list[tuple[str, Decimal, Decimal]]:
    return [(line.label, line.quantity, line.amount) for line in lines]


@pytest.fixture
def answer(book: PriceBook) -> Estimate:
    frame = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
    colours = tuple(ColourShare(colour=name) for name in ("sage", "cream", "moonlit teal"))
    brief = Brief(pieces=(frame,), palette=colours, foils=("5", "0"))
    return estimate(brief, book, today=TODAY)


def test_every_line_is_exactly_quantity_times_rate(answer: Estimate) -> None:
    assert len(answer.cost_lines) > 10
    assert all(line.amount == line.quantity * line.rate for line in answer.cost_lines)


def test_fittings_cost_what_their_lines_say(answer: Estimate) -> None:
    codes = {fitting.code for fitting in answer.fittings}
    lines = total(line for line in answer.cost_lines if line.code in codes)
    assert lines == sum((each.cost for each in answer.fittings), Decimal(0))
    assert lines > 0


def test_fittings_of_one_label_and_price_become_one_line() -> None:
    found = [
        *LEDGER.fittings(
            [
                fitting("digit", 2, "7.50"),
                fitting("digit", 1, "7.50", piece=1),
                fitting("digit", 1, "9.00"),
            ]
        )
    ]
    assert sums(found) == [("digit", Decimal(3), Decimal("22.50")), ("digit", 1, Decimal(9))]


def test_what_is_used_by_halves_is_paid_for_by_halves() -> None:
    # Six feet of tape of a roll that is brought whole.
    (line,) = LEDGER.fittings([fitting("tape", 1, "4.00", used="0.15")])
    assert (line.quantity, line.amount) == (Decimal("0.15"), Decimal("0.60"))


def test_balloons_cost_their_best_rate_and_half_of_what_is_left_over(book: PriceBook) -> None:
    purchase = shop_for({(10, "sage"): 30}, book)
    policy = replace(book.policy, leftovers_charged=Decimal("0.5"))
    balloons, leftovers = LEDGER.goods(purchase, policy)
    # The best price a balloon is 18.60 for a hundred: 30 of them are 5.58; two bags of twenty at
    # 4.90 are bought, 4.22 more, and half of that is charged.
    assert (balloons.quantity, balloons.rate) == (Decimal(30), Decimal("0.1860"))
    assert purchase.shopping.cost == Decimal("9.80")
    assert leftovers.amount == Decimal("2.11")
    none = replace(policy, leftovers_charged=Decimal(0))
    assert [line.code for line in LEDGER.goods(purchase, none)] == ["balloons"]


def test_time_that_rounds_to_nothing_has_no_line() -> None:
    spent = dict.fromkeys(Task, 0.0) | {Task.TYING: 1.504, Task.FOILS: 0.004}
    lines = [*LEDGER.labour({task.value: each for task, each in spent.items()}, Decimal(20))]
    assert sums(lines) == [("tying: time", Decimal("1.50"), Decimal(30))]


def test_tax_rules_name_all_time_or_one_task() -> None:
    spent = {task.value: 1.0 for task in Task}
    every = [line.taxable for line in Ledger({"labour"}).labour(spent, Decimal(20))]
    assert every == [True] * len(Task)
    one = [*Ledger({"labour.install", "balloons"}).labour(spent, Decimal(20))]
    assert [line.label for line in one if line.taxable] == ["install: time"]


def test_driving_is_charged_by_the_way_or_by_zone(book: PriceBook) -> None:
    rates = replace(book.travel, price_per_km=Decimal("0.50"), zones=())
    by_way = replace(book, travel=rates)
    # Two trips there and back, 10 km one way: 40 km.
    (line,) = LEDGER.driving(10_000.0, 2, by_way)
    assert (line.code, line.quantity, line.amount) == ("vehicle", Decimal(40), Decimal(20))
    zones = (
        Zone(up_to_m=5 * MILE, fee=Decimal(15)),
        Zone(up_to_m=20 * MILE, fee=Decimal(35)),
    )
    by_zone = replace(book, travel=replace(rates, zones=zones))
    fees = {
        miles: [(line.code, line.amount) for line in LEDGER.driving(miles * MILE, 2, by_zone)]
        for miles in (5.0, 5.1, 20.0, 30.0)
    }
    # Beyond the last zone its fee stands, and the owner is asked.
    assert fees == {
        5.0: [("delivery", Decimal(30))],
        5.1: [("delivery", Decimal(70))],
        20.0: [("delivery", Decimal(70))],
        30.0: [("delivery", Decimal(70))],
    }


def test_overhead_is_a_share_of_every_other_line_and_taxed_as_they_are(book: PriceBook) -> None:
    policy = replace(book.policy, overhead=Decimal("0.15"))

    def costs(*taxed: str) -> Costs:
        ledger = Ledger(taxed)
        return Costs(
            materials=(ledger.line("balloons", "balloons", 100, "balloon", Decimal(1)),),
            support=(),
            labour=(),
            driving=(ledger.line("vehicle", "car", 50, "km", Decimal(2)),),
        )

    line = overhead_line(costs(), policy)
    assert (line.quantity, line.rate, line.amount) == (Decimal(200), Decimal("0.15"), Decimal(30))
    assert not line.taxable
    assert not overhead_line(costs("balloons"), policy).taxable
    assert overhead_line(costs("balloons", "vehicle"), policy).taxable
    nothing = Costs(materials=(), support=(), labour=(), driving=())
    assert overhead_line(nothing, policy).amount == 0
    assert not overhead_line(nothing, policy).taxable


def test_hours_and_kilometres_are_counted_to_two_decimals() -> None:
    assert two(0.1 + 0.2) == Decimal("0.30")
    assert two(19.3121) == Decimal("19.31")
