"""Writing down what the crew has to know of a place."""

from datetime import datetime

from service.leads.lead import Change, NotFound, StaleDecision
from service.leads.ports import UnitOfWork
from service.leads.site_notes import NOTHING, SiteNotes, Written


def notes_of(work: UnitOfWork, lead_id: str) -> SiteNotes:
    """The notes for a request, empty where there are none."""
    written = work.sites.of_lead(lead_id)
    return written.notes if written else NOTHING


def write(
    work: UnitOfWork, lead_id: str, notes: SiteNotes, *, seen: str, who: str, now: datetime
) -> None:
    """Keep the notes for a request; the same ones again change nothing.

    `seen` is the mark of those that were looked at: StaleDecision where others stand there by now.
    Raises NotFound, also for a request that was erased.
    """
    lead = work.leads.get(lead_id, lock=True)
    if lead.erased_at is not None:
        raise NotFound("This request has been erased.")
    standing = notes_of(work, lead.id)
    if standing == notes:
        return
    if standing.mark != seen:
        raise StaleDecision("Somebody has changed these notes in the meantime. Look again.")
    work.sites.save(lead.id, Written(notes=notes, who=who, at=now))
    work.leads.note(lead.id, Change(at=now, who=who, what="wrote down how to get there and in"))
