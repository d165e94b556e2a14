"""What a changed brief comes to, beside what it came to before."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.estimating import Estimate
from service.leads import words
from service.leads.figures import direct_cost
from service.leads.lead import Quote
from service.pages.templates import spent


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """One figure as it would be; `was` where it has been another one."""

    label: str
    now: str
    was: str | None


def figures(now: Estimate, before: Quote | None) -> tuple[Figure, ...]:
    """The figures that the owner decides by."""
    was = dict(_said(before.estimate)) if before is not None else {}
    return tuple(
        Figure(label=label, now=said, was=was[label] if was.get(label, said) != said else None)
        for label, said in _said(now)
    )


def _said(estimate: Estimate) -> Iterator[tuple[str, str]]:
    price = estimate.price
    low, likely, high = (
        words.money(amount, price.currency) for amount in (price.low, price.likely, price.high)
    )
    hours, cost = sum(estimate.hours.values()), direct_cost(estimate)
    yield "Likely price", likely
    yield "Range", f"{low} to {high}"
    yield "What it costs you", words.money(cost, price.currency)
    yield "Your hours", spent(hours)
    yield "Balloons", words.ENGLISH.number(estimate.balloons_total)
