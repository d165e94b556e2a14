import math
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from service.estimating import Hours, Observation, Packing, Taken
from service.leads.accuracy import accuracy, wilson
from service.leads.actuals import Actuals, Finished
from service.leads.expectations import Range, Told

NOON = datetime(2027, 7, 1, 12, tzinfo=UTC)


def told(low: int, likely: int, high: int) -> Range:
    return Range(low=Decimal(low), likely=Decimal(likely), high=Decimal(high))


def job(real: int, **more: Any) -> Finished:
    """A job told to cost 80 to 125, most likely 100."""
    said = Told(
        quoted=more.pop("quoted", told(80, 100, 125)),
        by_book=more.pop("by_book", told(80, 100, 125)),
        hours=more.pop("hours", {"tying": 1.0, "drive": 0.5}),
        calibration=more.pop("calibration", None),
    )
    observation = Observation(
        job="job", supports=frozenset({"wall"}), hours={}, **more.pop("seen", {})
    )
    usual: dict[str, Any] = {
        "lead_id": "lead",
        "quote_id": "quote",
        "done_on": date(2027, 6, 6),
        "actuals": Actuals(used=300),
        "went_wrong": "",
        "back": False,
        "currency": "USD",
        "real_cost": Decimal(real),
        "observation": observation,
        "told": said,
        "entered_at": NOON,
        "changed_at": NOON,
        "who": "owner",
        "revision": 1,
    }
    return Finished(**usual | more)


def test_no_job_says_nothing() -> None:
    found = accuracy([], currency="USD")
    assert (found.months, found.misses, found.enough) == ((), (), False)
    assert (found.coverage.share, found.coverage.low, found.coverage.high) == (None, 0.0, 1.0)
    assert found.losses.ratio is None
    assert (found.balloons.factor, found.balloons.taken) == (None, 0)


def test_real_costs_are_counted_within_below_and_above_their_range() -> None:
    found = accuracy([job(cost) for cost in (79, 80, 100, 125, 126, 140)], currency="USD").coverage
    assert (found.below, found.within, found.above, found.jobs) == (1, 3, 2, 6)
    assert found.share == 0.5
    assert found.as_meant
    all_out = accuracy([job(200)] * 12, currency="USD")
    assert not all_out.coverage.as_meant
    assert all_out.enough


@pytest.mark.parametrize(
    ("hits", "trials", "low", "high"),
    # By the formula: p = 0.8, n = 10: (0.8 + 0.19207 ± 1.95996 sqrt(0.016 + 0.0096036)) / 1.38415
    [(8, 10, 0.4902, 0.9433), (80, 100, 0.7112, 0.8666), (0, 5, 0.0, 0.4345), (5, 5, 0.5655, 1.0)],
)
def test_few_jobs_allow_for_much(hits: int, trials: int, low: float, high: float) -> None:
    assert wilson(hits, trials) == pytest.approx((low, high), abs=1e-4)


def test_money_is_added_up_by_month_in_the_shop_s_currency_only() -> None:
    jobs = [
        job(90, done_on=date(2027, 5, 30)),
        job(130),
        job(110, done_on=date(2027, 6, 26)),
        job(500, currency="CAD"),
    ]
    found = accuracy(jobs, currency="USD")
    assert [
        (each.month, each.jobs, each.likely, each.real, each.within) for each in found.months
    ] == [
        (date(2027, 5, 1), 1, Decimal(100), Decimal(90), 1),
        (date(2027, 6, 1), 2, Decimal(200), Decimal(240), 1),
    ]
    assert found.elsewhere == 1
    assert found.coverage.jobs == 4


def test_the_loss_of_what_was_quoted_is_held_against_the_book_s() -> None:
    # The book's 80, 100, 125 for a real 150: (0.1 x 70 + 0.5 x 50 + 0.9 x 25) / 3 = 18.1667, of
    # 100. Quoted 120, 150, 190: (0.1 x 30 + 0 + 0.1 x 40) / 3 = 2.3333.
    better = job(150, quoted=told(120, 150, 190), calibration="learnt")
    found = accuracy([better, job(150)], currency="USD").losses
    assert found.jobs == 1
    assert found.by_book == pytest.approx(0.181667, abs=1e-6)
    assert found.quoted == pytest.approx(0.023333, abs=1e-6)
    assert found.ratio == pytest.approx(0.12844, abs=1e-5)
    assert not found.sure


def test_a_difference_that_every_job_shows_is_no_chance() -> None:
    better = [
        job(real, quoted=told(120, 150, 190), calibration="learnt") for real in range(140, 160, 2)
    ]
    mixed = [job(real, quoted=told(81, 101, 126), calibration="learnt") for real in (90, 110) * 5]
    assert accuracy(better, currency="USD").losses.sure
    assert not accuracy(mixed, currency="USD").losses.sure


def noted(tying: float, drive: float | None = None) -> Finished:
    observation = Observation(
        job="job",
        supports=frozenset({"wall"}),
        hours={"tying": Hours(planned_h=9.0, actual_h=tying)},
        drive=None if drive is None else Hours(planned_h=9.0, actual_h=drive),
    )
    return job(100, observation=observation)


def test_tasks_are_held_against_what_was_quoted_the_worst_first() -> None:
    # Quoted: tying 1 h, the drive half an hour by the clock.
    drive, tying = accuracy([noted(1.1, 1.0), noted(1.21, 1.0)], currency="USD").misses
    assert (drive.task, drive.jobs, drive.factor, drive.scatter) == ("drive", 2, 2.0, 0.0)
    assert drive.hours == pytest.approx(0.5)
    assert tying.factor == pytest.approx(math.sqrt(1.1 * 1.21))
    assert tying.scatter == pytest.approx(math.log(1.1) / math.sqrt(2))
    assert tying.hours == pytest.approx(math.sqrt((0.1**2 + 0.21**2) / 2))
    (alone,) = accuracy([noted(1.1)], currency="USD").misses
    assert alone.scatter is None


def test_balloons_are_counted_over_all_jobs() -> None:
    one = {"packing": Packing(planned=200, used=220), "balloons": {10: Taken(taken=100, burst=2)}}
    other = {"packing": Packing(planned=100, used=95), "balloons": {18: Taken(taken=50, burst=4)}}
    found = accuracy([job(100, seen=one), job(100, seen=other)], currency="USD").balloons
    assert found.factor == pytest.approx(315 / 300)
    assert (found.taken, found.burst) == (150, 6)
    assert (found.packed, found.counted) == (2, 2)


@pytest.mark.parametrize("said", [Actuals(as_planned=True), Actuals()])
def test_a_job_of_which_nothing_was_measured_proves_no_estimate(said: Actuals) -> None:
    found = accuracy([job(100, actuals=said), job(130)], currency="USD")
    assert (found.unmeasured, found.coverage.within, found.coverage.above) == (1, 0, 1)
    assert [month.jobs for month in found.months] == [1]
