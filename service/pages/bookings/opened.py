"""What a booking link opens."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from service.estimating import Setting
from service.leads import addresses, booking, handling, terms
from service.leads.agreements import Clauses, Terms
from service.leads.lead import Hold, Lead, LeadState, NotFound, Quote
from service.leads.offering import day_of_event
from service.leads.ports import UnitOfWork
from service.leads.price_books import book_of
from service.leads.stays import job_of
from service.pages.visit import Visit, path_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A client's job, within one unit of work."""

    work: UnitOfWork
    visit: Visit
    token: str
    lead: Lead
    quote: Quote
    hold: Hold | None

    @property
    def path(self) -> str:
        """Of its booking page."""
        return f"/bookings/{self.token}"

    @property
    def quote_path(self) -> str:
        """Of its quote's page."""
        return path_of(addresses.of_lead(self.work, self.visit.ports, self.lead.id)[0])

    @property
    def fixed_day(self) -> date | None:
        """The day of the event; None where the client may pick one."""
        if self.quote.brief.event.date is None:
            return None
        return day_of_event(self.work, self.lead.id, self.quote, self.visit.book)

    @property
    def on_site(self) -> timedelta:
        """How long it takes from arriving until all is ready."""
        return job_of(self.quote.brief, self.quote.estimate, self.visit.book).on_site

    @property
    def may_pick(self) -> bool:
        """Whether a time can be picked now."""
        return self.lead.state in (LeadState.QUOTED, LeadState.HELD)

    @property
    def until(self) -> datetime:
        """When a time picked now runs out; picking another one does not move it."""
        if self.hold is not None and self.hold.expires_at > self.visit.now:
            return self.hold.expires_at
        promised = book_of(self.visit.ports.price_books, self.quote)
        return booking.hold_until(promised, self.visit.now)

    def local(self, moment: datetime) -> datetime:
        """A moment in the shop's own time."""
        return moment.astimezone(self.visit.zone)


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """The terms that a client has to agree to: their version, and how they read."""

    version: str
    clauses: Clauses


def open_job(work: UnitOfWork, visit: Visit, token: str) -> Job:
    """The job behind a booking link. Raises NotFound or LinkExpired."""
    lead = handling.lead_of_link(work, visit.ports, token, purpose=handling.BOOKING_LINK)
    quote = work.quotes.latest(lead.id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    hold = work.holds.of_lead(lead.id)
    visit = visit.speaking(lead.language)
    return Job(work=work, visit=visit, token=token, lead=lead, quote=quote, hold=hold)


def terms_to_accept(job: Job) -> Asked | None:
    """The terms as they are now; None where there are none, or they are accepted already.

    What they say of the weather is for those whose garland stands outdoors.
    """
    now = terms.current(job.visit.ports)
    before = terms.accepted(job.work, job.lead.id)
    if not now.version or (before is not None and before.version == now.version):
        return None
    return Asked(version=now.version, clauses=_said(job, now))


def terms_accepted(job: Job) -> Clauses | None:
    """What the client agreed to, to be read again; None where they never had to."""
    accepted = terms.accepted(job.work, job.lead.id)
    return _said(job, job.work.agreements.terms(accepted.version)) if accepted else None


def _said(job: Job, version: Terms) -> Clauses:
    said = version.said(job.visit.words.language)
    outdoors = job.quote.brief.site.setting is Setting.OUTDOOR
    return Clauses(terms=said.terms, weather=said.weather if outdoors else "")
