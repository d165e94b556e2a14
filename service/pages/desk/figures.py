"""How the shop is doing: what became of the requests of a period, in tables and small charts."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from http import HTTPStatus
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Query, Response

from service.leads import words
from service.leads.figures import Figures, Period, ends_of, periods
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Desk, SignedIn
from service.pages.desk.told import TOLD
from service.pages.form.days import day_in
from service.rendering.charts import Bar, bars

router = APIRouter(prefix="/figures")

_USUAL = "quarter"
_NAMES: Mapping[str, str] = {
    "month": "this month",
    "quarter": "the last three months",
    "year": "the last twelve months",
    "all": "all time",
}

# A chart may be kept for as long as its page is being read.
_KEPT = "private, max-age=60"


@dataclass(frozen=True, kw_only=True, slots=True)
class Chosen:
    """The period that the address asks for; `name` is empty for one of the owner's own."""

    name: str
    period: Period

    @property
    def query(self) -> str:
        """It, as the end of an address."""
        if self.name:
            return urlencode({"period": self.name})
        ends = {"from": self.period.since, "to": self.period.until}
        return urlencode({name: day.isoformat() for name, day in ends.items() if day})

    @property
    def words(self) -> str:
        """It, as it is said."""
        if self.name:
            return _NAMES[self.name]
        since, until = self.period.since, self.period.until
        began = f"from {words.day(since)} " if since else ""
        return (began + (f"until {words.day(until)}" if until else "")).strip()


def _chosen(
    desk: SignedIn,
    period: str = "",
    since: Annotated[str, Query(alias="from")] = "",
    until: Annotated[str, Query(alias="to")] = "",
) -> Chosen:
    own = Period(since=day_in(since), until=day_in(until))
    if own != Period() and not period:
        return Chosen(name="", period=own)
    offered = periods(desk.visit.now.date())
    name = period if period in offered else _USUAL
    return Chosen(name=name, period=offered[name])


Asked = Annotated[Chosen, Depends(_chosen)]


@router.get("")
def figures_page(desk: SignedIn, chosen: Asked) -> Response:
    """Every figure of the period."""
    with desk.visit.ports.read() as work:
        figures = _figures(desk, work, chosen)
        told = [tell(figures) for tell in TOLD.values()]
    return desk.show(
        "desk/figures.html", told=told, chosen=chosen, names=_NAMES, own=_own(chosen, desk)
    )


@router.get("/{name}.svg")
def chart(name: str, desk: SignedIn, chosen: Asked) -> Response:
    """One figure as a picture."""
    if name not in TOLD:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such chart")
    with desk.visit.ports.read() as work:
        told = TOLD[name](_figures(desk, work, chosen))
    drawn = [
        Bar(label=row.label, value=row.bar, said=row.value)
        for row in told.rows
        if row.bar is not None
    ]
    return Response(
        bars(drawn),
        media_type="image/svg+xml",
        headers={"Cache-Control": _KEPT, "X-Content-Type-Options": "nosniff"},
    )


def _figures(desk: Desk, work: UnitOfWork, chosen: Chosen) -> Figures:
    since, until = ends_of(chosen.period, desk.visit.book)
    currency = desk.visit.shop.currency
    return Figures(work.figures, since=since, until=until, currency=currency)


def _own(chosen: Chosen, desk: Desk) -> tuple[date | None, date | None]:
    """What stands in the two fields: the days that are shown."""
    return chosen.period.since, chosen.period.until or desk.visit.now.date()
