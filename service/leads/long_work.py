"""Beginning long work, doing one part of it under its step's lease, and stopping it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from service.estimating import PriceBook
from service.leads import stepping
from service.leads.chores import About, Chore, ChoreKind, Made, Part, PartState, Progress
from service.leads.lead import Hold, HoldState, LeadError, NotFound, StaleDecision
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import midnight, today_at, zone_of
from service.leads.steps import StepKind, StepState

LONGEST = timedelta(days=366)
"""More than a year at once is a slip of the finger."""

_LAST_DAY = date(9000, 1, 1)
"""Days at the end of the calendar cannot be moved between zones."""

_TRIES = 3
"""A part that has failed so often is told as failed: the others should not wait for it."""

_OF_A_JOB = (About.QUOTE, About.BUILD, About.LABELS, About.LOAD)


class NothingToDo(LeadError):
    """There is nothing to make in that time."""


class TimeRefused(LeadError):
    """The time that was asked for makes no sense."""


def begin(
    work: UnitOfWork,
    ports: Ports,
    kind: ChoreKind,
    *,
    chore_id: str,
    first: date,
    last: date,
    who: str,
    now: datetime,
) -> Chore:
    """Have it done from `first` to `last`, both days included.

    Asked for again under the same `chore_id` nothing is begun twice. Raises TimeRefused, and
    NothingToDo where no job or request falls into that time.
    """
    if not timedelta(0) <= last - first < LONGEST or last > _LAST_DAY:
        raise TimeRefused("Give a first day, and a last one within a year from it.")
    book = ports.price_books.current()
    wanted = list(_WANTED[kind](work, book, first, last, today_at(now, book)))
    if not wanted:
        raise NothingToDo("There is nothing to make for these days.")
    chore = Chore(
        id=chore_id,
        kind=kind,
        first=first,
        last=last,
        made_at=now,
        who=who,
        progress=Progress(total=len(wanted), done=0, failed=0),
    )
    parts = [
        replace(part, id=ports.new_id(), chore_id=chore_id, n=n) for n, part in enumerate(wanted)
    ]
    if not work.chores.add(chore, parts):
        return work.chores.get(chore_id)
    for part in parts:
        # A lane each: one that cannot be made does not hold up the others.
        work.outbox.owe(StepKind.CHORE, part.id, lane=f"chore:{part.id}", now=now)
    return chore


def do_part(
    ports: Ports,
    part_id: str,
    *,
    step_id: str,
    fence: int,
    make: Callable[[Part], Made],
) -> Chore:
    """Make one part and close its step, which was leased under `fence`.

    Raises StepRefused for an old fence, and StaleDecision where it has to be made again; what
    `make` raises goes through until the part has been tried too often.
    """
    begun_at = ports.clock()
    with ports.read() as work:
        part, step = work.chores.part(part_id), work.outbox.get(step_id)
        chore = work.chores.get(part.chore_id)
    if step.subject_id != part_id:
        raise NotFound("That step is for something else.")
    if step.state is StepState.DONE:
        return chore
    made = _made(part, make, tries=step.attempts) if chore.running else None
    with ports.work() as work:
        # Its lock first: of two last parts one has to see that both are closed.
        chore = work.chores.get(part.chore_id, lock=True)
        held = stepping.held(work, step_id, fence)
        if held.state is StepState.DONE:
            return chore
        if made is not None:
            work.chores.close(part_id, _of_nobody_erased(work, part, made, begun_at))
        stepping.finish(work, held)
        if made is not None:
            chore = _ended(work, chore, ports.clock())
        work.commit()
    return chore


def stop(work: UnitOfWork, chore_id: str, *, now: datetime) -> None:
    """Make no further part; what was made stays. What has ended changes no more."""
    chore = work.chores.get(chore_id, lock=True)
    if not chore.running:
        return
    work.chores.stop(chore_id, now)
    for part in work.chores.parts(chore_id):
        work.outbox.settle(StepKind.CHORE, part.id)


def leave_out(work: UnitOfWork, part_id: str, *, now: datetime) -> None:
    """A part whose step was given up is not made; the rest of the work can end."""
    part = work.chores.part(part_id)
    chore = work.chores.get(part.chore_id, lock=True)
    if chore.running and work.chores.part(part_id).state is PartState.OWED:
        work.chores.close(part_id, Made(trouble="It was left out."))
        _ended(work, chore, now)


def _made(part: Part, make: Callable[[Part], Made], *, tries: int) -> Made:
    # One that takes its process down with it never comes back to be counted as failed.
    if tries > _TRIES:
        return Made(trouble="It could not be made.")
    try:
        return make(part)
    except LeadError as refused:
        return Made(trouble=str(refused))
    except Exception:
        if tries == _TRIES:
            return Made(trouble="It could not be made.")
        raise


def _of_nobody_erased(work: UnitOfWork, part: Part, made: Made, begun_at: datetime) -> Made:
    """What was made, unless a client whom it may tell of was erased while it was made.

    Raises StaleDecision for what is about several: it has to be made again.
    """
    if part.lead_id is not None:
        erased = work.leads.get(part.lead_id).erased_at is not None
        return Made(trouble="Its client's data was erased.") if erased else made
    if work.chores.erased_since(begun_at):
        raise StaleDecision("A client was erased while it was made. It is made again.")
    return made


def _ended(work: UnitOfWork, chore: Chore, now: datetime) -> Chore:
    chore = work.chores.get(chore.id)
    if chore.progress.left:
        return chore
    work.chores.end(chore.id, now)
    return replace(chore, ended_at=now)


def _documents(
    work: UnitOfWork, book: PriceBook, first: date, last: date, _today: date
) -> Iterator[Part]:
    """Every document of each booked job, a run sheet for each day, and what to buy for all."""
    booked = list(_booked(work, book, first, last))
    for hold in booked:
        for about in _OF_A_JOB:
            yield _part(about, lead_id=hold.lead_id)
    for day in sorted(set(_days(booked, book, first, last))):
        yield _part(About.RUN, day=day)
    if booked:
        yield _part(About.SHOPPING, day=last)


def _booked(work: UnitOfWork, book: PriceBook, first: date, last: date) -> Iterator[Hold]:
    since, until = midnight(first, book), midnight(last + timedelta(days=1), book)
    for hold in work.holds.starting(since, until):
        if hold.state is HoldState.BOOKED:
            yield hold


def _days(booked: Iterable[Hold], book: PriceBook, first: date, last: date) -> Iterator[date]:
    zone = zone_of(book)
    for hold in booked:
        yield hold.window.starts_at.astimezone(zone).date()
        struck = hold.stay.strikes_at.astimezone(zone).date()
        if hold.stay.struck_at > hold.stay.strikes_at and first <= struck <= last:
            yield struck


def _prices(
    work: UnitOfWork, _book: PriceBook, first: date, last: date, today: date
) -> Iterator[Part]:
    # A day that is over has no price any more.
    for lead_id in work.chores.open_requests(max(first, today), last):
        yield _part(About.PRICE, lead_id=lead_id)


def _part(about: About, *, lead_id: str | None = None, day: date | None = None) -> Part:
    return Part(id="", chore_id="", n=0, about=about, lead_id=lead_id, day=day)


_WANTED = {ChoreKind.DOCUMENTS: _documents, ChoreKind.PRICES: _prices}
