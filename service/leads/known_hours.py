"""A client says by the clock when the venue lets the crew in, and when the event ends."""

from dataclasses import dataclass, replace
from datetime import datetime, time

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
    site, event = lead.brief.site, lead.brief.event
    site = replace(site, access_from=hours.access_from, access_until=hours.access_until)
    event = replace(event, end_time=hours.event_ends or event.end_time)
    if (site, event) == (lead.brief.site, lead.brief.event):
        return False
    said = []
    if site != lead.brief.site:
        let_in = {"from": _said(hours.access_from), "until": _said(hours.access_until)}
        said.append(("said when the venue lets us in", let_in))
    if event != lead.brief.event:
        said.append(("said when the event ends", {"at": _said(hours.event_ends)}))
    work.leads.save_brief(replace(lead, brief=replace(lead.brief, site=site, event=event)))
    for what, detail in said:
        work.leads.note(lead.id, Change(at=now, who=CLIENT, what=what, detail=detail))
    return True


def _said(at: time | None) -> str | None:
    return at and f"{at:%H:%M}"
