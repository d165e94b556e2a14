"""Set-up times that the owner can choose from, with those of her own rules that they break."""

from dataclasses import dataclass
from datetime import date

from service.leads.lacking import BREAKS, owner_reasons
from service.leads.lead import Lead, Quote, Window
from service.leads.offering import open_to_owner, why_none
from service.leads.ports import UnitOfWork
from service.pages.times import Choice, by_part_of_day
from service.pages.visit import Visit


@dataclass(frozen=True, kw_only=True, slots=True)
class Times:
    """The times of a day, what each of them breaks, and why there are none."""

    day: date
    parts: tuple[tuple[str, list[Choice]], ...]
    breaks: dict[str, str]
    why_none: str


def times_on(
    work: UnitOfWork,
    visit: Visit,
    lead: Lead,
    quote: Quote,
    day: date,
    *,
    without: Window | None = None,
) -> Times:
    """What the owner can choose on a day, `without` the time that is kept already."""
    found = open_to_owner(work, lead, quote, visit.book, day=day, now=visit.now)
    others = [each for each in found if each.window != without]
    breaks = {
        each.window.starts_at.astimezone(visit.zone).isoformat(): ", ".join(
            BREAKS[rule] for rule in each.broken
        )
        for each in others
    }
    return Times(
        day=day,
        parts=by_part_of_day([each.window for each in others], visit),
        breaks=breaks,
        why_none="" if found else _why_none(work, visit, lead, quote, day),
    )


def _why_none(work: UnitOfWork, visit: Visit, lead: Lead, quote: Quote, day: date) -> str:
    if day < visit.now.date():
        return "That day is past."
    none = why_none(work, lead, quote, visit.book, day=day, now=visit.now)
    return " ".join(owner_reasons(none)) if none else ""
