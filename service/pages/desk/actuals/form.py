"""The form that asks how a job went: what stands in it, and what was typed."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from service.estimating import Estimate, Task
from service.leads.actuals import MOST_EXTRAS, Actuals, Extra, by_size, planned_by_key
from service.leads.compared import Comparison
from service.leads.recording import Entry
from service.leads.task_words import task_name
from service.pages.desk.actuals.typed import (
    Unclear,
    hours_typed,
    miles_typed,
    read_count,
    read_distance,
    read_hours,
)
from service.pages.posted import Posted, read_amount
from service.pages.templates import miles, spent

_Read = TypeVar("_Read")

_SPARE_ROWS = 2
_NO_AMOUNT = "Give the amount like 12.50."
_NO_WHAT = "Say what it was."

_PLACES: Sequence[tuple[str, Sequence[Task]]] = (
    (
        "in the workshop",
        (
            *(Task.SIZING_AND_INFLATING, Task.TYING, Task.CLUSTERING, Task.LINE_BUILD),
            *(Task.FOILS, Task.ACCENTS),
        ),
    ),
    ("on the way", (Task.LOAD,)),
    ("at the venue", (Task.INSTALL, Task.HELIUM, Task.FINISH, Task.STRIKE)),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Field:
    """One line of the form: its name, what it asks for, and what was planned."""

    name: str
    label: str
    planned: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """The lines of the form. `unplanned` are tasks that the estimate has no time for."""

    tasks: Sequence[tuple[str, Sequence[Field]]]
    unplanned: Sequence[Field]
    labels: Mapping[str, str]
    used: str
    used_by: Sequence[Field]
    burst: Sequence[Field]
    driven: str
    drive_h: str
    rows: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Typed:
    """What was typed, as far as it can be read, and by field what cannot."""

    entry: Entry
    faults: Mapping[str, str]
    rows: Sequence[int]
    labels: Mapping[str, str]

    def placed(self, faults: Mapping[str, str]) -> Mapping[str, str]:
        """Faults of what was told, by the form's own fields, each with what it is about."""
        return {self._field(name): _about(self.labels, name, faults[name]) for name in faults}

    def _field(self, name: str) -> str:
        kind, _, place = name.partition(".")
        if kind != "extras":
            return name
        row = self.rows[int(place)] if int(place) < len(self.rows) else self.rows[-1]
        return f"extra-what-{row}"


def layout(estimate: Estimate, planned: Comparison, values: Mapping[str, str]) -> Layout:
    """The form of a job; `values` are what stands in its fields."""
    hours = {each.name: each.planned for each in planned.hours}
    asked = [
        (place, [_task(task, hours) for task in tasks if hours.get(task)])
        for place, tasks in _PLACES
    ]
    every = [task for _, tasks in _PLACES for task in tasks]
    return Layout(
        tasks=[(place, fields) for place, fields in asked if fields],
        unplanned=[_task(task, hours) for task in every if not hours.get(task)],
        labels=_labels(estimate),
        used=_used(estimate),
        used_by=list(_used_by(estimate)),
        burst=[
            Field(
                name=f"burst.{each.name}",
                label=f"{each.name} in",
                planned=f"{each.planned:.1f} reckoned with",
            )
            for each in planned.burst
        ],
        driven=f"planned {miles(planned.driven.planned)}",
        drive_h=f"planned {spent(hours.get(Task.DRIVE, 0.0) / estimate.plan.crew)}",
        rows=_rows(values),
    )


def values_of(entry: Entry) -> dict[str, str]:
    """What stands in the fields where that was told."""
    told = entry.actuals
    values = {f"hours.{task}": hours_typed(hours) for task, hours in told.hours.items()}
    values |= {f"used.{size}.{name}": str(n) for (size, name), n in told.used_by.items()}
    values |= {f"burst.{size}": str(n) for size, n in told.burst.items()}
    for row, extra in enumerate(told.extras):
        values |= {f"extra-what-{row}": extra.what, f"extra-amount-{row}": f"{extra.amount:.2f}"}
    if told.used is not None:
        values["used"] = str(told.used)
    if told.driven_m is not None:
        values["driven"] = miles_typed(told.driven_m)
    if told.drive_h is not None:
        values["drive_h"] = hours_typed(told.drive_h)
    return values | {"went_wrong": entry.went_wrong}


def typed_values(sent: Posted) -> dict[str, str]:
    """What stands in the fields where that was typed."""
    return {name: sent.text(name) for name, _ in sent.items()}


def read(sent: Posted, estimate: Estimate) -> Typed:
    """What was typed into the form of a job."""
    faults: dict[str, str] = {}
    labels = _labels(estimate)
    field = _Fields(sent, faults, labels)
    tasks = [task.value for task in Task if task is not Task.DRIVE]
    keys = planned_by_key(estimate)
    rows = list(_filled(sent))
    actuals = Actuals(
        hours=field.every({task: f"hours.{task}" for task in tasks}, read_hours),
        drive_h=field.one("drive_h", read_hours),
        driven_m=field.one("driven", read_distance),
        used=field.one("used", read_count),
        used_by=field.every({key: f"used.{key[0]}.{key[1]}" for key in keys}, read_count),
        burst=field.every({size: f"burst.{size}" for size in by_size(keys)}, read_count),
        extras=tuple(_extras(sent, rows, faults)),
    )
    # Whoever says what it took no longer says that it took what was planned.
    kept = bool(sent.text("as_planned")) and not replace(actuals, extras=()).measured
    actuals = replace(actuals, as_planned=kept)
    went_wrong = " ".join(sent.text("went_wrong").split())
    entry = Entry(actuals=actuals, went_wrong=went_wrong, back=bool(sent.text("back")))
    return Typed(entry=entry, faults=faults, rows=rows, labels=labels)


_Named = TypeVar("_Named")


class _Fields:
    """Reads fields that may be empty, and gathers what cannot be read."""

    def __init__(self, sent: Posted, faults: dict[str, str], labels: Mapping[str, str]) -> None:
        self._sent, self._faults, self._labels = sent, faults, labels

    def one(self, name: str, reader: Callable[[str], _Read]) -> _Read | None:
        text = self._sent.text(name)
        if not text:
            return None
        try:
            return reader(text)
        except Unclear as unclear:
            self._faults[name] = _about(self._labels, name, str(unclear))
            return None

    def every(
        self, names: Mapping[_Named, str], reader: Callable[[str], _Read]
    ) -> dict[_Named, _Read]:
        found = ((key, self.one(name, reader)) for key, name in names.items())
        return {key: value for key, value in found if value is not None}


def _labels(estimate: Estimate) -> Mapping[str, str]:
    """What each field is about: faults are listed away from their fields, too."""
    keys = planned_by_key(estimate)
    return {
        "used": "Used in all, burst ones too",
        "driven": "Miles",
        "drive_h": "Driving time, by the clock",
        **{f"hours.{task}": task_name(task) for task in Task},
        **{f"burst.{size}": f"Burst, {size} in" for size, _ in keys},
        **{f"used.{size}.{name}": f"{name} ({size} in)" for size, name in keys},
    }


def _about(labels: Mapping[str, str], name: str, text: str) -> str:
    return f"{labels[name]}: {text}" if name in labels else text


def _filled(sent: Posted) -> Iterator[int]:
    for row in range(MOST_EXTRAS):
        if sent.text(f"extra-what-{row}") or sent.text(f"extra-amount-{row}"):
            yield row


def _extras(sent: Posted, rows: Sequence[int], faults: dict[str, str]) -> Iterator[Extra]:
    for row in rows:
        what = " ".join(sent.text(f"extra-what-{row}").split())
        amount = read_amount(sent.text(f"extra-amount-{row}"))
        if not what:
            faults[f"extra-what-{row}"] = _NO_WHAT
        if amount is None:
            faults[f"extra-amount-{row}"] = _NO_AMOUNT
        else:
            yield Extra(what=what, amount=amount)


def _task(task: Task, hours: Mapping[str, float]) -> Field:
    planned = hours.get(task.value, 0.0)
    label = task_name(task)
    said = f"planned {spent(planned)}" if planned else "not planned"
    return Field(name=f"hours.{task.value}", label=label, planned=said)


def _used(estimate: Estimate) -> str:
    placed = sum(line.placed for line in estimate.spares)
    taken = sum(line.taken for line in estimate.spares)
    return f"planned {taken:,}: {placed:,} in the work, {taken - placed:,} spare"


def _used_by(estimate: Estimate) -> Iterator[Field]:
    for (size, name), taken in sorted(planned_by_key(estimate).items()):
        label = f"{name} ({size} in)"
        yield Field(name=f"used.{size}.{name}", label=label, planned=f"planned {taken:,}")


def _rows(values: Mapping[str, str]) -> int:
    """Rows for what was bought besides: those filled in, and a few more."""
    filled = [row for row in range(MOST_EXTRAS) if values.get(f"extra-what-{row}")]
    return min(max(filled, default=-1) + 1 + _SPARE_ROWS, MOST_EXTRAS)
