"""Telling how a finished job went: kept with what it really cost and what is learnt from it."""

import hashlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from service.estimating import PriceBook
from service.leads.actuals import (
    MOST_PHOTOS,
    Actuals,
    Finished,
    JobPhoto,
    planned_by_key,
    settled,
    used_by_key,
    wrong_with,
)
from service.leads.balances import day_of, of_lead
from service.leads.compared import Comparison, compare
from service.leads.handling import refuse_if_gone
from service.leads.lead import (
    Change,
    Hold,
    Lead,
    LeadError,
    LeadState,
    NotFound,
    Quote,
    StaleDecision,
)
from service.leads.leftovers import put_back
from service.leads.observing import observation, told
from service.leads.paid import paid_for
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.leads.shop_time import today_at
from service.leads.slips import far_off
from service.leads.stock import Key
from service.leads.words import money

TOLD, CORRECTED, TAKEN_BACK = (
    "told how it went",
    "corrected how it went",
    "took back how it went",
)
"""What the history says."""

_SINCE_CHANGED = "Somebody told how it went in the meantime, or the price has changed. Look again."


class NotYet(LeadError):
    """The job is still to come, or it never was one."""


class CannotBe(LeadError):
    """Something was told that cannot be; `faults` says by field what to mend."""

    def __init__(self, faults: Mapping[str, str]) -> None:
        super().__init__("; ".join(faults.values()))
        self.faults = faults


class IsItSo(CannotBe):
    """What was told is far off its plan: whoever is sure of these fields says so."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """What somebody tells of a job. `back`: what was not used goes back to stock."""

    actuals: Actuals
    went_wrong: str = ""
    back: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Seen:
    """What whoever tells was looking at: the quote's number, and the revision, 0 for none.

    `sure` are the fields that were asked about, and are so.
    """

    quote: str
    revision: int
    sure: frozenset[str] = frozenset()


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A job that can be told of, with the quote and the book that it is held against."""

    lead: Lead
    quote: Quote
    book: PriceBook
    hold: Hold | None


def may_tell(lead: Lead, hold: Hold | None, now: datetime) -> bool:
    """Whether there is something to tell: the crew has at least left for it."""
    if lead.merged_into is not None or lead.erased_at is not None:
        return False
    if lead.state is LeadState.BOOKED:
        return hold is not None and hold.stay.leaves_at <= now
    return lead.state is LeadState.DONE


def job_of(
    work: UnitOfWork, ports: Ports, lead_id: str, *, now: datetime, lock: bool = False
) -> Job:
    """The job of a request. Raises NotFound, NotYet."""
    lead = work.leads.get(lead_id, lock=lock)
    refuse_if_gone(work, lead)
    hold = work.holds.of_lead(lead.id)
    if not may_tell(lead, hold, now):
        raise NotYet("There is nothing to tell yet: this job is not done.")
    quote = work.quotes.latest(lead.id, sent=True)
    if quote is None:
        raise NotFound("This request has no price.")
    return Job(lead=lead, quote=quote, book=book_of(ports.price_books, quote), hold=hold)


def held_against(work: UnitOfWork, job: Job, actuals: Actuals) -> Comparison:
    """The job against its estimate: at what was paid for it, and at what its client pays.

    Gifts and fees are in that.
    """
    account = of_lead(work, job.lead, job.quote)
    charged = account.price + account.fees - account.given
    paid = paid_for(work, job.quote, job.book)
    return compare(job.quote, job.book, actuals, paid=paid, charged=charged)


def record(
    work: UnitOfWork,
    ports: Ports,
    lead_id: str,
    entry: Entry,
    *,
    seen: Seen,
    who: str,
    now: datetime,
) -> Finished | None:
    """Keep what was told of a job in place of what was told before; None where that is nothing.

    The same again changes nothing. Raises NotFound, NotYet, CannotBe, IsItSo, StaleDecision.
    """
    job = job_of(work, ports, lead_id, now=now, lock=True)
    before = work.actuals.of(lead_id)
    entry = replace(entry, actuals=settled(entry.actuals, job.quote.estimate))
    cost = held_against(work, job, entry.actuals).real_cost
    # What was paid may have been written down since: that is then taken over.
    same = before is not None and said_of(before) == entry and before.real_cost == cost
    _refuse_stale(job, before, seen, same=same)
    if same:
        return before
    faults = wrong_with(entry.actuals, entry.went_wrong, job.quote.estimate)
    if faults:
        raise CannotBe(faults)
    _ask(job, entry, before, seen)
    if entry.actuals == Actuals() and not entry.went_wrong:
        _take_back(work, ports, job, before, who, now)
        return None
    finished = _finished(job, ports, entry, cost, before, who, now)
    work.actuals.save(finished)
    _note(work, finished, before, now)
    _keep_shelf(work, ports, job, finished, before)
    return finished


def said_of(finished: Finished) -> Entry:
    """What was told, as it would be told again."""
    return Entry(actuals=finished.actuals, went_wrong=finished.went_wrong, back=finished.back)


def keep_photo(
    work: UnitOfWork, ports: Ports, lead_id: str, jpeg: bytes, *, who: str, now: datetime
) -> JobPhoto:
    """Keep a photo of a job; the same one again changes nothing.

    Raises NotFound, NotYet, CannotBe where there are enough already.
    """
    job_of(work, ports, lead_id, now=now, lock=True)
    name = hashlib.sha256(lead_id.encode() + b"\0" + jpeg).hexdigest()[:32]
    kept = work.actuals.photos(lead_id)
    same = next((each for each in kept if each.id == name), None)
    if same is not None:
        return same
    if len(kept) >= MOST_PHOTOS:
        raise CannotBe({"photo": f"There are {MOST_PHOTOS} photos already. Remove one first."})
    photo = JobPhoto(id=name, lead_id=lead_id, jpeg=jpeg, at=now, who=who)
    work.actuals.add_photo(photo)
    return photo


def drop_photo(work: UnitOfWork, lead_id: str, photo_id: str) -> None:
    """Throw a photo of a job away. Thrown away again it changes nothing. Raises NotFound."""
    work.leads.get(lead_id, lock=True)
    if photo_of(work, lead_id, photo_id) is not None:
        work.actuals.drop_photo(photo_id)


def photo_of(work: UnitOfWork, lead_id: str, photo_id: str) -> JobPhoto | None:
    """A photo, if it is one of that job."""
    photo = work.actuals.photo(photo_id)
    return photo if photo is not None and photo.lead_id == lead_id else None


def _refuse_stale(job: Job, before: Finished | None, seen: Seen, *, same: bool) -> None:
    revision = 0 if before is None else before.revision
    # A second press says what is there already.
    pressed_twice = same and seen.revision == revision - 1
    if seen.quote != job.quote.number or not (seen.revision == revision or pressed_twice):
        raise StaleDecision(_SINCE_CHANGED)


def _ask(job: Job, entry: Entry, before: Finished | None, seen: Seen) -> None:
    """About what is far off and nobody has said that it is so. Raises IsItSo."""
    asked = far_off(entry.actuals, job.quote.estimate)
    known = far_off(before.actuals, job.quote.estimate) if before is not None else {}
    doubts = {
        name: text
        for name, text in asked.items()
        if name not in seen.sure and known.get(name) != text
    }
    if doubts:
        raise IsItSo(doubts)


def _finished(
    job: Job,
    ports: Ports,
    entry: Entry,
    cost: Decimal,
    before: Finished | None,
    who: str,
    now: datetime,
) -> Finished:
    current, actuals = ports.price_books.current(), entry.actuals
    return Finished(
        lead_id=job.lead.id,
        quote_id=job.quote.id,
        done_on=_done_on(job, current, now),
        actuals=actuals,
        went_wrong=entry.went_wrong,
        back=entry.back,
        currency=job.quote.currency,
        real_cost=cost,
        observation=observation(job.quote, job.book, actuals),
        told=told(job.quote, job.book),
        entered_at=now if before is None else before.entered_at,
        changed_at=now,
        who=who,
        revision=1 if before is None else before.revision + 1,
    )


def _done_on(job: Job, current: PriceBook, now: datetime) -> date:
    return day_of(job.lead, job.quote, job.hold, current) or today_at(now, current)


def _take_back(
    work: UnitOfWork, ports: Ports, job: Job, before: Finished | None, who: str, now: datetime
) -> None:
    if before is None:
        raise CannotBe({"used": "Tell at least one thing, or that all of it went as planned."})
    work.actuals.remove(before.lead_id)
    work.leads.note(before.lead_id, Change(at=now, who=who, what=TAKEN_BACK))
    if before.back:
        _put_back(work, ports, job, planned_by_key(job.quote.estimate), who, now)


def _keep_shelf(
    work: UnitOfWork, ports: Ports, job: Job, finished: Finished, before: Finished | None
) -> None:
    """What was not used is on the shelf again, or no longer, as was told last."""
    estimate = job.quote.estimate
    used = used_by_key(finished.actuals, estimate) if finished.back else None
    if used is None and before is not None and before.back:
        used = planned_by_key(estimate)
    if used is not None:
        _put_back(work, ports, job, used, finished.who, finished.changed_at)


def _put_back(
    work: UnitOfWork, ports: Ports, job: Job, used: Mapping[Key, int], who: str, now: datetime
) -> None:
    # Nobody is asked how many of those that float were used: as many as were to float.
    with_floats = Counter(used)
    for line in job.quote.estimate.helium.latex:
        with_floats[line.size_class, line.colour] += line.placed
    put_back(work, ports.price_books.current(), job.lead, with_floats, who=who, now=now)


def _note(work: UnitOfWork, finished: Finished, before: Finished | None, now: datetime) -> None:
    def said(cost: Decimal) -> str:
        return money(cost, finished.currency)

    cost = f"it cost {said(finished.real_cost)}"
    if before is not None and before.real_cost != finished.real_cost:
        cost += f", not {said(before.real_cost)}"
    what = TOLD if before is None else CORRECTED
    change = Change(at=now, who=finished.who, what=what, detail={"told": [cost]})
    work.leads.note(finished.lead_id, change)
