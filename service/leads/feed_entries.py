"""What a subscribed calendar says of each job: an entry for each part, by who reads it."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import agenda, owner_words, words
from service.leads.agenda import Block, Job, Part
from service.leads.lead import HoldState, Lead, Quote
from service.leads.people import PersonRole
from service.leads.ports import UnitOfWork
from service.leads.shop_time import zone_of
from service.leads.stays import agreed_strike
from service.leads.words import Words

BACK = timedelta(days=30)
"""So long what is over, or was called off, is still told."""

AHEAD = timedelta(days=400)

_TOLD = {
    Part.MAKE: "Make",
    Part.SET_UP: "Set up",
    Part.EVENT: "Event",
    Part.STRIKE: "Take down",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class CalendarEntry:
    """One entry of a calendar. `uid` stays the same over changes; `sequence` goes up with them.

    `ends_at` is None where nobody said when it ends.
    """

    uid: str
    sequence: int
    starts_at: datetime
    ends_at: datetime | None
    summary: str
    description: str
    location: str
    status: str
    busy: bool
    made_at: datetime
    changed_at: datetime
    url: str


def of_shop(
    work: UnitOfWork, book: PriceBook, role: PersonRole, *, public_url: str, now: datetime
) -> list[CalendarEntry]:
    """Every job from a month ago on, for a calendar that the role reads."""
    since, until = now - BACK, now + AHEAD
    told: list[CalendarEntry] = []
    for job in agenda.jobs(work, book, since, until, now):
        told += _entries(job, book, role, public_url)
    for job in agenda.called_off(work, book, since):
        told += _entries(job, book, role, public_url)
    return told


def of_client(
    job: Job, quote: Quote, book: PriceBook, said: Words, *, url: str
) -> list[CalendarEntry]:
    """The client's own event, and when we come to set up; canceled where nothing is kept."""
    texts = {
        Part.SET_UP: said.say("%(shop)s sets up", shop=book.shop.name),
        Part.EVENT: said.say("Balloons at your event, by %(shop)s", shop=book.shop.name),
    }
    about = "\n".join(filter(None, _about(job, quote, book, said)))
    entries = (
        (
            block,
            _entry(
                job,
                block,
                uid=_uid(job, block.part, 1),
                summary=_as_it_stands(job, texts[block.part], said),
                description=about,
                url=url,
            ),
        )
        for block in job.blocks
        if block.part in texts
    )
    # When their own event ends the client knows better than we do.
    return [replace(each, ends_at=None) if block.open_end else each for block, each in entries]


def _as_it_stands(job: Job, what: str, said: Words) -> str:
    # Many calendars do not show a status.
    match job.hold.state:
        case HoldState.ACTIVE:
            return said.say("Held: %(what)s", what=what)
        case HoldState.RELEASED:
            return said.say("Canceled: %(what)s", what=what)
        case _:
            return what


def _about(job: Job, quote: Quote, book: PriceBook, said: Words) -> Iterator[str]:
    yield said.say("Quote %(number)s", number=quote.number)
    if job.hold.state is HoldState.ACTIVE:
        yield said.say(
            "Kept until %(until)s. A deposit of %(deposit)s turns it into a booking.",
            until=said.moment(job.hold.expires_at.astimezone(zone_of(book))),
            deposit=said.money(quote.deposit, quote.currency),
        )
    if job.hold.state is not HoldState.RELEASED:
        yield _of_taking_down(job, book, said)
    reach = said.reached_by(book.shop.contact)
    yield said.say("Questions or changes: %(reach)s", reach=reach)


def _of_taking_down(job: Job, book: PriceBook, said: Words) -> str:
    if job.first(Part.STRIKE) is None:
        return ""
    strikes_at = agreed_strike(job.lead.brief.event, job.hold, book)
    if strikes_at is None:
        return said.say("We agree with you on when we take it down.")
    when = said.moment(strikes_at.astimezone(zone_of(book)))
    return said.say("We take it down: %(when)s.", when=when)


def _entries(
    job: Job, book: PriceBook, role: PersonRole, public_url: str
) -> Iterator[CalendarEntry]:
    zone = zone_of(book)
    owner = role is PersonRole.OWNER
    whose = owner_words.who(job.lead) if owner else job.lead.number
    what = f"{job.lead.number}: {owner_words.summary_of(job.lead.brief)}"
    seen: Counter[Part] = Counter()
    for block in job.blocks:
        if block.part not in _TOLD:
            continue
        seen[block.part] += 1
        yield _entry(
            job,
            block,
            uid=_uid(job, block.part, seen[block.part]),
            summary=f"{_TOLD[block.part]}: {whose}",
            description="\n".join((what, *_details(job, block, zone, owner=owner))),
            url=f"{public_url}{_page(job, owner=owner)}",
        )


def _page(job: Job, *, owner: bool) -> str:
    return f"/desk/bookings/{job.lead.id}" if owner else f"/desk/jobs/{job.hold.id}"


def _entry(
    job: Job, block: Block, *, uid: str, summary: str, description: str, url: str
) -> CalendarEntry:
    hold = job.hold
    return CalendarEntry(
        uid=uid,
        sequence=hold.revision,
        starts_at=block.starts_at,
        ends_at=block.ends_at,
        summary=summary,
        description=description,
        location=_place(job.lead) if block.part is not Part.MAKE else "",
        status=_status(hold.state),
        # At the event itself nobody of the shop is busy.
        busy=block.part is not Part.EVENT,
        made_at=job.lead.created_at,
        changed_at=hold.changed_at,
        url=url,
    )


def _status(state: HoldState) -> str:
    if state is HoldState.RELEASED:
        return "CANCELLED"
    return "CONFIRMED" if state is HoldState.BOOKED else "TENTATIVE"


def _uid(job: Job, part: Part, number: int) -> str:
    # What is made in one go, as nearly always, keeps its name when a second go comes and goes.
    return f"{job.lead.id}-{part}{'' if number == 1 else f'-{number}'}@garlandry"


def _details(job: Job, block: Block, zone: ZoneInfo, *, owner: bool) -> Iterator[str]:
    leave = job.first(Part.LEAVE)
    if block.part is Part.SET_UP and leave is not None:
        yield f"Leave at {words.clock(leave.starts_at, zone)}"
    if block.assumed_over:
        yield f"The end is not known: {words.clock(block.assumed_over, zone)} assumed"
    if job.hold.state is HoldState.ACTIVE:
        until = words.moment(job.hold.expires_at.astimezone(zone))
        yield f"Held without a deposit until {until}"
    if owner and job.lead.client.phone and block.part is not Part.MAKE:
        yield f"Phone: {job.lead.client.phone}"


def _place(lead: Lead) -> str:
    site = lead.brief.site
    return ", ".join(part for part in (site.place, site.postal_code) if part)
