"""What can be written down as bought: a bag, a mixed pack, or something besides balloons."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.estimating import PriceBook
from service.estimating.book import Holding
from service.leads.lead import LeadError


class PurchaseRefused(LeadError):
    """It cannot have been bought so."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Bag:
    """A bag of the price book: balloons of one size and colour."""

    supplier: str
    size_class: int
    colour: str
    pack_size: int


@dataclass(frozen=True, kw_only=True, slots=True)
class MixedPack:
    """A mixed pack of the price book by its name."""

    supplier: str
    item: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Thing:
    """Something besides balloons by its name in the list, at what it costs apiece."""

    item: str
    unit_cost: Decimal


Goods = Bag | MixedPack | Thing


@dataclass(frozen=True, kw_only=True, slots=True)
class OnSale:
    """Where it is sold and by which name, what one of it holds and costs."""

    supplier: str
    item: str
    contents: tuple[Holding, ...]
    unit_price: Decimal


def on_sale(what: Goods, book: PriceBook) -> OnSale:
    """What the price book says of it now. Raises PurchaseRefused where it has no such thing."""
    match what:
        case Thing(item=item, unit_cost=unit_cost):
            return OnSale(supplier="", item=item, contents=(), unit_price=unit_cost)
        case MixedPack():
            found = _mixed(what, book)
        case Bag():
            found = _bag(what, book)
    if found is None:
        raise PurchaseRefused("Your price book has no such pack there any more.")
    return found


def contents_of(contents: Sequence[Holding], book: PriceBook) -> tuple[Holding, ...]:
    """What a mixed pack holds, by the colours' own names."""
    known = ((each, book.colour(each.colour)) for each in contents)
    return tuple(replace(each, colour=colour.name) if colour else each for each, colour in known)


def _mixed(what: MixedPack, book: PriceBook) -> OnSale | None:
    for kit in book.kits:
        if (kit.supplier, kit.item) == (what.supplier, what.item):
            return OnSale(
                supplier=kit.supplier,
                item=kit.item,
                contents=contents_of(kit.contents, book),
                unit_price=kit.unit_price,
            )
    return None


def _bag(what: Bag, book: PriceBook) -> OnSale | None:
    bags = book.offer(what.size_class, what.colour).bags if book.size(what.size_class) else ()
    known = book.colour(what.colour)
    colour = known.name if known else what.colour
    for bag in bags:
        if (bag.supplier, bag.pack_size) == (what.supplier, what.pack_size):
            held = Holding(size_class=bag.size_class, colour=colour, count=bag.pack_size)
            return OnSale(
                supplier=bag.supplier,
                item=f"{colour} {bag.size_class} in, bag of {bag.pack_size}",
                contents=(held,),
                unit_price=bag.unit_price,
            )
    return None
