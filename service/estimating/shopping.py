"""What to take from stock and what to buy, at the least cost."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import Shopping, ShoppingLine, StockLine
from service.estimating.book import Bag, Kit, PriceBook
from service.estimating.covering import Bundle, Pack, Plan, cheapest

Key = tuple[int, str]
"""Size class [in] and colour."""

RATE_STEP = Decimal("0.0001")
"""Prices of a single balloon are kept to a hundredth of a cent."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Purchase:
    """The shopping, with what each balloon of the job is worth (`rates`) and what stock gave."""

    shopping: Shopping
    used: Mapping[Key, int]
    rates: Mapping[Key, Decimal]

    @property
    def leftover_cost(self) -> Decimal:
        """What the packs and the stock taken cost beyond what the job uses; never below nought."""
        taken = ((line.size_class, line.colour, line.count) for line in self.shopping.from_stock)
        stock = sum((self.rates[size, colour] * n for size, colour, n in taken), Decimal(0))
        return max(Decimal(0), self.shopping.cost + stock - self.shopping.used_cost)


def shop_for(wanted: Mapping[Key, int], book: PriceBook) -> Purchase:
    """The cheapest way to `wanted` balloons of each size and colour, stock first."""
    stock = _stock(wanted, book)
    to_buy = {key: number - stock.get(key, 0) for key, number in wanted.items()}
    bags = {key: book.bags_for(*key) for key in wanted}
    kits = [kit for kit in book.kits if any(to_buy.get(k, 0) for k in _contents(kit, book))]
    plan = cheapest(
        to_buy,
        {key: _packs(offers) for key, offers in bags.items()},
        [Bundle(contents=_contents(kit, book), cost=_cents(kit.unit_price)) for kit in kits],
    )
    rates = {key: _best_rate(offers) for key, offers in bags.items()}
    shopping = Shopping(
        lines=(*_bag_lines(plan, bags), *_kit_lines(plan, kits)),
        from_stock=tuple(
            StockLine(size_class=size, colour=colour, count=number)
            for (size, colour), number in stock.items()
        ),
        cost=Decimal(plan.cost) / 100,
        used_cost=sum((rates[key] * n for key, n in wanted.items()), Decimal(0)),
        proven_cheapest=plan.proven,
    )
    return Purchase(shopping=shopping, used=wanted, rates=rates)


def _stock(wanted: Mapping[Key, int], book: PriceBook) -> dict[Key, int]:
    held: dict[Key, int] = {}
    for holding in book.stock:
        key = holding.size_class, _canonical(holding.colour, book)
        held[key] = held.get(key, 0) + holding.count
    taken = {key: min(number, held.get(key, 0)) for key, number in wanted.items()}
    return {key: number for key, number in taken.items() if number}


def _contents(kit: Kit, book: PriceBook) -> dict[Key, int]:
    contents: dict[Key, int] = {}
    for holding in kit.contents:
        key = holding.size_class, _canonical(holding.colour, book)
        contents[key] = contents.get(key, 0) + holding.count
    return contents


def _canonical(colour: str, book: PriceBook) -> str:
    known = book.colour(colour)
    return known.name if known else colour


def _packs(offers: Sequence[Bag]) -> tuple[Pack, ...]:
    return tuple(Pack(size=bag.pack_size, cost=_cents(bag.unit_price)) for bag in offers)


def _cents(amount: Decimal) -> int:
    return int(amount * 100)


def _best_rate(offers: Sequence[Bag]) -> Decimal:
    return min(bag.unit_price / bag.pack_size for bag in offers).quantize(RATE_STEP)


def _bag_lines(plan: Plan[Key], bags: Mapping[Key, Sequence[Bag]]) -> list[ShoppingLine]:
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
        for bag, number in zip(bags[size, colour], numbers, strict=True)
        if number
    ]


def _kit_lines(plan: Plan[Key], kits: Sequence[Kit]) -> list[ShoppingLine]:
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
