"""Balloons that a job did not use come back to the shelf."""

from collections import Counter
from collections.abc import Mapping
from datetime import datetime

from service.estimating import PriceBook
from service.leads.lead import Change, Lead
from service.leads.ports import UnitOfWork
from service.leads.serving import served
from service.leads.stock import Key, Move, Why
from service.leads.stocking import said


def unused(
    work: UnitOfWork, book: PriceBook, lead: Lead, used: Mapping[Key, int]
) -> Mapping[Key, int]:
    """What is left in all of the balloons that a job took out of stock, burst ones in `used`.

    A balloon that stood in for another counts as used where the other is said to be.
    """
    had = _by_todays_names(book, work.stock.of_lead(lead.id))
    had.update(_by_todays_names(book, work.stock.unused_of(lead.id)))
    return served(_by_todays_names(book, used), had, book.shelf.stand_ins).idle


def put_back(
    work: UnitOfWork,
    book: PriceBook,
    lead: Lead,
    used: Mapping[Key, int],
    *,
    who: str,
    now: datetime,
) -> Mapping[Key, int]:
    """Put on the shelf what a job did not use; returns all that is back. Under the lead's lock.

    Asked again it changes nothing; with another `used` it makes good the difference.
    """
    left = unused(work, book, lead, used)
    back = _by_todays_names(book, work.stock.unused_of(lead.id))
    moves = [
        Move(
            size_class=key[0],
            colour=key[1],
            count=more,
            why=Why.UNUSED,
            lead_id=lead.id,
            at=now,
            who=who,
        )
        for key in sorted(left.keys() | back.keys())
        if (more := left.get(key, 0) - back[key])
    ]
    if moves:
        work.stock.add(moves)
        detail = {"balloons": [said(n, *key) for key, n in sorted(left.items())]}
        what = "put what was left over back on the shelf"
        work.leads.note(lead.id, Change(at=now, who=who, what=what, detail=detail))
    return left


def _by_todays_names(book: PriceBook, counts: Mapping[Key, int]) -> Counter[Key]:
    named: Counter[Key] = Counter()
    for (size_class, colour), count in counts.items():
        known = book.colour(colour)
        named[size_class, known.name if known else colour] += count
    return named
