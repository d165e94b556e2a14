"""What took the place of a request whose client asked again."""

from dataclasses import dataclass

from service.leads import addresses
from service.leads.lead import Lead
from service.leads.newer import newest_after
from service.leads.ports import Ports, UnitOfWork
from service.pages.visit import path_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Newer:
    """The request that counts now; `quote_path` once a price of it is out."""

    lead: Lead
    quote_path: str | None


def newer_than(work: UnitOfWork, ports: Ports, lead: Lead) -> Newer | None:
    """The newest request that replaced this one, None where this one still counts."""
    found = newest_after(work, lead)
    if found is None:
        return None
    if work.quotes.latest(found.id, sent=True) is None:
        return Newer(lead=found, quote_path=None)
    return Newer(lead=found, quote_path=path_of(addresses.of_lead(work, ports, found.id)[0]))
