"""Notes that the shop keeps on a lead."""

from datetime import datetime

from service.leads.lead import NotFound
from service.leads.ports import UnitOfWork
from service.leads.repositories import Note

LONGEST = 4000


def add(work: UnitOfWork, lead_id: str, text: str, *, who: str, now: datetime) -> None:
    """Keep a note. The newest one once more, as by a second press, changes nothing.

    Raises NotFound, also for a request that was erased: what is noted there nobody could erase.
    """
    lead = work.leads.get(lead_id, lock=True)
    if lead.erased_at is not None:
        raise NotFound("This request has been erased.")
    kept = work.notes.of_lead(lead.id)
    if kept and (kept[-1].who, kept[-1].text) == (who, text):
        return
    work.notes.add(lead.id, Note(at=now, who=who, text=text))
