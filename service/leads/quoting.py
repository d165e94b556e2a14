"""A lead is quoted: the ballpark goes out, or the owner looks first."""

import contextlib
from dataclasses import replace
from datetime import datetime

from service.estimating import Brief, BriefError, Estimate, Option, options, to_pay
from service.estimating import estimate as estimated
from service.leads import addresses, follow_up, owner_words, stepping, wording
from service.leads.handling import firm_before
from service.leads.lead import GARLANDRY, Change, Lead, LeadState, NotFound, Quote, QuoteKind
from service.leads.locating import located
from service.leads.offering import offer
from service.leads.pictures import picture_of
from service.leads.ports import Ports, UnitOfWork
from service.leads.review import reasons
from service.leads.shop_time import end_of_day, today_at
from service.leads.steps import Step, StepKind, StepRefused, StepState
from service.leads.telling import tell_client, tell_owner

_MOST_REASONS = 20

_UNPRICED = "No price could be worked out."


def quote(ports: Ports, step_id: str) -> tuple[Lead, int]:
    """Take the step that owes a lead its quote, estimate, and finish it; which attempt it was.

    The work is done between two transactions, under the step's lease. Raises StepRefused where the
    step is not to be taken, or was taken over meanwhile; any other trouble gives it back.
    """
    with ports.passing() as work:
        step = stepping.lease(work, step_id, ports.clock())
        if step.kind is not StepKind.QUOTE:
            raise StepRefused("this step quotes no lead")
        brief = work.leads.get(step.subject_id).brief
        work.commit()
    if step.lease_until is None:
        raise StepRefused(stepping.TOO_OFTEN)
    try:
        return _quoted(ports, step, brief), step.attempts
    except StepRefused:
        raise
    except Exception as error:
        with contextlib.suppress(StepRefused):  # another has it by now
            _give_back(ports, step, type(error).__name__)
        raise


def _quoted(ports: Ports, step: Step, brief: Brief) -> Lead:
    book, now = ports.price_books.current(), ports.clock()
    estimate: Estimate | None = None
    problems: tuple[str, ...] = ()
    fitting: tuple[Option, ...] = ()
    try:
        placed = replace(brief, site=located(brief.site, ports.places, book.shop))
        calibration = ports.calibrations.current()
        estimate = estimated(placed, book, calibration, today=today_at(now, book))
    except BriefError as error:
        problems = tuple(f"{each.field}: {each.detail}" for each in error.problems)
    else:
        fitting = within_budget(ports, brief, estimate, now=now)
    with ports.work() as work:
        lead = finish_quote(
            work,
            ports,
            lead_id=step.subject_id,
            step_id=step.id,
            fence=step.fence,
            estimate=estimate,
            problems=problems[:_MOST_REASONS],
            fitting=fitting,
            now=ports.clock(),
        )
        work.commit()
    return lead


def _give_back(ports: Ports, step: Step, trouble: str) -> None:
    with ports.work() as work:
        stepping.fail(
            work,
            step.id,
            step.fence,
            error=trouble,
            retry=True,
            retry_after=None,
            now=ports.clock(),
        )
        work.commit()


def within_budget(
    ports: Ports, brief: Brief, estimate: Estimate, *, now: datetime
) -> tuple[Option, ...]:
    """What would fit the client's budget, at most three, where the brief's own price does not.

    It estimates many briefs: ask before the transaction begins, and not within it.
    """
    most = brief.budget.max if brief.budget else None
    if most is None or to_pay(estimate.price) <= most:
        return ()
    book, calibration = ports.price_books.current(), ports.calibrations.current()
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


def leave_to_owner(work: UnitOfWork, ports: Ports, lead: Lead, *, now: datetime) -> None:
    """No price can be worked out: the request waits for the owner, and the client is told so."""
    _queue_for_owner(work, ports, lead, None, (_UNPRICED,), now)


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
