"""What a finished job really took, as the owner tells it, and what is kept of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from service.estimating import Estimate, Observation, Task
from service.leads.expectations import Told
from service.leads.stock import Key

MOST_EXTRAS = 10
MOST_PHOTOS = 3
LONGEST_WHAT = 80
LONGEST_WRONG = 300

_MOST_HOURS = 500.0
_MOST_DRIVEN_M = 5_000_000.0
_MOST_BALLOONS = 100_000
_MOST_SPENT = Decimal(100_000)


@dataclass(frozen=True, kw_only=True, slots=True)
class Extra:
    """Something that was bought besides what was planned, in the currency of the quote."""

    what: str
    amount: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Actuals:
    """What was told of a job. What is missing went as planned, as far as anybody knows.

    `hours` are those of all hands together, by task and without the drive; `drive_h` [h] is how
    long the car drove by the clock and `driven_m` [m] how far, there and back on every trip.
    `used` balloons were used up in all, those that burst among them; `used_by` says so exactly for
    some sizes and colours. `burst` is by size class. `as_planned` is the owner's word that it all
    went so: no measurement, and so nothing is learnt from it.
    """

    hours: Mapping[str, float] = field(default_factory=dict)
    drive_h: float | None = None
    driven_m: float | None = None
    used: int | None = None
    used_by: Mapping[Key, int] = field(default_factory=dict)
    burst: Mapping[int, int] = field(default_factory=dict)
    extras: tuple[Extra, ...] = ()
    as_planned: bool = False

    @property
    def measured(self) -> bool:
        """Whether there is anything that can differ from the plan."""
        return self != Actuals(as_planned=self.as_planned)


@dataclass(frozen=True, kw_only=True, slots=True)
class Finished:
    """A job with what was told of it. `revision` is 1 at first and goes up with every change.

    `back`: what was not used went back to stock. `real_cost` is what the job cost, overhead left
    out; `observation` what is learnt from it, and `told` what its estimate said.
    """

    lead_id: str
    quote_id: str
    done_on: date
    actuals: Actuals
    went_wrong: str
    back: bool
    currency: str
    real_cost: Decimal
    observation: Observation
    told: Told
    entered_at: datetime
    changed_at: datetime
    who: str
    revision: int


@dataclass(frozen=True, kw_only=True, slots=True)
class JobPhoto:
    """A photo of a finished job."""

    id: str
    lead_id: str
    jpeg: bytes
    at: datetime
    who: str


class FinishedJobs(Protocol):
    """What was told of finished jobs."""

    def of(self, lead_id: str) -> Finished | None:
        """What was told of one job."""
        ...

    def save(self, finished: Finished) -> None:
        """Store it in place of what was told before."""
        ...

    def remove(self, lead_id: str) -> None:
        """It is as if nothing had been told; photos stay."""
        ...

    def since(self, day: date | None) -> list[Finished]:
        """Jobs done on that day or later, of which something was told; the oldest first."""
        ...

    def all_observations(self) -> list[Observation]:
        """What there is to be learnt from every job, the oldest first."""
        ...

    def untold(self, *, since: date, limit: int) -> list[str]:
        """Ids of jobs done from that day on of which nothing was told; the newest first."""
        ...

    def photos(self, lead_id: str) -> list[JobPhoto]:
        """A job's photos, the oldest first."""
        ...

    def photo(self, photo_id: str) -> JobPhoto | None:
        """One photo."""
        ...

    def add_photo(self, photo: JobPhoto) -> None:
        """Keep a photo. One of the same name stays as it is."""
        ...

    def drop_photo(self, photo_id: str) -> None:
        """Throw a photo away."""
        ...


def settled(actuals: Actuals, estimate: Estimate) -> Actuals:
    """With the number of all balloons, where it follows from every size and colour."""
    planned = planned_by_key(estimate).keys()
    if actuals.used is None and planned and planned <= actuals.used_by.keys():
        return replace(actuals, used=sum(actuals.used_by.values()))
    return actuals


def planned_by_key(estimate: Estimate) -> Mapping[Key, int]:
    """Balloons that the job took along, spares among them, by size and colour."""
    return {(line.size_class, line.colour): line.taken for line in estimate.spares}


def used_by_key(actuals: Actuals, estimate: Estimate) -> Mapping[Key, int] | None:
    """Balloons used up by size and colour; None where nothing of it was told.

    What is known of the total only is shared out in the proportions that were planned; without a
    total, the rest went as planned.
    """
    planned, told = planned_by_key(estimate), actuals.used_by
    if actuals.used is None:
        return {**planned, **told} if told else None
    rest = {key: count for key, count in planned.items() if key not in told}
    shared = _shared_out(actuals.used - sum(told.values()), rest)
    return {key: told.get(key, shared.get(key, 0)) for key in planned.keys() | told.keys()}


def used_by_size(actuals: Actuals, estimate: Estimate) -> Mapping[int, int] | None:
    """As `used_by_key`, by size class."""
    used = used_by_key(actuals, estimate)
    return None if used is None else by_size(used)


def by_size(counts: Mapping[Key, int]) -> Mapping[int, int]:
    """Sums over the colours."""
    sums: dict[int, int] = {}
    for (size_class, _), count in sorted(counts.items()):
        sums[size_class] = sums.get(size_class, 0) + count
    return sums


def wrong_with(actuals: Actuals, went_wrong: str, estimate: Estimate) -> Mapping[str, str]:
    """What cannot be, by field: "hours.tying", "used", "burst.11", "extras.0"; empty if all can."""
    faults = {
        **_wrong_hours(actuals),
        **_wrong_balloons(actuals, estimate),
        **_wrong_extras(actuals.extras),
    }
    if actuals.as_planned and replace(actuals, extras=()).measured:
        faults["as_planned"] = "It went as planned, or it took what you say: not both."
    if len(went_wrong) > LONGEST_WRONG or "\n" in went_wrong:
        faults["went_wrong"] = f"Keep it to one line of at most {LONGEST_WRONG} characters."
    return faults


def _wrong_hours(actuals: Actuals) -> Mapping[str, str]:
    hours = {f"hours.{task}": spent for task, spent in actuals.hours.items()}
    if actuals.drive_h is not None:
        hours["drive_h"] = actuals.drive_h
    most = f"Give at most {_MOST_HOURS:.0f} hours."
    faults = {name: most for name, spent in hours.items() if not 0 <= spent <= _MOST_HOURS}
    known = {task.value for task in Task if task is not Task.DRIVE}
    faults |= {
        f"hours.{task}": "There is no such task." for task in actuals.hours if task not in known
    }
    if actuals.driven_m is not None and not 0 <= actuals.driven_m <= _MOST_DRIVEN_M:
        faults["driven"] = "That is too far for a car. Check the number."
    return faults


def _wrong_balloons(actuals: Actuals, estimate: Estimate) -> Mapping[str, str]:
    planned = planned_by_key(estimate)
    counts = {f"used.{size}.{name}": n for (size, name), n in actuals.used_by.items()}
    counts |= {f"burst.{size}": n for size, n in actuals.burst.items()}
    if actuals.used is not None:
        counts["used"] = actuals.used
    most = f"Give a whole number from 0 to {_MOST_BALLOONS:,}."
    faults = {name: most for name, n in counts.items() if not 0 <= n <= _MOST_BALLOONS}
    faults |= {
        f"used.{size}.{name}": "The job had no such balloons."
        for size, name in actuals.used_by
        if (size, name) not in planned
    }
    return faults or {**_wrong_sum(actuals, planned), **_wrong_burst(actuals, estimate)}


def _wrong_sum(actuals: Actuals, planned: Mapping[Key, int]) -> Mapping[str, str]:
    if actuals.used is None:
        return {}
    told = sum(actuals.used_by.values())
    if told > actuals.used:
        return {"used": f"By size and color you used {told:,}, which is more than that."}
    if told < actuals.used and planned.keys() <= actuals.used_by.keys():
        return {"used": f"By size and color you used {told:,}, which is less than that."}
    return {}


def _wrong_burst(actuals: Actuals, estimate: Estimate) -> Mapping[str, str]:
    used = used_by_size(actuals, estimate) or by_size(planned_by_key(estimate))
    known = actuals.used is not None or bool(actuals.used_by)
    faults = {}
    for size, burst in actuals.burst.items():
        if size not in used:
            faults[f"burst.{size}"] = "The job had no balloons of that size."
        elif known and burst > used[size]:
            faults[f"burst.{size}"] = f"Only {used[size]:,} of that size were used."
    return faults


def _wrong_extras(extras: Sequence[Extra]) -> Mapping[str, str]:
    faults = {}
    for place, extra in enumerate(extras):
        if not extra.what or len(extra.what) > LONGEST_WHAT:
            faults[f"extras.{place}"] = f"Say what it was, in at most {LONGEST_WHAT} characters."
        elif not 0 < extra.amount <= _MOST_SPENT:
            faults[f"extras.{place}"] = f"Give an amount above 0 and up to {_MOST_SPENT:,}."
    if len(extras) > MOST_EXTRAS:
        faults[f"extras.{MOST_EXTRAS}"] = f"There is room for {MOST_EXTRAS}. Put some together."
    return faults


def _shared_out(total: int, parts: Mapping[Key, int]) -> Mapping[Key, int]:
    """`total` in the proportions of `parts`, in whole numbers that add up to it."""
    whole = sum(parts.values())
    if not whole:
        return {}
    exact = {key: divmod(total * part, whole) for key, part in parts.items()}
    shares = {key: quotient for key, (quotient, _) in exact.items()}
    # What is left over goes where the most was cut off.
    cut = sorted(exact, key=lambda key: (-exact[key][1], key))
    for key in cut[: total - sum(shares.values())]:
        shares[key] += 1
    return shares
