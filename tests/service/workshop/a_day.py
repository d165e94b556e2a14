"""Days of the shop for tests of run sheets and load lists: jobs that are really booked."""

from datetime import date, datetime, timedelta

from service.estimating import (
    Brief,
    Event,
    Floating,
    FloatKind,
    Ground,
    Setting,
    Site,
    Support,
)
from service.leads import booking
from service.leads.lead import Lead
from service.leads.people import PersonRole
from service.workshop.run_sheet import RunSheet, Step, StepKind, run_sheet
from tests.service.building import BuiltShop, a_brief, a_piece
from tests.service.leads.keeping_dates import BOSTON, NORA, SUNDAY, hold_for, pay

LAWN = Site(
    setting=Setting.OUTDOOR, place="boathouse lawn", postal_code="02472", ground=Ground.GRASS
)
HALL = Site(setting=Setting.INDOOR, place="town library", postal_code="02472")
FLOATS = (Floating(kind=FloatKind.LATEX, size_class=11, count=12),)


def booked(shop: BuiltShop, brief: Brief, starts_at: datetime | None = None) -> Lead:
    """A job with its deposit paid, whatever the owner would have looked at first.

    Without a time it is set up as early on Sunday as can be.
    """
    lead = shop.quoted(brief, client=NORA)
    shop.send_firm(shop.lead(lead.id))
    pay(shop, hold_for(shop, lead, starts_at=starts_at or _first_window(shop, lead)))
    return shop.lead(lead.id)


def _first_window(shop: BuiltShop, lead: Lead) -> datetime:
    book = shop.price_books.current()
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        return booking.offered(work, lead, quote, book, day=SUNDAY, now=shop.now)[0].starts_at


def columns(count: int, event: Event, site: Site = HALL) -> Brief:
    """Columns for the library's reopening."""
    piece = a_piece(support=Support.COLUMN, height_m=1.8, count=count)
    return a_brief(pieces=(piece,), event=event, site=site)


def sheet_of(
    shop: BuiltShop, day: date = SUNDAY, reader: PersonRole = PersonRole.OWNER
) -> RunSheet:
    """The run sheet of a day, as it is now."""
    with shop.ports.read() as work:
        return run_sheet(work, shop.ports, day, now=shop.now, reader=reader)


def steps(sheet: RunSheet, kind: StepKind, lead: Lead | None = None) -> list[Step]:
    """The steps of a kind, of one job or of all."""
    return [
        step
        for step in sheet.steps
        if step.kind is kind and (lead is None or lead.number in step.numbers)
    ]


def clock(step: Step) -> tuple[str, str]:
    """From and to when, by the shop's clock: ("09:00", "10:15")."""
    starts, ends = (each.astimezone(BOSTON) for each in (step.starts_at, step.ends_at))
    return f"{starts:%H:%M}", f"{ends:%H:%M}"


SATURDAY = SUNDAY - timedelta(days=1)
