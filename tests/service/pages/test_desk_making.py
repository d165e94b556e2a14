"""What a job takes and costs, as the desk tells the owner."""

import re
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from starlette.testclient import TestClient

from service.estimating import (
    Accent,
    AccentKind,
    Event,
    Floating,
    FloatKind,
    Ground,
    Pattern,
    Piece,
    Setting,
    Site,
    Support,
)
from service.leads import words
from service.leads.lead import Window
from service.pages.desk.costs import steps_to_price
from service.pages.desk.making import made_of
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, build_shop
from tests.service.pages.reading import text_of

BOSTON = ZoneInfo("America/New_York")
SUNDAY = date(2027, 6, 6)
OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")


def test_the_costs_lead_to_the_price_step_by_step(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    estimate = shop.estimate(a_brief())
    direct = [line.amount for line in estimate.cost_lines if line.code != "overhead"]
    steps = steps_to_price(estimate, shop.price_books.current(), day=SUNDAY)
    assert steps[0].amount == sum(direct)
    assert steps[-1].amount == estimate.price.likely
    assert sum(step.amount for step in steps[:-1]) == estimate.price.likely
    labels = [step.label for step in steps]
    assert labels[1:4] == ["Overhead, 15%", "Mark-up, 45% on cost and overhead", "Weekend, 8%"]
    overhead = next(line.amount for line in estimate.cost_lines if line.code == "overhead")
    assert steps[1].amount == overhead
    text = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    for label in labels:
        assert label in text
    assert "of cost</td>" not in owner.get(f"/desk/leads/{lead.id}").text
    assert "0.5 share" not in text
    assert "50%of $" in text  # the charged part of what is left in the packs
    assert "$0.108" in text
    assert "(16 ft 3 in)" in text


@pytest.mark.parametrize(
    ("day", "named"),
    [
        (date(2027, 1, 13), ["Short notice, 20%"]),
        (date(2027, 1, 16), ["Short notice, 20%", "Weekend, 8%"]),
        (date(2027, 7, 4), ["Independence Day, 15%"]),  # a Sunday: the greater share alone
    ],
)
def test_what_a_day_adds_has_its_name(day: date, named: list[str], shop: BuiltShop) -> None:
    estimate = shop.estimate(a_brief(event=Event(date=day)))
    steps = steps_to_price(estimate, shop.price_books.current(), day=day)
    assert [step.label for step in steps[3:-2]] == named
    assert sum(step.amount for step in steps[:-1]) == estimate.price.likely


def test_tax_within_the_price_is_charged_on_its_taxable_part_alone(tmp_path: Path) -> None:
    shop = _with_book(tmp_path, "tax_included: false", "tax_included: true")
    estimate = shop.estimate(a_brief(client_keeps=True))
    share = estimate.price.taxable_share
    assert 0 < share < 1
    steps = steps_to_price(estimate, shop.price_books.current(), day=SUNDAY)
    (tax,) = [step for step in steps if "Sales tax" in step.label]
    before = sum(step.amount for step in steps[: steps.index(tax)])
    assert tax.amount == before * estimate.price.tax_rate * share
    assert f"on the {(100 * share).normalize():f}% of it that is taxed" in tax.label
    assert sum(step.amount for step in steps[:-1]) == estimate.price.likely
    shop.engine.dispose()


def test_hours_at_a_target_lead_to_the_price_too(tmp_path: Path) -> None:
    shop = _with_book(tmp_path, "charge: markup", "charge: hourly_target")
    estimate = shop.estimate(a_brief())
    steps = steps_to_price(estimate, shop.price_books.current(), day=SUNDAY)
    assert "hours at $55 instead of their cost" in " ".join(step.label for step in steps)
    assert sum(step.amount for step in steps[:-1]) == estimate.price.likely
    # What the last step adds is the middle of the range and rounding, never a forgotten part.
    assert abs(steps[-2].amount) < estimate.price.likely * Decimal("0.1")
    shop.engine.dispose()


def test_shares_of_another_price_book_are_left_out(shop: BuiltShop, tmp_path: Path) -> None:
    estimate = shop.estimate(a_brief())
    other = _with_book(tmp_path / "other", "jobs_at_once: 1", "jobs_at_once: 2")
    steps = steps_to_price(estimate, other.price_books.current(), day=SUNDAY)
    assert [step.label for step in steps] == ["What it costs you, before overhead", "Likely price"]
    other.engine.dispose()


def _with_book(folder: Path, old: str, new: str) -> BuiltShop:
    good = PRICE_BOOK.read_text(encoding="utf-8")
    assert old in good
    folder.mkdir(exist_ok=True)
    book = folder / "other_book.yaml"
    book.write_text(good.replace(old, new), encoding="utf-8")
    return build_shop(folder, price_book=book)


AFLOAT: dict[str, Any] = {
    "pieces": (
        Piece(
            support=Support.HOOP,
            width_m=1.8288,
            pattern=Pattern.OMBRE,
            accents=(Accent(kind=AccentKind.SIGN, words="Fifty years afloat"),),
        ),
    ),
    "event": Event(date=date(2027, 6, 12), start_time=time(14)),
    "site": Site(
        setting=Setting.OUTDOOR,
        place="boathouse lawn",
        postal_code="02472",
        temperature_c=35,
        gust_m_s=8,
        ground=Ground.GRASS,
    ),
    "floating": (Floating(kind=FloatKind.LATEX, size_class=11, count=12, treated=True),),
}


def test_the_desk_tells_what_the_job_takes(shop: BuiltShop, owner: TestClient) -> None:
    brief = a_brief(**AFLOAT)
    estimate = shop.estimate(brief)
    text = text_of(owner.get(f"/desk/leads/{shop.quoted(brief).id}").text)
    assert "hoop, 6 ft across, full, in ombré; with a sign (“Fifty years afloat”)" in text
    assert "12 helium balloons, 11 in latex, treated to float longer: up for 48 to 96 hours" in text
    # 35 °C; 8 m/s / 0.44704
    assert "95 °F, gusts of 18 mph, on grass" in text
    assert estimate.wind is not None
    assert "Reckoned with gusts of 18 mph" in text
    assert text.count(estimate.wind.caution) == 1
    assert estimate.expansion is not None
    grown = (estimate.expansion.diameter_ratio - 1) * 100
    assert f"balloons grow by {grown:.1f}% across" in text
    for fitting in estimate.fittings:
        assert fitting.label.removesuffix(": wear") in text
        assert fitting.place.rstrip(".")[1:] in text
    assert estimate.known_as in text
    assert f"Most of the spread is {estimate.drivers[0].name}" in text
    spare = next(line for line in estimate.spares if line.taken > line.placed)
    assert f"{spare.taken - spare.placed} × {spare.colour} {spare.size_class} in" in text


def test_times_are_told_by_the_clock_and_never_too_late(shop: BuiltShop) -> None:
    brief = a_brief(**AFLOAT)
    estimate = shop.estimate(brief)
    facts = {f.label: f.text for f in made_of(estimate, brief, None, BOSTON).times}
    start = datetime(2027, 6, 12, 14, tzinfo=BOSTON)
    plan = estimate.plan
    for label, hours in (("Leave", plan.leave_before_h), ("Arrive", plan.arrive_before_h)):
        said = _moment_in(facts[label], date(2027, 6, 12))
        assert timedelta(0) <= start - timedelta(hours=hours) - said < timedelta(minutes=5)
    # Outdoors a small balloon keeps for twelve hours.
    assert plan.ahead_h == 12
    assert facts["Make"].startswith("from 2:00\u00a0AM on")
    assert facts["Fill helium"].startswith("from 11:00\u00a0AM on")


def test_a_time_that_the_client_picked_moves_arriving_and_leaving(shop: BuiltShop) -> None:
    brief = a_brief()
    estimate = shop.estimate(brief)
    nine = datetime(2027, 6, 6, 9, tzinfo=BOSTON)
    window = Window(starts_at=nine, ends_at=nine + timedelta(hours=2))
    facts = {f.label: f.text for f in made_of(estimate, brief, window, BOSTON).times}
    assert _moment_in(facts["Arrive"], nine.date()) == nine
    plan = estimate.plan
    away = timedelta(hours=plan.leave_before_h - plan.arrive_before_h)
    assert (
        timedelta(0) <= nine - away - _moment_in(facts["Leave"], nine.date()) < timedelta(minutes=5)
    )


def test_hours_before_it_starts_are_told_where_the_start_is_open(shop: BuiltShop) -> None:
    brief = a_brief(event=Event(date=date(2027, 6, 6)))
    facts = {f.label: f.text for f in made_of(shop.estimate(brief), brief, None, BOSTON).times}
    assert facts["Leave"].endswith("before it starts")
    assert "2027" not in " ".join(facts.values())


def test_hours_pass_also_where_the_clocks_change(shop: BuiltShop) -> None:
    # In the night to November 7, 2027, the clocks go back at 2 AM.
    brief = a_brief(event=Event(date=date(2027, 11, 7), start_time=time(10)))
    estimate = shop.estimate(brief)
    (made, *_) = made_of(estimate, brief, None, BOSTON).times
    start = datetime(2027, 11, 7, 10, tzinfo=BOSTON).astimezone(UTC)
    ahead = start - _moment_in(made.text.removeprefix("from "), date(2027, 11, 7)).astimezone(UTC)
    assert ahead == timedelta(hours=estimate.plan.ahead_h)


def _moment_in(text: str, event_day: date) -> datetime:
    """The moment that a text begins with; a time alone is of the event's day."""
    said = re.match(r"(?:(\w+, \w+ \d+, \d+), )?(\d+:\d+ [AP]M)", text.replace("\u00a0", " "))
    assert said is not None, text
    day = said[1] or words.day(event_day)
    moment = datetime.strptime(f"{day} {said[2]} +0000", "%A, %B %d, %Y %I:%M %p %z")
    return moment.replace(tzinfo=BOSTON)


def test_a_job_of_air_indoors_says_nothing_of_helium_wind_and_heat(
    shop: BuiltShop, owner: TestClient
) -> None:
    html = owner.get(f"/desk/leads/{shop.quoted(a_brief()).id}").text
    summaries = re.findall(r"<summary>(.*?)</summary>", html)
    assert "What goes on and under it" in summaries
    assert not {"Helium", "Wind", "Sizing for the place"} & set(summaries)
