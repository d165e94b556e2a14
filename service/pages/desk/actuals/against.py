"""A finished job against its estimate, in words."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.leads import words
from service.leads.compared import Comparison, CostLine, Figure, Place
from service.leads.task_words import task_name
from service.pages.desk.actuals.typed import hours_typed
from service.pages.templates import cents, miles

_PLACES = {
    Place.BELOW: "less than the range that was expected",
    Place.WITHIN: "within the range that was expected",
    Place.ABOVE: "more than the range that was expected",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A line of a table: by how much `off` it was, where that was `told`."""

    label: str
    planned: str
    real: str
    off: str
    told: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """Lines of one kind, and perhaps what they come to."""

    title: str
    rows: Sequence[Row]
    sums: Sequence[Row] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Against:
    """What is shown of a comparison: the finding, and every line."""

    cost: str
    margin: str
    tables: Sequence[Table]
    lines: Table


def against(found: Comparison, *, as_planned: bool) -> Against:
    """The comparison as it is read; `as_planned` where the owner said so, and measured nothing."""
    return Against(
        cost=_taken_as_planned(found) if as_planned else _cost(found),
        margin=_margin(found),
        tables=[
            Table(
                title="Hours, all hands",
                rows=[_figure(task_name(each.name), each, hours_typed) for each in found.hours],
                sums=[_in_all(found.hours, hours_typed)],
            ),
            Table(
                title="Balloons used" + (", shared out as planned" if found.shared_out else ""),
                rows=list(_sizes(found.balloons, _count)),
                sums=[_in_all(found.balloons, _count)],
            ),
            Table(title="Burst", rows=list(_sizes(found.burst, _odds))),
            Table(title="On the road", rows=[_figure("driven", found.driven, miles)]),
            Table(title="Cost", rows=list(_sums(found))),
        ],
        lines=Table(title="What it cost", rows=list(_lines(found))),
    )


def _cost(found: Comparison) -> str:
    real, planned, likely, low, high = _whole(
        found, found.real_cost, found.planned_cost, found.likely, found.low, found.high
    )
    place = f"{_PLACES[found.place]}, {low} to {high}"
    more = f" ({likely} with what usually goes wrong)" if likely != planned else ""
    return f"It cost {real}, where {planned} was planned{more}: {place}."


def _taken_as_planned(found: Comparison) -> str:
    (real,) = _whole(found, found.real_cost)
    return (
        f"You said that it went as planned, so it is taken to have cost {real}. Nothing was "
        "measured: nothing is learned from it, and how near your estimates come leaves it out."
    )


def _margin(found: Comparison) -> str:
    price, real, planned, after = _whole(
        found,
        *(found.price, found.real_margin, found.planned_margin),
        found.real_margin - found.overhead,
    )
    share = f" ({found.real_margin / found.price:.0%})" if found.price > 0 else ""
    return (
        f"Of {price} before tax, {real} is left before overhead{share}, where {planned} was "
        f"planned; after overhead, {after}."
    )


def _whole(found: Comparison, *amounts: Decimal) -> Iterator[str]:
    for amount in amounts:
        yield words.money(amount.quantize(Decimal(1)), found.currency)


def _sizes(figures: Sequence[Figure], say: Callable[[float], str]) -> Iterator[Row]:
    for each in figures:
        yield _figure(f"{each.name} in", each, say)


def _in_all(figures: Sequence[Figure], say: Callable[[float], str]) -> Row:
    planned, real = sum(each.planned for each in figures), sum(each.real for each in figures)
    told = any(each.told for each in figures)
    return _figure("in all", Figure(name="", planned=planned, real=real, told=told), say)


def _figure(label: str, figure: Figure, say: Callable[[float], str]) -> Row:
    off = _signed(figure.real - figure.planned, say(abs(figure.real - figure.planned)), say(0))
    planned, real = say(figure.planned), say(figure.real)
    return Row(label=label, planned=planned, real=real, off=off, told=figure.told)


def _lines(found: Comparison) -> Iterator[Row]:
    for line in found.lines:
        yield _amounts(found, line)


def _sums(found: Comparison) -> Iterator[Row]:
    share = found.overhead
    for label, planned, real, told in (
        ("what it costs, before overhead", found.planned_cost, found.real_cost, True),
        ("left of the price, before overhead", found.planned_margin, found.real_margin, True),
        ("overhead, as your price book has it", share, share, False),
        ("left after it", found.planned_margin - share, found.real_margin - share, True),
    ):
        yield _amounts(found, CostLine(label=label, planned=planned, real=real, told=told))


def _amounts(found: Comparison, line: CostLine) -> Row:
    def say(amount: Decimal) -> str:
        return cents(amount, found.currency)

    more = line.real - line.planned
    off = _signed(float(more), say(abs(more)), say(Decimal(0)))
    planned, real = say(line.planned), say(line.real)
    return Row(label=line.label, planned=planned, real=real, off=off, told=line.told)


def _signed(more: float, said: str, nothing: str) -> str:
    """By how much, where that is enough to be said."""
    return "" if said == nothing else f"{'+' if more > 0 else '−'}{said}"


def _count(count: float) -> str:
    return f"{count:,.0f}"


def _odds(count: float) -> str:
    return f"{count:,.1f}".removesuffix(".0")
