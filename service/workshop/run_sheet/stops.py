"""What is to be known of a job on the day, as far as the reader may know it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from urllib.parse import quote as escaped
from zoneinfo import ZoneInfo

from service.estimating import Site
from service.leads import balances, words
from service.leads.agenda import Job
from service.leads.lead import Hold, Quote
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.site_notes import SiteNotes
from service.leads.site_noting import notes_of
from service.leads.stays import agreed_strike, comes_back
from service.workshop import set_ups
from service.workshop.run_sheet.bench import told_by_day
from service.workshop.run_sheet.values import Person, Place, Step, Stop
from service.workshop.sheet import where, wind

_MAP = "https://www.openstreetmap.org/"


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """A job with what was agreed, and who wants to know: `told` whether all of it is theirs.

    The owner is told everything. A helper hears whom to ask for and how to get in on the days of
    the job only, and nothing of money.
    """

    job: Job
    quote: Quote
    notes: SiteNotes
    owner: bool
    told: bool
    zone: ZoneInfo

    @property
    def site(self) -> Site:
        """Where it is, as the request has it by now."""
        return self.job.lead.brief.site


def known(
    work: UnitOfWork, job: Job, quote: Quote, *, owner: bool, today: date, zone: ZoneInfo
) -> Known:
    """What that reader may know of a job today."""
    return Known(
        job=job,
        quote=quote,
        notes=notes_of(work, job.lead.id),
        owner=owner,
        told=owner or set_ups.is_out(job.hold, zone, today),
        zone=zone,
    )


def stop(
    work: UnitOfWork, ports: Ports, of: Known, does: Sequence[str], made: Sequence[Step]
) -> Stop:
    """The job as it stands on the sheet; `made` are its steps at the bench."""
    lead, hold, quote = of.job.lead, of.job.hold, of.quote
    due = balances.of_lead(work, lead, quote).due if of.owner else Decimal(0)
    return Stop(
        lead_id=lead.id,
        hold_id=hold.id,
        number=lead.number,
        booked=of.job.booked,
        does=tuple(does),
        what="; ".join(_wanted(quote)),
        place=_place(of),
        client=_client(of),
        at_place=_at_place(of),
        promised=tuple(_promised(ports, of)),
        made=tuple(told_by_day(made, of.zone)),
        load=_load(quote),
        mind=(*wind(quote.estimate), *_climbing(quote)),
        weather=_weather(ports, quote),
        unknown=tuple(_unknown(of)),
        due=due if due > 0 else None,
        currency=quote.currency,
    )


def map_of(site: Site, notes: SiteNotes) -> str | None:
    """Where a map shows it: by its address, or by the place that a client has sent.

    None where neither is known. A postal code alone says no more than a neighborhood.
    """
    named = _in_one_line(notes.address)
    if not named and site.latitude is not None and site.longitude is not None:
        at = f"{site.latitude:.5f}/{site.longitude:.5f}"
        return f"{_MAP}?mlat={site.latitude:.5f}&mlon={site.longitude:.5f}#map=17/{at}"
    wanted = named or ", ".join(filter(None, (site.place, site.postal_code)))
    return f"{_MAP}search?query={escaped(wanted, safe='')}" if wanted else None


def _wanted(quote: Quote) -> Iterator[str]:
    yield from map(words.piece, quote.brief.pieces)
    if quote.brief.foils:
        yield f"foils {' '.join(quote.brief.foils)}"
    yield from map(words.floating, quote.brief.floating)


def _place(of: Known) -> Place:
    site, notes = of.site, of.notes
    title = ", ".join(filter(None, (site.place, site.postal_code)))
    return Place(
        title=title or _in_one_line(notes.address) or "Place not known yet",
        address=notes.address,
        map_url=map_of(site, notes),
        parking=notes.parking,
        access=notes.access if of.told else "",
        notes=notes.notes if of.told else "",
        more=tuple(where(site)),
    )


def _client(of: Known) -> Person | None:
    if not of.told:
        return None
    client = of.job.hold.client
    name = client.name or of.job.lead.client.name
    first = (name or "").split()[:1]
    shown = name if of.owner else "".join(first) or None
    return Person(name=shown, phone=client.phone or of.job.lead.client.phone)


def _at_place(of: Known) -> Person | None:
    if not of.told:
        return None
    return Person(name=of.notes.contact or None, phone=of.notes.phone or None)


def _promised(ports: Ports, of: Known) -> Iterator[str]:
    event, hold = of.job.lead.brief.event, of.job.hold
    colours = [share.colour for share in of.quote.brief.palette]
    if colours:
        yield f"in {words.listed(colours)}"
    ready = words.clock(hold.window.ends_at, of.zone)
    begins = f"; it begins at {words.clock(event.start_time)}" if event.start_time else ""
    yield f"ready by {ready}{begins}"
    yield _taking_down(ports, of, hold)
    if of.owner and of.quote.note:
        yield f"your words with the price: {_in_one_line(of.quote.note)}"


def _taking_down(ports: Ports, of: Known, hold: Hold) -> str:
    if of.quote.brief.client_keeps:
        kept = "the balloons stay with the client"
        return f"{kept}; you fetch what is yours" if comes_back(of.quote.estimate) else kept
    at = agreed_strike(of.job.lead.brief.event, hold, ports.price_books.current())
    if at is None:
        return "when it is taken down is agreed with the client"
    return f"taken down from {words.moment(at.astimezone(of.zone))}"


def _load(quote: Quote) -> str:
    load = quote.estimate.load
    bags = f"{load.bags} bag{'' if load.bags == 1 else 's'} of balloons"
    return bags if load.car_loads == 1 else f"{bags}, {load.car_loads} car loads"


def _climbing(quote: Quote) -> Iterator[str]:
    if any(caution.code == "ladders" for caution in quote.estimate.cautions):
        top = words.feet(max(piece.path.top_m for piece in quote.brief.pieces))
        yield f"The highest work is at {top}: from a ladder or platform, with nobody below."


def _weather(ports: Ports, quote: Quote) -> str | None:
    """What the client was told of bad weather, for what stands outdoors."""
    if quote.brief.site.setting != "outdoor":
        return None
    said = book_of(ports.price_books, quote).booking.weather
    return said.get("en") or next(iter(said.values()), None)


def _unknown(of: Known) -> Iterator[str]:
    site, notes, event = of.site, of.notes, of.job.lead.brief.event
    missing = {
        "address": not notes.address and site.latitude is None,
        "parking": not notes.parking,
        "the way in": of.told and not notes.access,
        "whom to ask for at the place": of.told and not (notes.contact or notes.phone),
        "from when the place is open": site.access_from is None,
        "when the event ends": event.end_time is None and comes_back(of.quote.estimate),
        "indoors or outdoors": site.setting is None,
    }
    return (what for what, unsaid in missing.items() if unsaid)


def _in_one_line(text: str) -> str:
    return ", ".join(line.strip() for line in text.splitlines() if line.strip())
