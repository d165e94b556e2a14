"""Booked jobs of a built shop, and what was bought for them."""

from datetime import date, time, timedelta

from service.estimating import Brief, ColourShare, Event, Piece, Support
from service.leads import booking
from service.leads.lead import Client, Lead, LeadState
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import (
    Bag,
    Goods,
    Line,
    MixedPack,
    Scope,
    ShoppingList,
    question,
    solve,
)
from tests.service.building import BuiltShop, a_brief

FIRST_DAY = date(2027, 1, 20)


def wall(length_m: float, *colours: str, days: int = 0, **parts: object) -> Brief:
    """A garland on a wall in these colours, so many days after the first."""
    usual = {
        "pieces": (Piece(support=Support.WALL, length_m=length_m),),
        "palette": tuple(ColourShare(colour=name) for name in colours),
        "event": Event(date=FIRST_DAY + timedelta(days=days), start_time=time(15)),
    }
    return a_brief(**(usual | parts))


def book_job(shop: BuiltShop, brief: Brief) -> Lead:
    """A lead whose deposit has come."""
    lead = shop.quoted(brief)
    if lead.state is LeadState.REVIEW:
        shop.send_firm(lead)
    day = brief.event.date
    assert day is not None
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id)
        assert quote is not None
        work.quotes.mark_sent(quote.id, shop.now, shop.now + timedelta(days=90))
        book = shop.price_books.current()
        offers = booking.offered(work, lead, quote, book, day=day, now=shop.now)
        client = Client(name="Nora", email="nora@rowing.example")
        booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=offers[0].starts_at,
            client=client,
            now=shop.now,
            who="owner",
        )
        held = work.leads.get(lead.id, lock=True)
        booking.book(work, shop.ports, held, paid=quote.deposit, who="owner", now=shop.now)
        work.commit()
    return shop.lead(lead.id)


def listed(shop: BuiltShop, scope: Scope) -> ShoppingList:
    """The shopping list as the pages make it."""
    with shop.ports.read() as work:
        asked = question(work, shop.ports, scope, now=shop.now)
    return solve(asked, shop.price_books.current())


def goods_of(line: Line) -> Goods:
    """What a line of the list is of."""
    if line.size_class is None or line.colour is None:
        return MixedPack(supplier=line.supplier, item=line.item)
    return Bag(
        supplier=line.supplier,
        size_class=line.size_class,
        colour=line.colour,
        pack_size=line.pack_size,
    )


def buy(shop: BuiltShop, scope: Scope, *lines: Line, packs: int | None = None) -> int:
    """Write lines down as bought."""
    bought = [Bought(id=line.id, what=goods_of(line), packs=packs or line.packs) for line in lines]
    with shop.ports.work() as work:
        new = purchasing.record(work, shop.ports, bought, scope, who="owner", now=shop.now)
        work.commit()
    return new


def lines_of(found: ShoppingList) -> list[Line]:
    """Every line of packs, whoever sells them."""
    return [line for supplier in found.suppliers for line in supplier.lines]


def free(shop: BuiltShop) -> dict[tuple[int, str], int]:
    """What is promised to nobody."""
    with shop.ports.read() as work:
        return {(e.size_class, e.colour): e.free for e in work.stock.on_hand() if e.free}


def out(shop: BuiltShop, lead: Lead) -> dict[tuple[int, str], int]:
    """What a job has."""
    with shop.ports.read() as work:
        return dict(work.stock.of_lead(lead.id))
