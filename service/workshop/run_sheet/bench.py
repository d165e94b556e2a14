"""What is done at the bench for a job, task by task, on whichever days it falls."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from service.estimating import Estimate, Task
from service.leads import words
from service.leads.agenda import Job, Part, Span
from service.workshop.bench_time import shared_out
from service.workshop.run_sheet.values import Step, StepKind

_NONE = timedelta(0)

_KINDS: Mapping[Task, StepKind] = {
    Task.SIZING_AND_INFLATING: StepKind.INFLATE,
    Task.TYING: StepKind.INFLATE,
    Task.CLUSTERING: StepKind.CLUSTER,
    Task.LINE_BUILD: StepKind.CLUSTER,
    Task.FOILS: StepKind.DRESS,
    Task.ACCENTS: StepKind.DRESS,
}

_TEXTS = {
    StepKind.INFLATE: "Inflating and tying",
    StepKind.CLUSTER: "Making clusters, building on the line",
    StepKind.DRESS: "Foils, accents and covers",
}


def at_the_bench(job: Job, estimate: Estimate, zone: ZoneInfo) -> list[Step]:
    """What is made for a job, by the clock; a task that goes on another day has two steps."""
    made = (block for block in job.blocks if block.part is Part.MAKE)
    # Hours that pass, whatever the clocks are set to in between.
    spans = [(each.starts_at.astimezone(UTC), each.ends_at.astimezone(UTC)) for each in made]
    keeps = job.keeps_from.astimezone(zone)
    notes = (
        f"{estimate.balloons_total} balloons in all",
        f"not before {words.ENGLISH.weekday(keeps)} {words.clock(keeps.time())}: made sooner they"
        " do not last",
    )
    return [
        Step(
            kind=kind,
            starts_at=starts,
            ends_at=ends,
            text=_TEXTS[kind],
            numbers=(job.lead.number,),
            notes=notes if kind is StepKind.INFLATE else (),
        )
        for kind, since, until in _shared_out(estimate, sum(_lengths(spans), _NONE))
        for starts, ends in _within(spans, since, until)
    ]


def told_by_day(steps: Sequence[Step], zone: ZoneInfo) -> Iterator[str]:
    """ "Saturday, June 5, 2027: inflating and tying 2:00 PM to 7:30 PM", a line for each day."""
    days: dict[str, list[str]] = {}
    for step in steps:
        local = step.starts_at.astimezone(zone)
        since, until = words.clock(local.time()), words.clock(step.ends_at, zone)
        text = f"{step.text[:1].lower()}{step.text[1:]}"
        days.setdefault(words.day(local.date()), []).append(f"{text} {since} to {until}")
    for day, said in days.items():
        yield f"{day}: {'; '.join(said)}"


def _shared_out(
    estimate: Estimate, whole: timedelta
) -> Iterator[tuple[StepKind, timedelta, timedelta]]:
    """From and to when, in time at the bench, each kind of task goes on."""
    tasks = shared_out(estimate, whole)
    for kind, some in groupby(tasks, key=lambda each: _KINDS[each[0]]):
        spans = [(since, until) for _, since, until in some]
        yield kind, spans[0][0], spans[-1][1]


def _within(spans: Sequence[Span], since: timedelta, until: timedelta) -> Iterator[Span]:
    """What of the spans lies between two moments of the time that they add up to."""
    gone = _NONE
    for (starts, _), length in zip(spans, _lengths(spans), strict=True):
        begins, ends = max(since, gone), min(until, gone + length)
        if begins < ends:
            yield starts + (begins - gone), starts + (ends - gone)
        gone += length


def _lengths(spans: Sequence[Span]) -> list[timedelta]:
    return [ends - starts for starts, ends in spans]
