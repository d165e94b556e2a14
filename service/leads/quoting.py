"""A worker's estimate comes back: the ballpark goes out, or the owner looks first."""

from dataclasses import replace
from datetime import datetime

from service.estimating import Brief, Calibration, Estimate, Option, PriceBook, options, to_pay
from service.leads import addresses, follow_up, owner_words, stepping, wording
from service.leads.handling import firm_before
from service.leads.lead import GARLANDRY, Change, Lead, LeadState, NotFound, Quote, QuoteKind
from service.leads.offering import offer
from service.leads.pictures import picture_of
from service.leads.ports import Ports, UnitOfWork
from service.leads.review import reasons
from service.leads.shop_time import end_of_day, today_at
from service.leads.steps import StepState
from service.leads.telling import tell_client, tell_owner


def within_budget(
    brief: Brief, estimate: Estimate, book: PriceBook, calibration: Calibration, *, now: datetime
) -> tuple[Option, ...]:
    """What would fit the client's budget, at most three, where the brief's own price does not.

    It estimates many briefs: ask before the transaction begins, and not within it.
    """
    most = brief.budget.max if brief.budget else None
    if most is None or to_pay(estimate.price) <= most:
        return ()
    found = options(brief, book, calibration, today=today_at(now, book))
    return tuple(each for each in found if each.fits)


def finish_quote(
    work: UnitOfWork,
    ports: Ports,
    *,
    lead_id: str,
    step_id: str,
    fence: int,
    estimate: Estimate | None,
    problems: tuple[str, ...] = (),
    fitting: tuple[Option, ...] = (),
    now: datetime,
) -> Lead:
    """A worker's quoting step comes back: send the ballpark, or queue it for the owner.

    `fitting` are those of `within_budget`, told beside the ballpark. Without an `estimate` the
    `problems` say why none could be made. A step that was finished
    before changes nothing. Raises StepRefused for an old fence.
    """
    # The request's lock first, as everywhere.
    lead = work.leads.get(lead_id, lock=True)
    step = stepping.held(work, step_id, fence)
    if step.subject_id != lead_id:
        raise NotFound("That step is for another lead.")
    if step.state is StepState.DONE:
        return lead
    stepping.finish(work, step)
    if lead.state is not LeadState.NEW:
        return lead
    book = ports.price_books.current()
    found = problems
    quote = None
    if estimate is not None:
        found = reasons(lead.brief, estimate, book, today=today_at(now, book))
        made = draft(ports, lead, estimate, now)
        quote = work.quotes.add(made if found else replace(made, sent_at=now))
        if not found:
            return _send_ballpark(work, ports, lead, quote, fitting, now)
    return _queue_for_owner(work, ports, lead, quote, found, now)


def _send_ballpark(
    work: UnitOfWork,
    ports: Ports,
    lead: Lead,
    quote: Quote,
    fitting: tuple[Option, ...],
    now: datetime,
) -> Lead:
    book = ports.price_books.current()
    lead = lead.moved_to(LeadState.QUOTED)
    work.leads.save(lead)
    work.leads.note(lead.id, Change(at=now, who=GARLANDRY, what="sent the ballpark"))
    url, booking_url = addresses.fresh(work, ports, lead, quote)
    day = lead.brief.event.date
    free = day is None or offer(work, lead, quote, book, first=day, last=day, now=now).any_on(day)
    said = ports.wording.in_language(lead.language)
    message = wording.ballpark(
        lead,
        quote,
        book,
        said,
        url=url,
        booking_url=booking_url,
        bookable=free,
        options=fitting,
    )
    shown = replace(message, picture=picture_of(quote, said, url=url))
    tell_client(work, lead, shown, now=now)
    follow_up.arrange_first(work, ports, lead, quote, now=now)
    return lead


def _queue_for_owner(
    work: UnitOfWork,
    ports: Ports,
    lead: Lead,
    quote: Quote | None,
    found: tuple[str, ...],
    now: datetime,
) -> Lead:
    book, said = ports.price_books.current(), ports.wording.in_language(lead.language)
    lead = replace(lead.moved_to(LeadState.REVIEW), review_reasons=found)
    work.leads.save(lead)
    detail = {"reasons": list(found)}
    change = Change(at=now, who=GARLANDRY, what="queued for the owner", detail=detail)
    work.leads.note(lead.id, change)
    told = wording.under_review(lead, book, said, today=today_at(now, book))
    tell_client(work, lead, told, now=now)
    waits = owner_words.review(
        lead, quote, book, public_url=ports.public_url, before=firm_before(work, lead)
    )
    tell_owner(work, waits, now=now)
    return lead


def draft(ports: Ports, lead: Lead, estimate: Estimate, now: datetime) -> Quote:
    """A ballpark of the lead's brief that nobody has been sent."""
    book = ports.price_books.current()
    return Quote(
        id=ports.new_id(),
        lead_id=lead.id,
        number="",
        kind=QuoteKind.BALLPARK,
        brief=lead.brief,
        estimate=estimate,
        low=estimate.price.low,
        likely=estimate.price.likely,
        high=estimate.price.high,
        currency=estimate.price.currency,
        deposit=estimate.price.deposit,
        created_at=now,
        expires_at=end_of_day(now + book.calendar.quote_valid, book),
    )
