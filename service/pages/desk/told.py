"""What the page of figures says: for each figure a finding, a table, and what its chart shows."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from service.leads import words
from service.leads.figures import Figures
from service.leads.owner_words import CHANNELS
from service.leads.task_words import task_name
from service.pages.templates import cents, spent

_MONDAY = date(2027, 1, 4)

# A chart with more bars says less.
_MOST_BARS = 8

_NOTHING = "Nothing to show of this time yet."

_KINDS = {"ballpark": "ballparks", "firm": "firm prices"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A line of the table; `bar` is its length in the chart, None for a line that has none."""

    label: str
    value: str
    bar: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """A figure: the finding in a sentence, and the numbers behind it."""

    name: str
    title: str
    finding: str
    rows: Sequence[Row]
    columns: tuple[str, str]

    @property
    def charted(self) -> bool:
        """Whether there is anything to draw."""
        return any(row.bar for row in self.rows)


def _answers(figures: Figures) -> Told:
    found = figures.answers
    finding = "No request of this time has an answer yet."
    if found.median is not None and found.p90 is not None:
        finding = (
            f"Half of the requests had their first answer {_took(found.median)}, nine of "
            f"ten {_took(found.p90)}; {_percent(found.soon_share)} within five minutes."
        )
    rows = [
        *(_counted(_step(step), count) for step, count in found.within.items()),
        Row(label="not answered yet", value=f"{found.unanswered:,}"),
    ]
    return Told(
        name="answers",
        title="How soon clients had an answer",
        finding=finding,
        rows=rows,
        columns=("First answer", "Requests"),
    )


def _outcomes(figures: Figures) -> Told:
    found = figures.outcomes
    finding = _NOTHING
    if found.asked:
        asked = "1 request" if found.asked == 1 else f"{found.asked:,} requests"
        finding = f"{asked}: {found.won:,} won, {found.lost:,} lost"
        decided = f" ({_percent(found.won_share)} of those decided were won)"
        finding += f", {found.still_open:,} still open{decided if found.won_share else ''}."
    rows = [
        _counted("won", found.won),
        _counted("lost", found.lost),
        _counted("still open", found.still_open),
    ]
    if found.replaced:
        label = "asked again, so counted once"
        rows.append(Row(label=label, value=f"{found.replaced:,}"))
    return Told(
        name="outcomes",
        title="What became of them",
        finding=finding,
        rows=rows,
        columns=("Now they are", "Requests"),
    )


def _lost(figures: Figures) -> Told:
    reasons = figures.outcomes.reasons
    finding = "No request of this time was lost."
    if reasons:
        most, count = next(iter(reasons.items()))
        share = _percent(count / sum(reasons.values()))
        finding = f"Most were lost with “{most}”: {count:,}, which is {share}."
    return Told(
        name="lost",
        title="Why requests were lost",
        finding=finding,
        rows=[_counted(reason, count) for reason, count in reasons.items()],
        columns=("Reason", "Requests"),
    )


def _money(figures: Figures) -> Told:
    found = figures.earned
    finding = "No job of this time was won yet."
    rows: list[Row] = []
    if found.average is not None and found.median is not None:
        total, margin = (_whole(amount, figures) for amount in (found.total, found.margin))
        finding = (
            f"{_several(found.jobs, 'job')} for {total} before tax, of which {margin} "
            f"({_percent(found.margin_share)}) is left before overhead, as planned."
        )
        rows = [
            Row(label="average job", value=cents(found.average, figures.currency)),
            Row(label="median job", value=cents(found.median, figures.currency)),
            _amount("prices before tax", found.total, figures),
            _amount("planned cost", found.cost, figures),
            _amount("planned margin", found.margin, figures),
        ]
        finding += f" {_how_they_went(figures)}"
        rows += _real(figures)
    if found.elsewhere:
        rows.append(Row(label="jobs in other currencies", value=f"{found.elsewhere:,}"))
    return Told(
        name="money",
        title="Jobs and what is left of them",
        finding=finding,
        rows=rows,
        columns=("Before tax", "Amount"),
    )


def _how_they_went(figures: Figures) -> str:
    kept, jobs = figures.kept, figures.earned.jobs
    if not kept.jobs:
        return "What they really took has not been told of any yet."
    real, planned = (_whole(amount, figures) for amount in (kept.margin, kept.planned_margin))
    told = "they all really took" if kept.jobs == jobs else f"{kept.jobs:,} of them really took"
    return (
        f"It is known what {told}: {real} ({_percent(kept.margin_share)}) is left there before "
        f"overhead, where {planned} ({_percent(kept.planned_share)}) was planned."
    )


def _real(figures: Figures) -> list[Row]:
    kept = figures.kept
    if not kept.jobs:
        return []
    return [
        Row(label="jobs of which it is known what they took", value=f"{kept.jobs:,}"),
        _amount("their planned margin", kept.planned_margin, figures),
        _amount("their real cost", kept.cost, figures),
        _amount("their real margin", kept.margin, figures),
    ]


def _hours(figures: Figures) -> Told:
    found = figures.hours
    tasks = sorted(((task, h) for task, h in found.items() if h), key=lambda each: -each[1])
    finding = _NOTHING
    if tasks:
        (most, hours), total = tasks[0], sum(found.values())
        share = _percent(hours / total)
        finding = f"{spent(total)} planned in all; most of it is {_inside(most)} ({share})."
    return Told(
        name="hours",
        title="Where the hours go",
        finding=finding,
        rows=[Row(label=task_name(task), value=spent(hours), bar=hours) for task, hours in tasks],
        columns=("Task", "Planned for jobs won"),
    )


def _sources(figures: Figures) -> Told:
    found = figures.outcomes.sources
    finding = _NOTHING
    if found:
        best = found[0]
        finding = f"Most came by {_source(best.channel, best.source)}: {best.asked:,}."
    rows = [
        Row(
            label=_source(each.channel, each.source),
            value=f"{each.asked:,}, {each.won:,} won",
            bar=each.asked if place < _MOST_BARS else None,
        )
        for place, each in enumerate(found)
    ]
    return Told(
        name="sources",
        title="Where requests come from",
        finding=finding,
        rows=rows,
        columns=("Came by", "Requests"),
    )


def _weekdays(figures: Figures) -> Told:
    found = figures.busiest
    finding = "No job of this time has a day yet."
    if found.days:
        day, count = found.days[0]
        finding = f"{most_on(found.by_weekday)}; the fullest day is {words.day(day)}, with "
        finding += f"{_several(count, 'job')}."
    return Told(
        name="weekdays",
        title="When jobs fall",
        finding=finding,
        rows=[_counted(_weekday(day), count) for day, count in enumerate(found.by_weekday)],
        columns=("Day of the event", "Jobs won"),
    )


def most_on(by_weekday: Sequence[int]) -> str:
    """The weekday that most jobs fall on, or those that are level."""
    most = max(by_weekday)
    level = [_weekday(day) for day, count in enumerate(by_weekday) if count == most]
    if len(level) == 1:
        return f"Most jobs fall on a {level[0]}"
    return f"{words.ENGLISH.listed(level)} are level, with {_several(most, 'job')} each"


def _quotes(figures: Figures) -> Told:
    found = figures.quotes_sent
    total = sum(found.values())
    return Told(
        name="quotes",
        title="Prices sent",
        finding=f"{_several(total, 'price')} went out." if total else _NOTHING,
        rows=[_counted(_KINDS.get(kind, kind), count) for kind, count in found.items()],
        columns=("Kind", "Sent"),
    )


TOLD: Mapping[str, Callable[[Figures], Told]] = {
    "answers": _answers,
    "quotes": _quotes,
    "outcomes": _outcomes,
    "lost": _lost,
    "money": _money,
    "hours": _hours,
    "sources": _sources,
    "weekdays": _weekdays,
}
"""Every figure by name, in the order of the page."""


def _counted(label: str, count: int) -> Row:
    return Row(label=label, value=f"{count:,}", bar=count)


def _amount(label: str, amount: Decimal, figures: Figures) -> Row:
    return Row(label=label, value=cents(amount, figures.currency), bar=float(amount))


def _several(count: int, what: str) -> str:
    return f"{count:,} {what}" if count == 1 else f"{count:,} {what}s"


def _whole(amount: Decimal, figures: Figures) -> str:
    return words.money(amount.quantize(Decimal(1)), figures.currency)


def _percent(share: float | None) -> str:
    return f"{share or 0:.0%}"


def _took(time: timedelta) -> str:
    seconds = int(time.total_seconds())
    if seconds < 1:
        return "at once"
    if seconds < 120:
        return f"within {_several(seconds, 'second')}"
    return f"within {words.ENGLISH.lasting(timedelta(minutes=round(seconds / 60)))}"


def _step(step: timedelta | None) -> str:
    return "later" if step is None else f"within {words.ENGLISH.lasting(step)}"


def _inside(task: str) -> str:
    name = task_name(task)
    return name[:1].lower() + name[1:]


def _source(channel: str, source: str | None) -> str:
    by = CHANNELS.get(channel, channel)
    return f"{by}, “{source}”" if source else by


def _weekday(day: int) -> str:
    return words.ENGLISH.weekday(_MONDAY + timedelta(days=day))
