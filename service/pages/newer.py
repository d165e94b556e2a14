"""What took the place of a request whose client asked again."""

from dataclasses import dataclass

from service.leads import addresses, handling
from service.leads.lead import Lead, LeadState
from service.leads.ports import Ports, UnitOfWork
from service.pages.visit import path_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Newer:
    """The request that counts now; `quote_path` once a price of it is out."""

    lead: Lead
    quote_path: str | None


def newer_than(work: UnitOfWork, ports: Ports, lead: Lead) -> Newer | None:
    """The newest request that replaced this one, None where this one still counts."""
    found = _successor(work, lead)
    if found is None:
        return None
    while (later := _successor(work, found)) is not None:
        found = later
    if work.quotes.latest(found.id, sent=True) is None:
        return Newer(lead=found, quote_path=None)
    return Newer(lead=found, quote_path=path_of(addresses.of_lead(work, ports, found.id)[0]))


def _successor(work: UnitOfWork, lead: Lead) -> Lead | None:
    # A fresh price revives a request that was replaced.
    return handling.replaced_by(work, lead) if lead.state is LeadState.LAPSED else None
