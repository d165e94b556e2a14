"""What may come out differently, and how far: the price book's spread, the brief's gaps, the
shop's own record, brought together as factors of each group of costs.

Groups that share a factor move together: where the garland packs tighter there are more balloons
to pay for and more to inflate; a slow day is slow at every task. A task has a factor of its own
besides.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from service.estimating.book import PriceBook, Spread, Task
from service.estimating.brief import Brief
from service.estimating.calibration import Calibration
from service.estimating.costing import Costs, total
from service.estimating.paths import Support
from service.estimating.uncertainty import Outcome, Weights, outcome

_PACKED = frozenset({Task.SIZING_AND_INFLATING, Task.TYING, Task.CLUSTERING, Task.LINE_BUILD})
"""Tasks that take longer where the same garland takes more balloons."""

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


def risk_of(
    brief: Brief,
    costs: Costs,
    hours: Mapping[str, float],
    known: Known,
    book: PriceBook,
    calibration: Calibration,
) -> Risk:
    """The risk of a job: materials, support, driving, and labour task by task."""
    spread = book.spread
    doubts = known.doubts(spread)
    packing = calibration.packing_width(spread.packing)
    way = {
        "traffic": calibration.driving_width(spread.travel),
        "distance not known": 0.0 if known.site else spread.distance_unknown,
    }
    amounts = {
        "materials": float(total(costs.materials)),
        "support": float(total(costs.support)),
        "driving": float(total(costs.driving)),
    }
    weights: dict[str, Mapping[str, float]] = {
        "materials": {
            "how tightly it packs": packing,
            "breakage": spread.breakage,
            "prices": spread.prices,
            **doubts,
        },
        "support": {"prices": spread.prices, **doubts},
        "driving": {**way, **doubts},
    }
    supports = {piece.support.value for piece in brief.pieces}
    stairs = spread.stairs if Support.STAIRCASE in supports else 0.0
    wage = float(book.labour.wage)
    for task in Task:
        spent = hours[task.value]
        if not spent:
            continue
        amounts[task.value] = spent * wage
        if task is Task.DRIVE:
            weights[task.value] = {**way, **doubts}
            continue
        widths = calibration.widths(task.value, supports, spread.hours)
        words = task.value.replace("_", " ")
        on_stairs = stairs if task in _ON_STAIRS else 0.0
        own = f"{words} time on stairs" if on_stairs else f"{words} time"
        weights[task.value] = {
            "pace of work": widths.shared,
            own: (widths.own**2 + on_stairs**2) ** 0.5,
            **({"how tightly it packs": packing} if task in _PACKED else {}),
            **doubts,
        }
    return Risk(amounts=amounts, weights=weights)
