"""Set-up windows that are really free for a job, and why there are none."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum

from service.estimating import Brief, PriceBook, Setting, surcharges
from service.leads.diary import Diary, Room, Short, runs
from service.leads.lead import Lead, Quote, QuoteKind, Window
from service.leads.ports import UnitOfWork
from service.leads.shop_time import midnight, today_at, zone_of
from service.leads.stays import Job, job_of
from service.leads.windows import Openings, agreed_window, can_be_made, candidates, openings

# As far ahead as anybody books an event.
HORIZON = timedelta(days=3 * 366)

# Days that are looked through for the next free window, and so many at a time.
_LOOK_AHEAD_DAYS = 84
_AT_A_TIME_DAYS = 14

# A stay may begin the day before its window's and end some days after it.
_AROUND = timedelta(days=9)


class Why(StrEnum):
    """Why a day has no free window."""

    WEEKDAY = "weekday"
    CLOSED = "closed"
    VENUE = "venue"
    TOO_LONG = "too long"
    NOTICE = "notice"
    MAKING = "making"
    TAKEN = "taken"


class Judge(StrEnum):
    """By whose rules a window is judged.

    A client takes one of those offered; the owner may also break her own rules; what is agreed
    stands, whatever notice it leaves and whether or not it is offered still.
    """

    CLIENT = "client"
    OWNER = "owner"
    AGREED = "agreed"


class Broken(StrEnum):
    """A rule of the shop's own that a window breaks: the notice, or room for making it all."""

    NOTICE = "notice"
    MAKING = "making"


@dataclass(frozen=True, kw_only=True, slots=True)
class NoneFree:
    """Why a day has no free window, and what there is too little of where others have it."""

    why: Why
    shorts: tuple[Short, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class OwnersWindow:
    """A window that has room, and which of her rules the owner breaks by taking it."""

    window: Window
    broken: tuple[Broken, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """What a job can be offered in some days: its needs, the hours, what stands there already.

    On the day `promised` by a firm price the client need not keep the shop's notice.
    """

    job: Job
    hours: Openings
    diary: Diary
    book: PriceBook
    now: datetime
    promised: date | None = None

    def on(self, day: date) -> list[Window]:
        """Windows of that day that have room and for which all can be made, earliest first."""
        return [each.window for each in self.for_owner(day) if not each.broken]

    def any_on(self, day: date) -> bool:
        """Whether there is one at all."""
        return any(
            not self.broken(window) and isinstance(self.room(window), Room)
            for window in self.possible(day)
        )

    def for_owner(self, day: date) -> list[OwnersWindow]:
        """Every window of that day that has room, with the rules that it breaks."""
        return [
            OwnersWindow(window=window, broken=self.broken(window))
            for window in self.possible(day)
            if isinstance(self.room(window), Room)
        ]

    def possible(self, day: date) -> list[Window]:
        """Windows that the hours of that day leave and that can be driven to, whoever has them."""
        before = self.book.labour.ready_before
        soonest = self.now + self.job.slack + self.job.drive
        return candidates(day, self.job, self.hours, ready_before=before, earliest=soonest)

    def broken(self, window: Window) -> tuple[Broken, ...]:
        """The rules that a window breaks."""
        day = window.starts_at.astimezone(self.hours.zone).date()
        notice = day == self.promised or self.now + self.book.calendar.notice <= window.starts_at
        kept = {Broken.NOTICE: notice, Broken.MAKING: self._can_be_made(window)}
        return tuple(rule for rule, keeps in kept.items() if not keeps)

    def _can_be_made(self, window: Window) -> bool:
        start = self.job.event.start_time
        event_at = window.ends_at + self.book.labour.ready_before
        if start is not None:
            event_at = datetime.combine(window.starts_at.date(), start, self.hours.zone)
        at_home = replace(self.hours, access_from=None, access_until=None)
        return can_be_made(self.job, at_home, window, event_at, self.now)

    def window_at(self, starts_at: datetime, judge: Judge) -> Window | None:
        """The window that begins then, where the judge allows it."""
        day = starts_at.astimezone(self.hours.zone).date()
        if judge is Judge.AGREED:
            before = self.book.labour.ready_before
            return agreed_window(starts_at, day, self.job, self.hours, ready_before=before)
        window = next((w for w in self.possible(day) if w.starts_at == starts_at), None)
        allowed = judge is Judge.OWNER or (window is not None and not self.broken(window))
        return window if allowed else None

    def room(self, window: Window) -> Room | Short:
        """Room for the job in a window, or what there is too little of."""
        day = window.starts_at.astimezone(self.hours.zone).date()
        return self.diary.room(self.job, window, day=day, hours=self.hours, book=self.book)


def offer(
    work: UnitOfWork,
    lead: Lead,
    quote: Quote,
    book: PriceBook,
    *,
    first: date,
    last: date,
    now: datetime,
) -> Offer:
    """What stands in the calendar from the first to the last day, for the job of a quote.

    What the lead holds itself, and what has run out, is as good as free.
    """
    job = job_of(_as_known(quote.brief, lead.brief), quote.estimate, book)
    since, until = midnight(first, book) - _AROUND, midnight(last, book) + _AROUND
    holds = [
        hold
        for hold in work.holds.between(since, until)
        if hold.lead_id != lead.id and runs(hold, now)
    ]
    units: dict[str, list[tuple[str, int]]] = {}
    if job.kit and holds:
        for hold_id, item, unit in work.holds.units_out(job.kit, since, until):
            units.setdefault(hold_id, []).append((item, unit))
    closed = work.closed.between(first, last + _AROUND)
    return Offer(
        job=job,
        hours=openings(book, lead.brief.site, closed),
        diary=Diary(holds=holds, units=units),
        book=book,
        now=now,
        promised=quote.brief.event.date if quote.kind is QuoteKind.FIRM else None,
    )


def offered(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, *, day: date, now: datetime
) -> list[Window]:
    """Set-up windows of that day that a client may pick, earliest first."""
    return offer(work, lead, quote, book, first=day, last=day, now=now).on(day)


def open_to_owner(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, *, day: date, now: datetime
) -> list[OwnersWindow]:
    """Set-up windows of that day that the owner may pick, earliest first."""
    return offer(work, lead, quote, book, first=day, last=day, now=now).for_owner(day)


def next_free(
    work: UnitOfWork,
    lead: Lead,
    quote: Quote,
    book: PriceBook,
    *,
    after: date,
    now: datetime,
    most: int = 6,
) -> list[Window]:
    """The next windows with room: of that day, or else some of the next days at the same price.

    Of a day outdoors its latest, which leave the garland freshest.
    """
    outdoors = quote.brief.site.setting is Setting.OUTDOOR
    same_day = offered(work, lead, quote, book, day=after, now=now)
    if same_day:
        return same_day[-most:] if outdoors else same_day[:most]
    found: list[Window] = []
    today = today_at(now, book)
    for day, free in _days_after(work, lead, quote, book, after, now):
        if same_price(quote, day, book, today):
            found += free[-2:] if outdoors else _spread(free, most=2)
        if len(found) >= most:
            return found[:most]
    return found


def day_of_event(work: UnitOfWork, lead_id: str, quote: Quote, book: PriceBook) -> date | None:
    """The day on which the event is: of what is kept, or was kept last, or else what was priced.

    A client who moved it keeps that day when the time runs out, until another price is sent.
    """
    kept = work.holds.of_lead(lead_id)
    last = kept or work.holds.newest_of_lead(lead_id)
    if last is None or (kept is None and last.quote_id != quote.id):
        return quote.brief.event.date
    return last.window.starts_at.astimezone(zone_of(book)).date()


def same_price(quote: Quote, day: date, book: PriceBook, today: date) -> bool:
    """Whether a price that was made for one day holds on another: weekend, holiday, notice."""
    priced = quote.brief.event.date
    if priced is None or priced == day:
        return True
    before, then = (surcharges(each, today, book.policy) for each in (priced, day))
    return sum(before.values()) == sum(then.values())


def why_none(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, *, day: date, now: datetime
) -> NoneFree | None:
    """Why that day has no window for the job; None where it has one."""
    found = offer(work, lead, quote, book, first=day, last=day, now=now)
    if found.on(day):
        return None
    possible = [(window, found.broken(window)) for window in found.possible(day)]
    shorts = [short for w, _ in possible if isinstance(short := found.room(w), Short)]
    if any(not broken for _, broken in possible):
        return NoneFree(why=Why.TAKEN, shorts=tuple(dict.fromkeys(shorts)))
    if any(Broken.NOTICE not in broken for _, broken in possible):
        return NoneFree(why=Why.MAKING)
    return NoneFree(why=_why_no_hours(found, day))


def _as_known(priced: Brief, now: Brief) -> Brief:
    """What was priced, ending when the client has said since that it ends."""
    return replace(priced, event=replace(priced.event, end_time=now.event.end_time))


def _days_after(
    work: UnitOfWork, lead: Lead, quote: Quote, book: PriceBook, after: date, now: datetime
) -> Iterator[tuple[date, list[Window]]]:
    first = max(after, today_at(now, book)) + timedelta(1)
    for passed in range(0, _LOOK_AHEAD_DAYS, _AT_A_TIME_DAYS):
        begins = first + timedelta(passed)
        ends = begins + timedelta(_AT_A_TIME_DAYS - 1)
        found = offer(work, lead, quote, book, first=begins, last=ends, now=now)
        for days in range(_AT_A_TIME_DAYS):
            day = begins + timedelta(days)
            yield day, found.on(day)


def _spread(free: list[Window], *, most: int) -> list[Window]:
    """A few windows spread over the day: the first, and some later ones."""
    step = max(1, len(free) // most)
    return free[::step][:most]


def _why_no_hours(found: Offer, day: date) -> Why:
    calendar, zone = found.book.calendar, zone_of(found.book)
    if day.weekday() not in calendar.opening:
        return Why.WEEKDAY
    # So that only the hours of the day count.
    early = datetime.combine(day, time.min, zone)

    def possible(hours: Openings) -> bool:
        before = found.book.labour.ready_before
        return bool(candidates(day, found.job, hours, ready_before=before, earliest=early))

    if possible(found.hours):
        return Why.NOTICE
    if possible(Openings(calendar=calendar, zone=zone)):
        shut = Openings(calendar=calendar, zone=zone, closed=found.hours.closed)
        return Why.VENUE if possible(shut) else Why.CLOSED
    return Why.TOO_LONG
