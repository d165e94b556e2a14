"""The page of a time that is kept, booked or canceled: what happens next, the ways to change it."""

from http import HTTPStatus

from fastapi import Response

from service.leads import balances, money_wording, paying, stays, terms
from service.leads.cancelling import Cancelled
from service.leads.lead import Hold, LeadState, QuoteKind
from service.leads.speech import msg
from service.pages.bookings.offer import offer_of
from service.pages.bookings.opened import Job, terms_accepted

REASONS = {
    "the event is off": msg("The event is off"),
    "another day": msg("It moved to another day"),
    "somebody else": msg("We found somebody else"),
    "the price": msg("It's more than we want to spend"),
    "other": msg("Something else"),
}
"""Why a client gives a date back: as the owner reads it, and as the client does."""


def held_page(job: Job, hold: Hold) -> Response:
    """When we come, what is to be paid and how, and what happens next."""
    visit, words = job.visit, job.visit.words
    account = paying.of_lead(job.work, job.lead, job.quote)
    due_on = paying.due_on(job.work, visit.ports, job.lead, job.quote, hold)
    strikes_at = stays.agreed_strike(job.lead.brief.event, hold, visit.book)
    return visit.show(
        "held.html",
        lead=job.lead,
        quote=job.quote,
        offer=offer_of(job),
        booked=job.lead.state in (LeadState.BOOKED, LeadState.DONE),
        done=job.lead.state is LeadState.DONE,
        starts=job.local(hold.window.starts_at),
        ends=job.local(hold.window.ends_at),
        comes_back=hold.stay.strikes_at < hold.stay.struck_at,
        strikes=strikes_at and words.moment(job.local(strikes_at)),
        until=words.moment(job.local(hold.expires_at)),
        over=hold.expires_at <= visit.now,
        pay_to=terms.pay_to(visit.book, words.language),
        # Whoever has paid all of it waits for nobody to confirm it.
        firm=job.quote.kind is QuoteKind.FIRM or not account.due,
        total=account.total,
        paid=account.paid - account.refunded + account.given,
        given=account.given,
        due=account.due,
        due_on=due_on and words.day(due_on),
        agreed=terms_accepted(job),
        rest=money_wording.rest(
            balances.rest_of(job.work, visit.ports, job.lead, job.quote, hold), words
        ),
        reasons=REASONS,
        quote_path=job.quote_path,
        change_path=f"{job.path}?change=1",
        calendar_path=f"{job.path}.ics",
        give_back_path=f"{job.path}/give-back",
    )


def canceled_page(job: Job, off: Cancelled) -> Response:
    """What goes back of what was paid, and how the entry in a calendar goes."""
    paid = off.returned + off.kept
    return job.visit.show(
        "canceled.html",
        status=HTTPStatus.CONFLICT,
        back=money_wording.back(off.returned, paid, job.quote.currency, job.visit.words),
        calendar_path=f"{job.path}.ics",
    )
