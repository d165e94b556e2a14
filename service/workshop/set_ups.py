"""Coming set-ups, and who may see what of one: helpers those of the next weeks, the owner all."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads.lead import Hold, HoldState, Lead, NotFound, Quote
from service.leads.owner_words import summary_of
from service.leads.people import PersonRole
from service.leads.ports import UnitOfWork
from service.leads.shop_time import EVER, midnight, today_at
from service.leads.stays import days

AHEAD = timedelta(days=60)
"""How far ahead helpers plan."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SetUp:
    """A set-up that is coming, with what was agreed last: it may have been priced afresh since
    the date was held."""

    lead: Lead
    hold: Hold
    quote: Quote

    @property
    def place(self) -> str:
        """Where it goes up, as far as the client has said."""
        site = self.lead.brief.site
        return ", ".join(filter(None, (site.place, site.postal_code))) or "place not known yet"


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A set-up in the list of those that are coming; `booked` unless it may still fall through.

    `strikes_at` is None where nobody comes back to take it down, and assumed where nobody has said
    when the event ends.
    """

    hold_id: str
    lead_id: str
    number: str
    arrives_at: datetime
    ready_at: datetime
    strikes_at: datetime | None
    end_known: bool
    place: str
    what: str
    booked: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Contact:
    """Whom to ask for on the day."""

    first_name: str | None
    phone: str | None


def ahead_of(role: PersonRole) -> timedelta:
    """How far ahead they see what is coming."""
    return EVER if role is PersonRole.OWNER else AHEAD


def coming(
    work: UnitOfWork, book: PriceBook, *, now: datetime, ahead: timedelta = AHEAD
) -> list[SetUp]:
    """Set-ups that are not over today, the next one first."""
    since = midnight(today_at(now, book), book)
    found = (_set_up(work, hold) for hold in work.holds.between(since, since + ahead))
    return [each for each in found if each is not None]


def find(
    work: UnitOfWork, book: PriceBook, hold_id: str, *, now: datetime, ahead: timedelta = AHEAD
) -> SetUp:
    """One of those that are coming. NotFound for any other: what is over is nobody's to read."""
    since = midnight(today_at(now, book), book)
    for hold in work.holds.between(since, since + ahead):
        if hold.id == hold_id and (found := _set_up(work, hold)) is not None:
            return found
    raise NotFound("There is no such set-up among those that are coming.")


def of_lead(
    work: UnitOfWork, book: PriceBook, lead_id: str, *, now: datetime, role: PersonRole
) -> SetUp:
    """The coming set-up of a request. NotFound where there is none for a reader of that role."""
    hold = kept_for(work, lead_id).hold
    return find(work, book, hold.id, now=now, ahead=ahead_of(role))


def kept_for(work: UnitOfWork, lead_id: str) -> SetUp:
    """The set-up of a request, over or still to come: the owner's. NotFound where there is none."""
    hold = work.holds.of_lead(lead_id)
    found = _set_up(work, hold) if hold else None
    if found is None:
        raise NotFound("No date is kept for this request.")
    return found


def listed(set_up: SetUp) -> Job:
    """How it stands in the list of those that are coming."""
    lead, hold = set_up.lead, set_up.hold
    stay = hold.stay
    return Job(
        hold_id=hold.id,
        lead_id=lead.id,
        number=lead.number,
        arrives_at=hold.window.starts_at,
        ready_at=hold.window.ends_at,
        strikes_at=stay.strikes_at if stay.struck_at > stay.strikes_at else None,
        end_known=lead.brief.event.end_time is not None,
        place=set_up.place,
        what=summary_of(set_up.quote.brief),
        booked=hold.state is HoldState.BOOKED,
    )


def contact(hold: Hold, zone: ZoneInfo, today: date) -> Contact | None:
    """Whom helpers ask for; None on days on which nobody is out for the job."""
    if not is_out(hold, zone, today):
        return None
    name = (hold.client.name or "").split()
    return Contact(first_name=name[0] if name else None, phone=hold.client.phone)


def is_out(hold: Hold, zone: ZoneInfo, today: date) -> bool:
    """Whether the job keeps somebody busy at the place that day."""
    return today in days(hold.stay.leaves_at, hold.stay.returns_at, zone)


def _set_up(work: UnitOfWork, hold: Hold) -> SetUp | None:
    lead = work.leads.get(hold.lead_id)
    # Of a client who was erased nothing is known any more.
    quote = None if lead.erased_at else work.quotes.latest(lead.id, sent=True)
    return SetUp(lead=lead, hold=hold, quote=quote) if quote is not None else None
