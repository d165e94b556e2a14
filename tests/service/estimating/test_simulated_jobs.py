"""Ranges and calibration of whole estimates, held against simulated jobs."""

import datetime as dt
from collections.abc import Iterator
from statistics import fmean, median

from service.estimating import Brief, ColourShare, Event, Piece, PriceBook, Setting, Site, Support
from service.estimating.calibration import Calibration, Observation, calibrate
from service.estimating.rehearsal import rehearsal
from service.estimating.risk import prior_of
from service.estimating.scoring import coverage
from service.estimating.simulation import Actual, Truth, observed, simulate
from service.estimating.uncertainty import outcome

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
TUESDAY = Event(date=dt.date(2027, 6, 8), start_time=dt.time(15))
PALETTE = tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold"))
FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
PAIR = Piece(support=Support.COLUMN, height_m=1.9, count=2)
STAIRS = Piece(support=Support.STAIRCASE, rise_m=2.6, run_m=3.3)
WALL = Piece(support=Support.WALL, length_m=3.5)
JOBS = ((FRAME,), (FRAME, PAIR), (STAIRS,), (WALL,), (FRAME, WALL), (PAIR,))
SLOW = 1.25
"""The true hours of the slow shop, over its price book's rates."""


def brief_of(*pieces: Piece) -> Brief:
    return Brief(pieces=pieces, palette=PALETTE, event=TUESDAY, site=HALL)


def p10_to_p90(brief: Brief, book: PriceBook, calibration: Calibration) -> tuple[float, ...]:
    plan = rehearsal(brief, book, calibration, today=TODAY)
    whole, chances = sum(plan.amounts.values()), outcome(plan.amounts, plan.weights)
    return whole * chances.low, whole * chances.likely, whole * chances.high


def slow(brief: Brief, book: PriceBook, *, seed: int, draws: int) -> tuple[Actual, ...]:
    plan = rehearsal(brief, book, today=TODAY)
    truth = Truth(factors={**dict.fromkeys(plan.hours, SLOW), "drive": SLOW})
    return simulate(plan, seed=seed, draws=draws, truth=truth)


def test_four_in_five_jobs_fall_within_their_range(book: PriceBook) -> None:
    unconditional = calibrate(prior_of(book), ())
    for number, pieces in enumerate(JOBS):
        brief = brief_of(*pieces)
        low, _, high = p10_to_p90(brief, book, unconditional)
        drawn = simulate(rehearsal(brief, book, today=TODAY), seed=number, draws=2000)
        within = coverage([(low, high)] * len(drawn), [actual.total for actual in drawn])
        assert abs(within - 0.8) <= 0.03, f"{pieces}: {within:.1%} within P10 to P90"


def test_twelve_jobs_of_a_slow_shop_bring_its_ranges_home(book: PriceBook) -> None:
    brief, errors, shares = brief_of(FRAME), [], []
    for shop in range(12):
        calibration = calibrate(prior_of(book), finished(book, shop=shop, jobs=12))
        low, likely, high = p10_to_p90(brief, book, calibration)
        fresh = [actual.total for actual in slow(brief, book, seed=10_000 + shop, draws=1000)]
        errors.append(likely / median(fresh) - 1)
        shares.append(coverage([(low, high)] * len(fresh), fresh))
    assert abs(fmean(errors)) <= 0.04
    assert sum(abs(error) <= 0.08 for error in errors) >= 11
    assert abs(fmean(shares) - 0.8) <= 0.06


def test_without_its_record_the_slow_shop_is_outside_its_ranges_too_often(book: PriceBook) -> None:
    brief = brief_of(FRAME)
    low, _, high = p10_to_p90(brief, book, calibrate(prior_of(book), ()))
    fresh = [actual.total for actual in slow(brief, book, seed=7, draws=2000)]
    assert coverage([(low, high)] * len(fresh), fresh) < 0.74


def finished(book: PriceBook, *, shop: int, jobs: int) -> Iterator[Observation]:
    for number in range(jobs):
        brief = brief_of(*JOBS[number % len(JOBS)])
        (actual,) = slow(brief, book, seed=100 * shop + number, draws=1)
        plan = rehearsal(brief, book, today=TODAY)
        yield observed(plan, actual, job=f"{shop}-{number}")
