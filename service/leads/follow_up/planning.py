"""Which reminders a request wants as it stands: a pure function of where it stands."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from service.estimating import PriceBook
from service.leads.follow_up.quiet import after_quiet
from service.leads.lead import Hold, Lead, LeadState, Quote
from service.leads.reminders import Kind, Planned
from service.leads.shop_time import midnight, today_at, zone_of

# About this a request has one message at most, whatever becomes of it.
_ONCE = "once"

# After that nobody asks for a photo any more.
_THANKS_LAST = timedelta(days=14)


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """Where a request stands.

    `quote` is the newest that the client has, `hold` the date that is held or booked for it.
    `heard_at` is when the client last wrote, `stopped` whether they want nothing unasked, and
    `due_on` by when the rest of the price is to be paid; None where nothing is.
    """

    lead: Lead
    quote: Quote | None
    hold: Hold | None
    heard_at: datetime | None
    stopped: bool
    due_on: date | None


def planned(standing: Standing, book: PriceBook) -> tuple[Planned, ...]:
    """What is wanted, outside of quiet hours and the next first."""
    wanted = [
        replace(each, due_at=after_quiet(each.due_at, book))
        for each in _wanted(standing, book)
        if not (standing.stopped and each.kind.to_client)
    ]
    return tuple(sorted(wanted, key=lambda each: each.due_at))


def _wanted(standing: Standing, book: PriceBook) -> Iterator[Planned]:
    match standing.lead.state:
        case LeadState.QUOTED:
            yield from _nudge(standing, book)
        case LeadState.HELD:
            yield from _of_hold(standing, book)
        case LeadState.BOOKED | LeadState.DONE:
            yield from _of_booking(standing, book)


def _nudge(standing: Standing, book: PriceBook) -> Iterator[Planned]:
    quote, rule = standing.quote, book.follow_up.nudge
    if quote is None or quote.sent_at is None or not rule.on:
        return
    answered = standing.heard_at is not None and standing.heard_at > quote.sent_at
    due_at = quote.expires_at - rule.before
    if not answered and due_at > quote.sent_at:
        yield Planned(kind=Kind.NUDGE, basis=_ONCE, due_at=due_at, until=quote.expires_at)


def _of_hold(standing: Standing, book: PriceBook) -> Iterator[Planned]:
    hold, rule = standing.hold, book.follow_up.hold
    if hold is None or not rule.on:
        return
    # By its end: moving to another time of the same day does not change that.
    basis = hold.expires_at.astimezone(UTC).isoformat(timespec="minutes")
    for kind in (Kind.HOLD, Kind.OWNERS_HOLD):
        due_at = hold.expires_at - rule.before
        yield Planned(kind=kind, basis=basis, due_at=due_at, until=hold.expires_at)


def _of_booking(standing: Standing, book: PriceBook) -> Iterator[Planned]:
    hold, rules = standing.hold, book.follow_up
    if hold is None:
        return
    starts_at = hold.window.starts_at
    day = today_at(starts_at, book)
    due_on = standing.due_on
    if standing.lead.state is LeadState.BOOKED and rules.balance.on and due_on is not None:
        due_at = _at(due_on - timedelta(days=rules.balance.days), rules.balance.at)
        until = midnight(day + timedelta(days=1), book)
        yield _on_day(Kind.BALANCE, day, due_at, until, book)
    if standing.lead.state is LeadState.BOOKED and rules.day_before.on:
        evening = _at(day - timedelta(days=rules.day_before.days), rules.day_before.at)
        asks = _on_day(Kind.DAY_BEFORE, day, evening, starts_at, book)
        yield replace(asks, since=midnight(day - timedelta(days=1), book))
    if rules.thanks.on:
        later = datetime.combine(day + timedelta(days=rules.thanks.days), rules.thanks.at)
        due_at = _here(later, book)
        yield Planned(
            kind=Kind.THANKS,
            basis=_ONCE,
            due_at=due_at,
            until=due_at + _THANKS_LAST,
            since=hold.window.ends_at,
        )


def _on_day(kind: Kind, day: date, due_at: datetime, until: datetime, book: PriceBook) -> Planned:
    return Planned(kind=kind, basis=day.isoformat(), due_at=_here(due_at, book), until=until)


def _at(day: date, clock: time) -> datetime:
    return datetime.combine(day, clock)


def _here(local: datetime, book: PriceBook) -> datetime:
    return local.replace(tzinfo=zone_of(book)).astimezone(UTC)
