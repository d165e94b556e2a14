"""What may come out differently, and how far: the price book's spread, the brief's gaps, the
shop's own record, brought together as factors of each group of costs.

Groups that share a factor move together: where the garland packs tighter there are more balloons
to pay for and more to inflate; a slow day is slow at every task. A task has a factor of its own
besides.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from service.estimating.book import PriceBook, Spread, Task
from service.estimating.brief import Brief
from service.estimating.calibration import Calibration, Prior
from service.estimating.costing import Costs, total
from service.estimating.paths import Support
from service.estimating.uncertainty import Outcome, Weights, outcome

_PACKED = frozenset({Task.SIZING_AND_INFLATING, Task.TYING, Task.CLUSTERING, Task.LINE_BUILD})
"""Tasks that take longer where the same garland takes more balloons."""

_BALLOONS = frozenset({"balloons", "leftovers"})
"""Cost lines that grow where the same garland takes more balloons; flowers and foils do not."""

_TASKS = tuple(Task)
_WORDS = {task: task.value.replace("_", " ") for task in Task}

_ON_STAIRS = frozenset({Task.INSTALL, Task.STRIKE})


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """Which of the facts that move the price the brief gives."""

    measures: bool
    palette: bool
    setting: bool
    date: bool
    time: bool
    site: bool

    @classmethod
    def of(cls, brief: Brief) -> "Known":
        """The facts of `brief`."""
        return cls(
            measures=not any(piece.measures_assumed for piece in brief.pieces),
            palette=bool(brief.palette),
            setting=brief.site.setting is not None,
            date=brief.event.date is not None,
            time=brief.event.start_time is not None,
            site=brief.site.latitude is not None,
        )

    @property
    def completeness(self) -> float:
        """Share of these facts that are known; the measures count twice, they weigh most."""
        facts = (self.palette, self.setting, self.date, self.time, self.site)
        return (2 * self.measures + sum(facts)) / (2 + len(facts))

    def doubts(self, spread: Spread) -> Mapping[str, float]:
        """Scatter of the whole price that each unknown fact adds."""
        doubts = {
            "size not measured": 0.0 if self.measures else spread.measures_assumed,
            "colors not chosen": 0.0 if self.palette else spread.palette_assumed,
            "indoors or outdoors": 0.0 if self.setting else spread.setting_unknown,
            "date not set": 0.0 if self.date else spread.date_unknown,
        }
        return {name: scatter for name, scatter in doubts.items() if scatter}


@dataclass(frozen=True, kw_only=True, slots=True)
class Risk:
    """Amounts of the groups of cost, and what each of them may be moved by."""

    amounts: Mapping[str, float]
    weights: Weights

    @property
    def outcome(self) -> Outcome:
        """P10, P50 and P90 of the total as multiples of its estimate."""
        return outcome(self.amounts, self.weights)


def prior_of(book: PriceBook) -> Prior:
    """What the price book says before any job is finished."""
    return Prior(
        hours_sd=book.spread.hours,
        packing_sd=book.spread.packing,
        driving_sd=book.spread.travel,
        breakage={size.size_class: size.breakage for size in book.sizes},
    )


def risk_of(
    brief: Brief,
    costs: Costs,
    hours: Mapping[str, float],
    known: Known,
    book: PriceBook,
    calibration: Calibration,
) -> Risk:
    """The risk of a job: balloons, other materials, support, driving, and labour task by task."""
    worked = [task for task in _TASKS if hours[task]]
    own: list[Task] = [task for task in worked if task is not Task.DRIVE]
    supports = {piece.support.value for piece in brief.pieces}
    paces = {task: _pace(task, supports, book.spread, calibration) for task in own}
    return Risk(
        amounts=_amounts(costs, {task: hours[task] for task in worked}, book),
        weights=_weights(paces, known, book.spread, calibration),
    )


def _amounts(costs: Costs, worked: Mapping[Task, float], book: PriceBook) -> Mapping[str, float]:
    balloons = total(line for line in costs.materials if line.code in _BALLOONS)
    wage = float(book.labour.wage)
    return {
        "balloons": float(balloons),
        "materials": float(total(costs.materials) - balloons),
        "support": float(total(costs.support)),
        "driving": float(total(costs.driving)),
        **{task.value: spent * wage for task, spent in worked.items()},
    }


def _weights(
    paces: Mapping[Task, Mapping[str, float]],
    known: Known,
    spread: Spread,
    calibration: Calibration,
) -> Weights:
    doubts = known.doubts(spread)
    packing = {"how tightly it packs": calibration.packing_width(spread.packing)}
    prices = {"prices": spread.prices, **doubts}
    way = {
        "traffic": calibration.driving_width(spread.travel),
        "distance not known": 0.0 if known.site else spread.distance_unknown,
        **doubts,
    }
    return {
        "balloons": {**packing, "breakage": spread.breakage, **prices},
        "materials": prices,
        "support": prices,
        "driving": way,
        **{
            task.value: {**pace, **(packing if task in _PACKED else {}), **doubts}
            for task, pace in paces.items()
        },
        Task.DRIVE.value: way,
    }


def _pace(
    task: Task, supports: Collection[str], spread: Spread, calibration: Calibration
) -> Mapping[str, float]:
    """How far the pace of one task scatters: with the day, and for itself."""
    widths = calibration.widths(task, supports, spread.hours)
    words = _WORDS[task]
    if Support.STAIRCASE in supports and task in _ON_STAIRS:
        own = (widths.own**2 + spread.stairs**2) ** 0.5
        return {"pace of work": widths.shared, f"{words} time on stairs": own}
    return {"pace of work": widths.shared, f"{words} time": widths.own}
