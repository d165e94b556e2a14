"""Balloons come in and go out: for booked jobs, by counting, by buying."""

from datetime import datetime

from service.estimating import Estimate
from service.leads.lead import Change, Lead
from service.leads.ports import UnitOfWork
from service.leads.stock import Key, Move, OnHand, Why


def take_out(
    work: UnitOfWork, lead: Lead, estimate: Estimate, *, who: str, now: datetime
) -> tuple[OnHand, ...]:
    """Promise to a booked job what its estimate takes from stock; call it under the lead's lock.

    Asked again it changes nothing; with another estimate it makes good the difference. Returns
    what has been promised beyond what there is: that is to be bought.
    """
    wanted: dict[Key, int] = {}
    for line in estimate.shopping.from_stock:
        key = line.size_class, line.colour
        wanted[key] = wanted.get(key, 0) + line.count
    return _bring_to(work, lead, wanted, who=who, now=now)


def give_back(work: UnitOfWork, lead: Lead, *, who: str, now: datetime) -> None:
    """A job is off: what it was promised is free again. Asked again it changes nothing."""
    _bring_to(work, lead, {}, who=who, now=now)


def _bring_to(
    work: UnitOfWork, lead: Lead, wanted: dict[Key, int], *, who: str, now: datetime
) -> tuple[OnHand, ...]:
    out = work.stock.of_lead(lead.id)
    moves = [
        Move(
            size_class=key[0],
            colour=key[1],
            count=more_back,
            why=Why.RETURNED if more_back > 0 else Why.BOOKED,
            lead_id=lead.id,
            at=now,
            who=who,
        )
        for key in sorted(out.keys() | wanted.keys())
        if (more_back := out.get(key, 0) - wanted.get(key, 0))
    ]
    if not moves:
        return ()
    work.stock.add(moves)
    touched = {(move.size_class, move.colour) for move in moves if move.count < 0}
    short = tuple(
        each
        for each in work.stock.on_hand()
        if each.short and (each.size_class, each.colour) in touched
    )
    went_out = sum(-move.count for move in moves)
    what = "took balloons from stock" if went_out > 0 else "gave balloons back to stock"
    detail = {"balloons": abs(went_out), "short": sum(each.short for each in short)}
    work.leads.note(lead.id, Change(at=now, who=who, what=what, detail=detail))
    return short
