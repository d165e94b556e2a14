"""Which request counts now where a client asked again."""

from service.leads import handling
from service.leads.lead import Lead, LeadState
from service.leads.ports import UnitOfWork


def newest_after(work: UnitOfWork, lead: Lead) -> Lead | None:
    """The newest request that took this one's place, None where this one still counts."""
    found = _successor(work, lead)
    while found is not None and (later := _successor(work, found)) is not None:
        found = later
    return found


def _successor(work: UnitOfWork, lead: Lead) -> Lead | None:
    # A fresh price revives a request that was replaced.
    return handling.replaced_by(work, lead) if lead.state is LeadState.LAPSED else None
