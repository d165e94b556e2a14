"""What was told of a job, held against its estimate: plain arithmetic."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import Estimate, PriceBook, estimate
from service.estimating.book import Zone
from service.leads.actuals import (
    Actuals,
    Extra,
    by_size,
    planned_by_key,
    settled,
    used_by_key,
    used_by_size,
    wrong_with,
)
from service.leads.compared import CostLine, Place, compare
from service.leads.figures import direct_cost
from service.leads.lead import Quote, QuoteKind
from service.leads.slips import far_off
from service.leads.task_words import line_name, time_of
from service.storage.price_book import read_price_book
from tests.service.building import NOON, PRICE_BOOK, a_brief

BOOK: PriceBook = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
PLANNED: Estimate = estimate(a_brief(), BOOK, today=date(2027, 1, 10))
KEYS = planned_by_key(PLANNED)
TAKEN = sum(KEYS.values())
CENT = Decimal("0.01")


def quoted(answer: Estimate = PLANNED) -> Quote:
    return Quote(
        id="q",
        lead_id="l",
        number="G1001-1",
        kind=QuoteKind.FIRM,
        brief=a_brief(),
        estimate=answer,
        low=answer.price.likely,
        likely=answer.price.likely,
        high=answer.price.likely,
        currency="USD",
        deposit=Decimal(100),
        created_at=NOON,
        expires_at=datetime(2027, 2, 1, tzinfo=UTC),
        sent_at=NOON,
    )


def lines(actuals: Actuals, answer: Estimate = PLANNED) -> Mapping[str, CostLine]:
    return {line.label: line for line in compare(quoted(answer), BOOK, actuals).lines}


def test_what_was_not_told_went_as_planned_to_the_cent() -> None:
    found = compare(quoted(), BOOK, Actuals())
    direct = [line for line in PLANNED.cost_lines if line.code != "overhead"]
    assert found.real_cost == found.planned_cost
    assert found.planned_cost == sum((line.amount for line in direct), Decimal(0)).quantize(CENT)
    assert {line.label for line in found.lines} == {line_name(line) for line in direct}
    assert found.planned_cost == direct_cost(PLANNED)
    assert not any(line.told for line in found.lines)
    assert not any(each.told for each in (*found.hours, *found.balloons, *found.burst))
    assert found.place is Place.WITHIN


def test_hours_cost_the_wage_and_only_what_was_told_is_marked() -> None:
    wage = BOOK.labour.wage
    found = lines(Actuals(hours={"tying": 1.5}))
    assert found["Tying: time"].real == Decimal("1.50") * wage
    assert found["Tying: time"].told
    assert not found["Setting up: time"].told
    assert found["Setting up: time"].real == found["Setting up: time"].planned


@pytest.mark.parametrize("crew", [1, 2, 3])
def test_everybody_rides_in_the_car(crew: int) -> None:
    answer = replace(PLANNED, plan=replace(PLANNED.plan, crew=crew))
    told = Actuals(drive_h=1.5)
    (drive,) = (e for e in compare(quoted(answer), BOOK, told).hours if e.name == "drive")
    assert (drive.real, drive.told) == (1.5 * crew, True)
    cost = lines(told, answer)[time_of("drive")]
    assert cost.real == Decimal("1.5") * crew * BOOK.labour.wage


def test_work_that_was_not_planned_costs_its_time() -> None:
    assert not PLANNED.hours["foils"]
    found = lines(Actuals(hours={"foils": 0.5}))["Foils: time"]
    assert found.planned == 0
    assert found.real == BOOK.labour.wage / 2


def test_a_task_that_fell_away_costs_nothing() -> None:
    found = lines(Actuals(hours={"finish": 0.0}))["Finishing touches: time"]
    assert found.planned > 0
    assert found.real == 0


def test_balloons_are_valued_as_the_estimate_values_them() -> None:
    # Every balloon that was taken along was used up: exactly what was planned.
    assert compare(quoted(), BOOK, Actuals(used=TAKEN)).real_cost == (
        compare(quoted(), BOOK, Actuals()).real_cost
    )
    size = max(KEYS)[0]
    label = f"{size} in balloons, with spares"
    before, twice = lines(Actuals()), {key: 2 * n for key, n in KEYS.items() if key[0] == size}
    after = lines(Actuals(used_by=twice))
    assert after[label].real == 2 * before[label].real
    assert {name: line.real for name, line in after.items() if name != label} == {
        name: line.real for name, line in before.items() if name != label
    }
    rated = (line for line in PLANNED.cost_lines if line.label == label)
    assert before[label].planned == sum(line.quantity * line.rate for line in rated)


def test_miles_cost_the_books_rate() -> None:
    found = lines(Actuals(driven_m=20_000.0))["car"]
    assert found.real == 20 * BOOK.travel.price_per_km
    assert found.told


def test_what_was_bought_besides_is_a_line_of_its_own() -> None:
    extra = Extra(what="zip ties", amount=Decimal("7.25"))
    more = compare(quoted(), BOOK, Actuals(extras=(extra,)))
    assert more.lines[-1] == CostLine(
        label="zip ties", planned=Decimal(0), real=Decimal("7.25"), told=True
    )
    assert more.real_cost - more.planned_cost == Decimal("7.25")
    assert more.planned_margin - more.real_margin == Decimal("7.25")


def test_the_margin_is_of_what_was_charged_before_tax() -> None:
    price = PLANNED.price
    due = 1 + price.tax_rate * price.taxable_share if price.tax_included else 1
    found = compare(quoted(), BOOK, Actuals(), charged=Decimal(100))
    assert found.price == (100 / Decimal(due)).quantize(CENT)
    assert found.real_margin == found.price - found.real_cost


@pytest.mark.parametrize(("spent", "place"), [("0", Place.WITHIN), ("10000", Place.ABOVE)])
def test_it_is_said_where_the_cost_fell(spent: str, place: Place) -> None:
    extras = (Extra(what="a new pump", amount=Decimal(spent)),) if Decimal(spent) else ()
    assert compare(quoted(), BOOK, Actuals(extras=extras)).place is place


def test_a_job_that_took_next_to_nothing_fell_below() -> None:
    nothing = dict.fromkeys((task for task in PLANNED.hours if task != "drive"), 0.0)
    assert compare(quoted(), BOOK, Actuals(hours=nothing)).place is Place.BELOW


def test_a_fee_for_the_zone_does_not_ask_how_far_it_was() -> None:
    zoned = replace(
        BOOK,
        travel=replace(BOOK.travel, zones=(Zone(up_to_m=1e9, fee=Decimal(25)),)),
    )
    answer = estimate(a_brief(), zoned, today=date(2027, 1, 10))
    told = compare(quoted(answer), zoned, Actuals(driven_m=90_000.0))
    assert told.real_cost == told.planned_cost
    assert told.driven.told


@given(st.integers(0, 5000))
@settings(max_examples=25, deadline=None)
def test_a_total_is_shared_out_whole_and_in_proportion(used: int) -> None:
    shared = used_by_key(Actuals(used=used), PLANNED)
    assert shared is not None
    assert sum(shared.values()) == used
    assert all(abs(shared[key] - used * n / TAKEN) < 1 for key, n in KEYS.items())


def test_what_is_known_exactly_is_not_shared_out() -> None:
    key = min(KEYS)
    shared = used_by_key(Actuals(used=TAKEN + 20, used_by={key: KEYS[key] + 20}), PLANNED)
    assert shared == {**KEYS, key: KEYS[key] + 20}
    assert used_by_key(Actuals(used_by={key: 3}), PLANNED) == {**KEYS, key: 3}
    assert used_by_key(Actuals(burst={key[0]: 3}), PLANNED) is None
    assert compare(quoted(), BOOK, Actuals(used=TAKEN)).shared_out
    assert not compare(quoted(), BOOK, Actuals(used=TAKEN, used_by=KEYS)).shared_out
    assert used_by_size(Actuals(used=TAKEN), PLANNED) == by_size(KEYS)


def test_a_total_follows_from_every_size_and_color() -> None:
    assert settled(Actuals(used_by=KEYS), PLANNED).used == TAKEN
    assert settled(Actuals(used_by={min(KEYS): 1}), PLANNED).used is None


@pytest.mark.parametrize(
    ("actuals", "field", "text"),
    [
        (Actuals(hours={"tying": -1.0}), "hours.tying", "at most 500 hours"),
        (Actuals(hours={"tying": float("nan")}), "hours.tying", "at most 500 hours"),
        (Actuals(hours={"drive": 1.0}), "hours.drive", "no such task"),
        (Actuals(drive_h=1000.0), "drive_h", "at most 500 hours"),
        (Actuals(driven_m=9e6), "driven", "too far"),
        (Actuals(used=-1), "used", "whole number"),
        (Actuals(used=5, used_by={min(KEYS): 6}), "used", "more than that"),
        (Actuals(used=TAKEN + 1, used_by=KEYS), "used", "less than that"),
        (Actuals(used_by={(3, "plaid"): 6}), "used.3.plaid", "no such balloons"),
        (Actuals(burst={3: 1}), "burst.3", "no balloons of that size"),
        (Actuals(used=10, burst={min(KEYS)[0]: 11}), f"burst.{min(KEYS)[0]}", "of that size"),
        (Actuals(extras=(Extra(what="", amount=Decimal(1)),)), "extras.0", "what it was"),
        (Actuals(extras=(Extra(what="tape", amount=Decimal(0)),)), "extras.0", "above 0"),
        (
            Actuals(extras=(Extra(what="tape", amount=Decimal(1)),) * 11),
            "extras.10",
            "room for 10",
        ),
    ],
)
def test_what_cannot_be_is_said_by_field(actuals: Actuals, field: str, text: str) -> None:
    faults = wrong_with(actuals, "", PLANNED)
    assert text in faults[field]


def test_one_line_is_one_line() -> None:
    assert "one line" in wrong_with(Actuals(), "rain\nand wind", PLANNED)["went_wrong"]
    assert wrong_with(Actuals(), "rain and wind", PLANNED) == {}


def test_balloons_that_stand_in_for_others_cost_in_proportion() -> None:
    # A colour that is not kept in one size is made of another: its own size has no cost line.
    answer = replace(
        PLANNED,
        cost_lines=tuple(
            replace(line, label=line.label.replace(line.label.split()[0], "99"))
            if line.code == "balloons"
            else line
            for line in PLANNED.cost_lines
        ),
    )
    planned = compare(quoted(answer), BOOK, Actuals())
    twice = compare(quoted(answer), BOOK, Actuals(used=2 * TAKEN))
    goods = sum(line.amount for line in PLANNED.cost_lines if line.code == "balloons")
    assert twice.real_cost - planned.real_cost == pytest.approx(goods, abs=Decimal("0.02"))


def asked(**told: Any) -> set[str]:
    return set(far_off(Actuals(**told), PLANNED))


def test_what_is_far_off_its_plan_is_asked_about() -> None:
    install, drive = PLANNED.hours["install"], PLANNED.hours["drive"] / PLANNED.plan.crew
    size, name = key = min(KEYS)
    assert asked(used=100 * TAKEN) == asked(used=TAKEN // 10) == {"used"}
    assert asked(hours={"install": 4 * install + 1}) == {"hours.install"}
    assert asked(drive_h=40.0, driven_m=900_000.0) == {"drive_h", "driven"}
    assert asked(used_by={key: 10 * KEYS[key] + 30}) == {f"used.{size}.{name}"}
    assert asked(burst={size: by_size(KEYS)[size] // 2}) == {f"burst.{size}"}
    dear = Extra(what="a van", amount=direct_cost(PLANNED) + 1)
    assert asked(extras=(dear,)) == {"extras.0"}
    assert far_off(Actuals(used=9_000), PLANNED)["used"] == (
        f"Planned {TAKEN}, told 9,000: is it so?"
    )
    # Much of what is told is a little off, and work that fell away is no slip.
    assert not asked(hours={"install": 2 * install, "tying": 0.0}, drive_h=2 * drive)
    assert not asked(used=2 * TAKEN, burst={size: 5}, extras=(replace(dear, amount=Decimal(20)),))
    assert not asked(as_planned=True)


def test_it_went_as_planned_or_it_took_what_is_told() -> None:
    extra = Extra(what="zip ties", amount=Decimal("7.25"))
    both = Actuals(as_planned=True, used=TAKEN)
    assert set(wrong_with(both, "", PLANNED)) == {"as_planned"}
    assert not wrong_with(Actuals(as_planned=True, extras=(extra,)), "", PLANNED)
    assert not Actuals(as_planned=True).measured
    assert Actuals(burst={10: 0}).measured
