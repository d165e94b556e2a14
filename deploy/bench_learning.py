"""How soon a shop is found out that works otherwise than its price book says, and how well.

`python -m deploy.bench_learning` runs shops whose truth is known through the API and the owner's
pages, in rounds of jobs that are asked for, quoted, booked, done and told. After every round each
lesson on offer is taken on the page. Then jobs that were never quoted are estimated over HTTP and
held against what the truth makes of them. Nothing is asserted.
"""

import datetime as dt
import logging
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

from deploy.simulated_shop import Fresh, SimulatedShop, truth_of
from service.app import create_app
from service.assembly import prepare
from service.config import Settings
from service.estimating import Task
from service.estimating.scoring import coverage, pinball_loss
from service.estimating.simulation import Truth, simulate
from service.estimating.uncertainty import outcome

TODAY = dt.date(2027, 1, 10)
ROUNDS, JOBS, FRESH, DRAWS = 5, 20, 12, 400
_LEVELS = (0.1, 0.5, 0.9)

_EVERY = {task.value: 1.25 for task in Task if task is not Task.DRIVE}
SHOPS = {
    "exactly as its book": truth_of(),
    "inflating 30 % slower, setting up 20 % quicker": truth_of(
        {Task.SIZING_AND_INFLATING: 1.3, Task.INSTALL: 0.8}
    ),
    "packs 12 % tighter, 11 in burst twice as often, drives 20 % longer": truth_of(
        packing=1.12, driving=1.2, breakage={11: 0.04}
    ),
    "25 % slower at everything": truth_of(_EVERY, driving=1.25),
}

_Range = Sequence[float]


@dataclass(frozen=True, kw_only=True)
class Measured:
    """Fresh jobs as estimated, against the truth; the ratio is to the loss of the book alone.

    `hours` is the mean of estimated over true hours of a job, `worst` the task that is furthest
    off; `within` and `within_by_book` are shares of real costs between P10 and P90.
    """

    hours: float
    worst: tuple[str, float]
    within: float
    within_by_book: float
    loss_ratio: float


def measure(jobs: Iterable[Fresh], truth: Truth, *, draws: int) -> Measured:
    """Hold estimates against draws from the truth."""
    pairs: dict[str, list[float]] = {}
    whole, within, by_book, losses, book_losses = [], [], [], [], []
    for seed, job in enumerate(jobs):
        true = {task: h * truth.factors.get(task, 1.0) for task, h in job.plan.hours.items()}
        said = {task: float(job.estimate["hours"][task]) for task in true}
        whole.append(sum(said.values()) / sum(true.values()))
        for task, hours in true.items():
            pairs.setdefault(task, []).append(said[task] / hours)
        drawn = simulate(job.plan, seed=seed, draws=draws, truth=truth)
        totals = [actual.total for actual in drawn]
        cost, booked = job.estimate["cost"], _by_book(job)
        told = [float(cost[level]) for level in ("low", "likely", "high")]
        within.append(coverage([(told[0], told[2])] * draws, totals))
        by_book.append(coverage([(booked[0], booked[2])] * draws, totals))
        losses.append(_loss(told, totals) / booked[1])
        book_losses.append(_loss(booked, totals) / booked[1])
    tasks = {task: fmean(ratios) for task, ratios in pairs.items()}
    return Measured(
        hours=fmean(whole),
        worst=max(tasks.items(), key=lambda each: abs(each[1] - 1)),
        within=fmean(within),
        within_by_book=fmean(by_book),
        loss_ratio=fmean(losses) / fmean(book_losses),
    )


def _by_book(job: Fresh) -> _Range:
    whole, chances = sum(job.plan.amounts.values()), outcome(job.plan.amounts, job.plan.weights)
    return [whole * level for level in (chances.low, chances.likely, chances.high)]


def _loss(told: _Range, totals: Sequence[float]) -> float:
    return fmean(
        pinball_loss(share, [level] * len(totals), totals)
        for share, level in zip(_LEVELS, told, strict=True)
    )


def main() -> None:
    """Every shop, round by round."""
    logging.disable(logging.CRITICAL)
    for seed, (name, truth) in enumerate(SHOPS.items()):
        print(f"A shop {name}:")
        with tempfile.TemporaryDirectory() as folder:
            _run(Path(folder), truth, seed)


def _run(folder: Path, truth: Truth, seed: int) -> None:
    settings = Settings(
        data=folder,
        # Nothing listens there: the worker is played.
        redis_url="redis://127.0.0.1:9/0",
        reference_date=TODAY,
    )
    prepare(settings)
    shop = SimulatedShop(create_app(settings), settings, truth, seed, TODAY)
    for _ in range(ROUNDS):
        shop.run(JOBS)
        taken = shop.take_every_lesson()
        found = measure(shop.fresh(FRESH), truth, draws=DRAWS)
        task, off = found.worst
        print(
            f"  {shop.jobs:4} jobs: hours {found.hours:5.3f} of the truth, worst {task} {off:.3f};"
            f" within P10 to P90 {found.within:.1%} ({found.within_by_book:.1%} by the book);"
            f" pinball loss {found.loss_ratio:.3f} of the book's; taken: {', '.join(taken) or '-'}"
        )
    told = shop.ask("owner", "GET", "/v1/accuracy")
    seen, losses = told["coverage"], told["losses"]
    ratio = "-" if losses["ratio"] is None else f"{losses['ratio']:.3f} over {losses['jobs']} jobs"
    print(
        f"  the accuracy page says: {seen['within']} of {seen['jobs']} within "
        f"({seen['low']:.0%} to {seen['high']:.0%}), pinball loss {ratio}"
    )
    shop.assembly.engine.dispose()


if __name__ == "__main__":
    main()
