"""Buying for booked jobs, and looking at what they have."""

from datetime import timedelta
from decimal import Decimal

from service.leads.lead import Lead
from service.leads.stock import Key
from service.workshop import purchasing
from service.workshop.shopping_list import Line, Scope
from tests.service.building import BuiltShop
from tests.service.workshop.booked_jobs import FIRST_DAY

ALL = Scope(until=FIRST_DAY + timedelta(days=60))
MILL, BRIDGES = "Millrace Party Supply", "Two Bridges Wholesale"


def alone(lead: Lead) -> Scope:
    return Scope(lead_id=lead.id)


def needs(shop: BuiltShop, lead: Lead) -> dict[Key, int]:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    return {(line.size_class, line.colour): line.taken for line in quote.estimate.spares}


def change(shop: BuiltShop, line: Line, *, seen: int, packs: int, paid: str = "") -> None:
    with shop.ports.work() as work:
        purchasing.change(
            work,
            shop.ports,
            line.id,
            packs=packs,
            seen=seen,
            paid=Decimal(paid) if paid else None,
            who="owner",
            now=shop.now,
        )
        work.commit()
