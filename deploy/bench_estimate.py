"""How fast and how true estimates are on this machine, today."""

import datetime as dt
import statistics
import time
from collections.abc import Iterator, Sequence

from deploy.questions import ORDINARY, TODAY, Questions, demo_book
from service import estimating as core
from service.api.translate import brief_to_core
from service.contract.brief import Brief
from service.estimating import Calibration, Observation, calibrate
from service.estimating.rehearsal import rehearsal
from service.estimating.risk import prior_of
from service.estimating.scoring import coverage
from service.estimating.simulation import Truth, observed, simulate
from service.estimating.uncertainty import outcome
from service.storage.places import Places

BRIEFS, LARGE, SHOPS, DRAWS = 200, 60, 40, 2000
SLOW = Truth(factors=dict.fromkeys((task.value for task in core.Task), 1.25))
"""Every task takes a quarter longer than the rates say."""


def main() -> None:
    """Speed first, then how true the ranges are."""
    book = demo_book()
    questions = Questions(book, seed=2027)
    ordinary = questions.bodies(BRIEFS, ORDINARY)
    _speed(f"estimate(), {BRIEFS} different briefs", ordinary, book)
    _speed(f"estimate(), {LARGE} briefs of six pieces", questions.bodies(LARGE, (6,)), book)
    _ranges(book)
    _slow_shop(book)


def _core(body: dict[str, object], book: core.PriceBook) -> core.Brief:
    return brief_to_core(Brief.model_validate(body), Places(), book.shop)


def _speed(title: str, bodies: Sequence[dict[str, object]], book: core.PriceBook) -> None:
    briefs = [_core(body, book) for body in bodies]
    core.estimate(briefs[0], book, today=TODAY)
    taken, proven = [], 0
    for brief in briefs:
        began = time.perf_counter()
        proven += core.estimate(brief, book, today=TODAY).shopping.proven_cheapest
        taken.append(1000 * (time.perf_counter() - began))
    median, high = statistics.median(taken), statistics.quantiles(taken, n=20)[-1]
    print(f"{title}: median {median:.2f} ms, p95 {high:.2f} ms, worst {max(taken):.2f} ms;")
    print(f"    shopping proven the cheapest in {proven} of {len(briefs)}")


def _jobs() -> tuple[core.Brief, ...]:
    frame = core.Piece(support=core.Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
    pair = core.Piece(support=core.Support.COLUMN, height_m=1.9, count=2)
    stairs = core.Piece(support=core.Support.STAIRCASE, rise_m=2.6, run_m=3.3)
    wall = core.Piece(support=core.Support.WALL, length_m=3.5)
    site = core.Site(setting=core.Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
    event = core.Event(date=dt.date(2027, 6, 8), start_time=dt.time(15))
    palette = tuple(core.ColourShare(colour=name) for name in ("sage", "cream", "gold"))
    pieces = ((frame,), (frame, pair), (stairs,), (wall,), (frame, wall), (pair,))
    return tuple(core.Brief(pieces=p, palette=palette, event=event, site=site) for p in pieces)


def _range_of(brief: core.Brief, book: core.PriceBook, known: Calibration) -> tuple[float, ...]:
    plan = rehearsal(brief, book, known, today=TODAY)
    whole, chances = sum(plan.amounts.values()), outcome(plan.amounts, plan.weights)
    return whole * chances.low, whole * chances.likely, whole * chances.high


def _within(brief: core.Brief, book: core.PriceBook, known: Calibration, truth: Truth) -> float:
    low, _, high = _range_of(brief, book, known)
    drawn = simulate(rehearsal(brief, book, today=TODAY), seed=5, draws=DRAWS, truth=truth)
    return coverage([(low, high)] * len(drawn), [actual.total for actual in drawn])


def _ranges(book: core.PriceBook) -> None:
    shares = [_within(brief, book, calibrate(prior_of(book), ()), Truth()) for brief in _jobs()]
    print(f"{DRAWS} simulated jobs each of {len(shares)} kinds: within P10 to P90, in per cent:")
    print("    " + ", ".join(f"{100 * share:.1f}" for share in shares))


def _finished(book: core.PriceBook, shop: int) -> Iterator[Observation]:
    for number, brief in enumerate(_jobs() * 2):
        plan = rehearsal(brief, book, today=TODAY)
        seed = 100 * shop + number
        (actual,) = simulate(plan, seed=seed, draws=1, truth=SLOW)
        yield observed(plan, actual, job=f"{shop}-{number}")


def _slow_shop(book: core.PriceBook) -> None:
    brief = _jobs()[0]
    drawn = simulate(rehearsal(brief, book, today=TODAY), seed=9, draws=DRAWS, truth=SLOW)
    true = statistics.median(actual.total for actual in drawn)
    before = _within(brief, book, calibrate(prior_of(book), ()), SLOW)
    errors, shares = [], []
    for shop in range(SHOPS):
        known = calibrate(prior_of(book), _finished(book, shop))
        errors.append(_range_of(brief, book, known)[1] / true - 1)
        shares.append(_within(brief, book, known, SLOW))
    home = sum(abs(e) <= 0.08 and abs(s - 0.8) <= 0.06 for e, s in zip(errors, shares, strict=True))
    print(f"A shop 25 % slower than its book, {SHOPS} times, after 12 jobs each:")
    print(f"    median off by {statistics.fmean(errors):+.1%} on average, at most", end=" ")
    print(f"{max(map(abs, errors)):.1%}; within P10 to P90 {statistics.fmean(shares):.1%}")
    print(f"    on average ({before:.1%} before); both bars met by {home} of {SHOPS} shops")


if __name__ == "__main__":
    main()
