"""The run sheet of a day: for whoever sets up, on a phone in a car park, or on paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.estimating import Shop
from service.leads import words
from service.leads.lead import NotFound
from service.pages.desk.access import AnyoneIn, Desk
from service.pages.form.days import day_in
from service.pages.reaching import dialled
from service.pages.visit import Instead
from service.workshop.run_sheet import Person, RunSheet, Step, Stop, run_sheet, saying

router = APIRouter(prefix="/days")


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A step as the page shows it; `is_next` is under way or comes next, `over` lies behind."""

    at: str
    until: str
    text: str
    notes: Sequence[str]
    numbers: Sequence[str]
    where: str
    crew: int | None
    is_next: bool
    over: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Reach:
    """Somebody to ask for; `href` calls them."""

    said: str
    href: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Card:
    """A job of the day: its value, and how some of it is said."""

    stop: Stop
    title: str
    does: str
    client: Reach
    at_place: Reach
    due: str


@router.get("")
def today_page(desk: AnyoneIn) -> Response:
    """The run sheet of today."""
    return _page(desk, desk.visit.now.date())


@router.get("/{day}")
def day_page(day: str, desk: AnyoneIn) -> Response:
    """The run sheet of a day."""
    return _page(desk, _day(desk, day))


@router.get("/{day}/run.pdf")
def day_pdf(day: str, desk: AnyoneIn, paper: str = "") -> Response:
    """The run sheet of a day on paper."""
    from service.rendering.day_files import run_file
    from service.rendering.paper import MEDIA_TYPE

    sheet = _sheet(desk, _day(desk, day))
    file = run_file(desk.visit.ports, sheet, paper=paper)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))


def _page(desk: Desk, day: date) -> Response:
    sheet, today = _sheet(desk, day), desk.visit.now.date()
    coming = sheet.next_at(desk.visit.now) if day == today else None
    cards = [_card(stop, desk.visit.shop) for stop in sheet.stops]
    return desk.show(
        "desk/day.html",
        day=day,
        title=words.day(day),
        is_today=day == today,
        before=day - timedelta(1),
        after=day + timedelta(1),
        wrong=sheet.wrong,
        rows=[_row(step, sheet, coming, over=day < today) for step in sheet.steps],
        coming=coming and _row(coming, sheet, coming, over=False),
        at_hand=[card for card in cards if coming and card.stop.number in coming.numbers],
        cards=cards,
        shown={stop.number for stop in sheet.stops},
        cautions=[saying.about(each, sheet) for each in sheet.cautions],
        ask=saying.ASK,
        on_the_day=saying.ON_THE_DAY,
        owner=desk.is_owner,
    )


def _sheet(desk: Desk, day: date) -> RunSheet:
    visit = desk.visit
    try:
        with visit.ports.read() as work:
            return run_sheet(work, visit.ports, day, now=visit.now, reader=desk.person.role)
    except NotFound as gone:
        raise Instead(_nowhere(desk)) from gone


def _day(desk: Desk, text: str) -> date:
    day = day_in(text)
    if day is None:
        raise Instead(_nowhere(desk))
    return day


def _nowhere(desk: Desk) -> Response:
    return desk.trouble(
        HTTPStatus.NOT_FOUND,
        "There is no run sheet for that day",
        "Look for the day in the list of set-ups.",
    )


def _row(step: Step, sheet: RunSheet, coming: Step | None, *, over: bool) -> Row:
    return Row(
        at=saying.clock(step.starts_at, sheet.day),
        until=saying.until(step, sheet.day),
        text=step.text,
        notes=step.notes,
        numbers=step.numbers,
        where=saying.where(step, sheet),
        crew=step.crew,
        is_next=step is coming,
        over=over or (coming is not None and step.ends_at < coming.starts_at),
    )


def _card(stop: Stop, shop: Shop) -> Card:
    return Card(
        stop=stop,
        title=saying.title(stop),
        does=saying.does(stop),
        client=_reach(stop.client, shop),
        at_place=_reach(stop.at_place, shop),
        due=saying.due(stop),
    )


def _reach(who: Person | None, shop: Shop) -> Reach:
    href = dialled(who.phone, shop) if who is not None and who.phone else None
    return Reach(said=saying.person(who), href=href)
