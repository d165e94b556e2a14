"""What to take from stock and what to buy, at the least cost."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from service.estimating.answer import Filled, Order, Shopping, ShoppingLine, StockLine
from service.estimating.book import RATE_STEP, Key, Kit, Offer, PriceBook
from service.estimating.covering import Market, Plan, cheapest


@dataclass(frozen=True, kw_only=True, slots=True)
class Purchase:
    """The shopping, with what each balloon of the job is worth (`rates`) and what stock gave."""

    shopping: Shopping
    used: Mapping[Key, int]
    rates: Mapping[Key, Decimal]

    @property
    def unused_cost(self) -> Decimal:
        """What is paid, and taken from stock, beyond what the job uses; never below nought."""
        taken = ((line.size_class, line.colour, line.count) for line in self.shopping.from_stock)
        stock = sum((self.rates[size, colour] * n for size, colour, n in taken), Decimal(0))
        return max(Decimal(0), self.shopping.cost + stock - self.shopping.used_cost)


def shop_for(wanted: Mapping[Key, int], book: PriceBook) -> Purchase:
    """The cheapest way to `wanted` balloons of each size and colour, from stock and by packs.

    Proven the cheapest over packs, mixed packs, suppliers' terms and what the owner allows
    instead, or said to be within a stated gap of it.
    """
    return _shop_for(tuple(wanted.items()), book)


@lru_cache(maxsize=256)
def _shop_for(balloons: tuple[tuple[Key, int], ...], book: PriceBook) -> Purchase:
    # Where only the day or the place has changed, the same balloons are bought.
    wanted = dict(balloons)
    offers = offers_for(wanted, book)
    packs = {key: offer.packs for key, offer in offers.items()}
    stock = {key: book.stock_of[key] for key in offers if key in book.stock_of}
    plan = cheapest(book.shelf.market, wanted, packs, stock=stock)
    return purchase(plan, wanted, offers, book)


def bags_from(
    suppliers: Collection[str], wanted: Mapping[Key, int], book: PriceBook
) -> tuple[ShoppingLine, ...]:
    """The cheapest bags at these suppliers alone, of what they have of it.

    Bags that a supplier's least order asks for are among them; mixed packs are not.
    """
    offers = {key: sold_by(suppliers, book.offer(*key)) for key in wanted}
    found = {key: wanted[key] for key, offer in offers.items() if offer.packs}
    packs = {key: offer.packs for key, offer in offers.items()}
    market = Market[Key](vendors=book.shelf.market.conditions.vendors)
    return tuple(_bag_lines(cheapest(market, found, packs), offers))


def sold_by(suppliers: Collection[str], offer: Offer) -> Offer:
    """What these suppliers have of an offer; the rate stays."""
    kept = [
        (bag, pack)
        for bag, pack in zip(offer.bags, offer.packs, strict=True)
        if bag.supplier in suppliers
    ]
    return replace(offer, bags=tuple(bag for bag, _ in kept), packs=tuple(pack for _, pack in kept))


def purchase(
    plan: Plan[Key], wanted: Mapping[Key, int], offers: Mapping[Key, Offer], book: PriceBook
) -> Purchase:
    """The plan in the words of the trade."""
    rates = {key: offer.rate for key, offer in offers.items()}
    shopping = Shopping(
        lines=(*_bag_lines(plan, offers), *_kit_lines(plan, book.kits)),
        orders=tuple(
            Order(supplier=str(vendor), goods=_money(order.spend), delivery=_money(order.delivery))
            for vendor, order in plan.orders.items()
        ),
        from_stock=_stock_lines(plan.from_stock),
        filled=_filled(plan),
        left_over=_stock_lines(plan.leftovers),
        cost=_money(plan.cost),
        used_cost=sum((rates[key] * n for key, n in wanted.items()), Decimal(0)),
        leftover_value=plan.leftover_value * RATE_STEP,
        proven_cheapest=plan.proven,
        gap=plan.gap,
    )
    return Purchase(shopping=shopping, used=wanted, rates=rates)


def offers_for(wanted: Mapping[Key, int], book: PriceBook) -> dict[Key, Offer]:
    """Bags of everything wanted and of what may stand in for it."""
    offers = {key: book.offer(*key) for key in wanted}
    for key in wanted:
        for source in book.shelf.stand_ins(key):
            if source not in offers:
                offers[source] = book.offer(*source)
    return offers


def _money(cents: int) -> Decimal:
    return Decimal(cents) / 100


def _stock_lines(counts: Mapping[Key, int]) -> tuple[StockLine, ...]:
    return tuple(
        StockLine(size_class=size, colour=colour, count=number)
        for (size, colour), number in counts.items()
    )


def _filled(plan: Plan[Key]) -> tuple[Filled, ...]:
    return tuple(
        Filled(
            size_class=wanted[0],
            colour=wanted[1],
            by_size_class=source[0],
            by_colour=source[1],
            count=number,
        )
        for (wanted, source), number in plan.fills.items()
    )


def _bag_lines(plan: Plan[Key], offers: Mapping[Key, Offer]) -> list[ShoppingLine]:
    return [
        ShoppingLine(
            item=f"{colour} {size} in, bag of {bag.pack_size}",
            supplier=bag.supplier,
            size_class=size,
            colour=colour,
            pack_size=bag.pack_size,
            packs=number,
            unit_price=bag.unit_price,
            cost=bag.unit_price * number,
        )
        for (size, colour), numbers in plan.packs.items()
        for bag, number in zip(offers[size, colour].bags, numbers, strict=True)
        if number
    ]


def _kit_lines(plan: Plan[Key], kits: tuple[Kit, ...]) -> list[ShoppingLine]:
    return [
        ShoppingLine(
            item=kit.item,
            supplier=kit.supplier,
            size_class=None,
            colour=None,
            pack_size=sum(holding.count for holding in kit.contents),
            packs=number,
            unit_price=kit.unit_price,
            cost=kit.unit_price * number,
        )
        for kit, number in zip(kits, plan.bundles, strict=True)
        if number
    ]
