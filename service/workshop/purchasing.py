"""What was bought is written down: onto the shelf, and from there to the jobs that lack it.

Left-overs of the packs stay free. Marking the same line twice changes nothing: a purchase's id
comes from the page. All but `aside_by` wants a transaction, and does not take long.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from service.estimating import PriceBook
from service.estimating.book import Key
from service.leads import stocking
from service.leads.lead import Lead, LeadState, StaleDecision
from service.leads.ports import Ports, UnitOfWork
from service.leads.purchases import ForJob, Purchase
from service.leads.stock import Move, Why
from service.workshop.shopping_list.asking import Scope, lead_ids, needs, question, with_shelf
from service.workshop.shopping_list.buying import solve
from service.workshop.shopping_list.goods import Goods, PurchaseRefused, on_sale
from service.workshop.shopping_list.sharing import hand_out, lacks, settled, shares
from service.workshop.shopping_list.values import Job, Question

MOST_PACKS = 1000
DEAREST = Decimal(100_000)
_CENT = Decimal("0.01")
_CHANGED = "This purchase was changed since the page was loaded. Look again, then repeat it."
_USED = (
    "Some of these balloons have been used by a job since: they cannot be taken off the shelf any"
    " more. Count what is there instead, under Balloons on hand."
)
_NOBODYS = (
    "None of these jobs lacks that any more. If you bought more of it, write it down on the list of"
    " the job that it is for."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Bought:
    """So many of one thing; `paid` for all of them, None: what the list says."""

    id: str
    what: Goods
    packs: int
    paid: Decimal | None = None


def record(
    work: UnitOfWork,
    ports: Ports,
    bought: Sequence[Bought],
    scope: Scope,
    *,
    who: str,
    now: datetime,
) -> int:
    """Write down what was bought for the jobs of `scope`; how many purchases were new.

    Raises PurchaseRefused, and NotFound for a job that there is nothing to buy for.
    """
    book = ports.price_books.current()
    _lock(work, lead_ids(work, ports, scope, now=now))
    new = [_purchase(each, book, who, now) for each in bought if not work.purchases.find(each.id)]
    if not new:
        return 0
    asked = needs(work, ports, scope, now=now)
    for purchase in new:
        work.purchases.add(replace(purchase, jobs=_jobs(purchase, asked, book)))
        _move(work, purchase, purchase.packs, who=who, now=now)
    _give(work, with_shelf(work, book, asked), book, {}, who=who, now=now)
    return len(new)


def set_aside(
    work: UnitOfWork,
    ports: Ports,
    scope: Scope,
    fills: Mapping[tuple[Key, Key], int],
    *,
    who: str,
    now: datetime,
) -> None:
    """Promise what is free on the shelf to the jobs of `scope` that lack it, the nearest first.

    `fills` is how many balloons may stand in for others, by (wanted, source), as their list has
    it. Asked again it changes nothing.
    """
    _lock(work, lead_ids(work, ports, scope, now=now))
    asked = needs(work, ports, scope, now=now)
    _give(work, asked, ports.price_books.current(), fills, who=who, now=now)


def aside_by(ports: Ports, scope: Scope, *, who: str, now: datetime) -> None:
    """As `set_aside`, with the stand-ins that the jobs' list counts on; its own transactions.

    Making the list may take seconds, and none of them within a transaction.
    """
    book = ports.price_books.current()
    with ports.read() as work:
        asked = question(work, ports, scope, now=now)
    found = solve(asked, book)
    fills = {(each.wanted, each.source): each.count for each in found.stand_ins}
    with ports.work() as work:
        set_aside(work, ports, scope, fills, who=who, now=now)
        work.commit()


def change(
    work: UnitOfWork,
    ports: Ports,
    purchase_id: str,
    *,
    packs: int,
    seen: int,
    paid: Decimal | None,
    who: str,
    now: datetime,
) -> Purchase:
    """A purchase was of so many packs after all; of none: it never took place.

    `seen` is how many the page had. Balloons that are not there then are taken from the jobs that
    they were bought for, the farthest first. Raises StaleDecision or PurchaseRefused.
    """
    found = work.purchases.find(purchase_id)
    _lock(work, [job.lead_id for job in found.jobs] if found else ())
    before = work.purchases.find(purchase_id, lock=True)
    if before is None or before.packs != seen or before.undone_at is not None:
        raise StaleDecision(_CHANGED)
    _refuse(packs, paid, least=0)
    after = _of_so_many(before, packs, paid, now)
    work.purchases.save(after)
    more = packs - before.packs
    if before.contents and more:
        _move(work, before, more, who=who, now=now)
        if more > 0:
            _give_more(work, ports, before, who=who, now=now)
        else:
            _take_back(work, ports, before, more, who=who, now=now)
    return after


def _lock(work: UnitOfWork, ids: Iterable[str]) -> None:
    """The jobs before the shelf, as everybody does who changes both."""
    for lead_id in sorted(ids):
        work.leads.get(lead_id, lock=True)
    work.stock.lock()


def _purchase(bought: Bought, book: PriceBook, who: str, now: datetime) -> Purchase:
    _refuse(bought.packs, bought.paid, least=1)
    sold = on_sale(bought.what, book)
    usual = (sold.unit_price * bought.packs).quantize(_CENT)
    return Purchase(
        id=bought.id,
        supplier=sold.supplier,
        item=sold.item,
        contents=sold.contents,
        packs=bought.packs,
        cost=usual if bought.paid is None else bought.paid,
        currency=book.shop.currency,
        bought_at=now,
        who=who,
    )


def _refuse(packs: int, paid: Decimal | None, *, least: int) -> None:
    if not least <= packs <= MOST_PACKS:
        raise PurchaseRefused(f"Give a whole number from {least} to {MOST_PACKS:,}.")
    if paid is not None and not 0 <= paid <= DEAREST:
        raise PurchaseRefused(f"Give what was paid, at most {DEAREST:,}.")


def _jobs(purchase: Purchase, asked: Question, book: PriceBook) -> tuple[ForJob, ...]:
    """Which jobs it is for: those that lack what it is."""
    if not purchase.contents:
        return _for_whom(purchase, asked.jobs)
    held = {(each.size_class, each.colour) for each in purchase.contents}
    wanted = shares(asked.jobs, book.policy.service_level)
    lacking = lacks(asked.jobs, wanted, book)
    found = []
    for job in asked.jobs:
        served = {key for key in wanted[job.lead_id] if held & {key, *book.shelf.stand_ins(key)}}
        if served & lacking[job.lead_id].keys():
            shared = {key: wanted[job.lead_id][key] for key in served}
            found.append(ForJob(lead_id=job.lead_id, settled=settled(job, shared)))
    return tuple(found)


def _for_whom(purchase: Purchase, jobs: Sequence[Job]) -> tuple[ForJob, ...]:
    """A job may have more of a thing than it lacks; whose it is has to be known all the same.

    A sign has its client's words on it, and they go when the client is erased.
    """
    found = tuple(_share_out(purchase, jobs))
    if not found and len(jobs) == 1:
        return (ForJob(lead_id=jobs[0].lead_id, count=purchase.packs),)
    if not found:
        raise PurchaseRefused(_NOBODYS)
    return found


def _share_out(purchase: Purchase, jobs: Sequence[Job]) -> Iterable[ForJob]:
    rest = purchase.packs
    for job in jobs:
        lacked = sum(extra.count for extra in job.extras if extra.item == purchase.item)
        if lacked and rest:
            yield ForJob(lead_id=job.lead_id, count=min(rest, lacked))
            rest -= min(rest, lacked)


def _move(work: UnitOfWork, purchase: Purchase, packs: int, *, who: str, now: datetime) -> None:
    """So many packs onto the shelf, or off it where they are below zero."""
    work.stock.add(
        [
            Move(
                size_class=held.size_class,
                colour=held.colour,
                count=held.count * packs,
                why=Why.BOUGHT,
                at=now,
                who=who,
            )
            for held in purchase.contents
        ]
    )


def _give(
    work: UnitOfWork,
    asked: Question,
    book: PriceBook,
    fills: Mapping[tuple[Key, Key], int],
    *,
    who: str,
    now: datetime,
) -> None:
    wanted = shares(asked.jobs, book.policy.service_level)
    handed = hand_out(lacks(asked.jobs, wanted, book), asked.free, fills)
    for job in asked.jobs:
        given = handed.given[job.lead_id]
        if given and job.booked:
            lead = work.leads.get(job.lead_id)
            stocking.set_aside(work, lead, given, who=who, now=now)


def _of_so_many(before: Purchase, packs: int, paid: Decimal | None, now: datetime) -> Purchase:
    if packs == 0:
        return replace(before, undone_at=now)
    unit = before.cost / before.packs
    cost = (unit * packs).quantize(_CENT) if paid is None else paid
    jobs = before.jobs if before.contents else _fewer(before.jobs, packs)
    return replace(before, packs=packs, cost=cost, jobs=jobs)


def _fewer(jobs: Sequence[ForJob], most: int) -> tuple[ForJob, ...]:
    kept = []
    for job in jobs:
        kept.append(replace(job, count=min(job.count, most)))
        most -= kept[-1].count
    return tuple(job for job in kept if job.count)


def _give_more(
    work: UnitOfWork, ports: Ports, purchase: Purchase, *, who: str, now: datetime
) -> None:
    scope = Scope(only=tuple(job.lead_id for job in purchase.jobs))
    asked = needs(work, ports, scope, now=now)
    _give(work, asked, ports.price_books.current(), {}, who=who, now=now)


def _take_back(
    work: UnitOfWork, ports: Ports, purchase: Purchase, more: int, *, who: str, now: datetime
) -> None:
    """What was promised of it to the jobs that it was bought for, the farthest first."""
    book = ports.price_books.current()
    gone = {(h.size_class, h.colour): -more * h.count for h in purchase.contents}
    there = {(e.size_class, e.colour): e for e in stocking.on_hand(work, book)}
    if any(there[key].free + there[key].reserved < 0 for key in gone):
        raise PurchaseRefused(_USED)
    short = {key: min(number, there[key].short) for key, number in gone.items()}
    for lead in _farthest_first(work, purchase):
        out = Counter(work.stock.of_lead(lead.id))
        back = {key: max(0, min(number, out[key])) for key, number in short.items()}
        stocking.set_aside(
            work, lead, {key: -number for key, number in back.items()}, who=who, now=now
        )
        short = {key: number - back[key] for key, number in short.items()}


def _farthest_first(work: UnitOfWork, purchase: Purchase) -> Sequence[Lead]:
    leads = (work.leads.get(job.lead_id) for job in purchase.jobs)
    booked = [lead for lead in leads if lead.state is LeadState.BOOKED]
    return sorted(booked, key=lambda lead: (str(lead.brief.event.date), lead.number), reverse=True)
