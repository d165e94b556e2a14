"""A client says by the clock when the venue lets the crew in, and when the event ends."""

from dataclasses import dataclass, replace
from datetime import datetime, time

from service.estimating import Brief
from service.leads.lead import CLIENT, Change
from service.leads.ports import UnitOfWork


@dataclass(frozen=True, kw_only=True, slots=True)
class Hours:
    """What a client says of the day; without `event_ends` what was known of the end stays."""

    access_from: time | None = None
    access_until: time | None = None
    event_ends: time | None = None


def take_in(work: UnitOfWork, lead_id: str, hours: Hours, *, now: datetime) -> bool:
    """Keep them in the lead's brief; False where nothing is new.

    Raises BriefError for hours upside down.
    """
    lead = work.leads.get(lead_id, lock=True)
    brief = with_them(lead.brief, hours)
    if brief == lead.brief:
        return False
    said = []
    if brief.site != lead.brief.site:
        let_in = {"from": _said(hours.access_from), "until": _said(hours.access_until)}
        said.append(("said when the venue lets us in", let_in))
    if brief.event != lead.brief.event:
        said.append(("said when the event ends", {"at": _said(hours.event_ends)}))
    work.leads.save_brief(replace(lead, brief=brief))
    for what, detail in said:
        work.leads.note(lead.id, Change(at=now, who=CLIENT, what=what, detail=detail))
    return True


def with_them(brief: Brief, hours: Hours) -> Brief:
    """The brief with these hours. Raises BriefError for hours upside down."""
    since, until = hours.access_from, hours.access_until
    ends = hours.event_ends or brief.event.end_time
    return replace(
        brief,
        site=replace(brief.site, access_from=since, access_until=until),
        event=replace(brief.event, end_time=ends),
    )


def _said(at: time | None) -> str | None:
    return f"{at:%H:%M}" if at else None
