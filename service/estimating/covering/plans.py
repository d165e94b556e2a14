"""A plan of what to buy, and the books that are kept of it: in integers, whoever found it."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from service.estimating.covering.offers import RATE, Conditions, Item, Pack, Terms

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, kw_only=True, slots=True)
class Wants(Generic[Item]):
    """A question: pieces wanted of each item, what its packs are, and pieces at hand."""

    demands: Mapping[Item, int]
    packs: Mapping[Item, tuple[Pack, ...]]
    stock: Mapping[Item, int] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        demands: Mapping[Item, int],
        packs: Mapping[Item, tuple[Pack, ...]],
        stock: Mapping[Item, int] | None,
    ) -> "Wants[Item]":
        """The question without the items that nothing is wanted of."""
        wanted = {item: number for item, number in demands.items() if number > 0}
        return cls(demands=wanted, packs=packs, stock=stock or {})


@dataclass(frozen=True, kw_only=True, slots=True)
class Basket(Generic[Item]):
    """What is bought and which wanted pieces are filled from another item, as numbers."""

    packs: Mapping[Item, tuple[int, ...]]
    bundles: tuple[int, ...]
    fills: Mapping[tuple[Item, Item], int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """What is bought from one vendor: value of the goods and charge for delivery [cents]."""

    spend: int
    delivery: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan(Generic[Item]):
    """What to buy, and what it comes to.

    `packs` and `bundles` are numbers, in the order in which they were given; `fills` counts the
    wanted pieces that another item's pieces fill, as (wanted, source). `from_stock` are pieces
    taken from what is at hand and `leftovers` pieces bought and not used, both by the item that
    they are. `orders` is by vendor. `cost` [cents] is what is paid. `objective` [1/100 cent] is
    what was made least: the cost, penalties of the fills and the value of the stock that is
    taken, less `leftover_value`. `proven` says that no plan has a lower one; where it is False,
    none is lower by more than the share `gap`.
    """

    packs: Mapping[Item, tuple[int, ...]]
    bundles: tuple[int, ...]
    fills: Mapping[tuple[Item, Item], int]
    from_stock: Mapping[Item, int]
    leftovers: Mapping[Item, int]
    orders: Mapping[Hashable, Order]
    cost: int
    leftover_value: int
    objective: int
    proven: bool
    gap: float


def settle(
    conditions: Conditions[Item], wants: Wants[Item], basket: Basket[Item], *, bound: float
) -> Plan[Item]:
    """The plan of `basket`; `bound` [1/100 cent] is what no objective can be below.

    Raises ValueError where the basket leaves something wanted or falls short of a minimum order.
    """
    bought = _bought(conditions, wants, basket)
    used = _used(wants, basket)
    from_stock = {i: min(n, wants.stock.get(i, 0)) for i, n in used.items()}
    leftovers = {i: n + from_stock.get(i, 0) - used.get(i, 0) for i, n in bought.items()}
    short = [i for i in used if bought.get(i, 0) + from_stock[i] < used[i]]
    if short:
        raise ValueError(f"too few pieces of {', '.join(map(str, short))}")
    orders = _orders(conditions, wants, basket)
    cost = sum(order.spend + order.delivery for order in orders.values())
    left_over, taken_out = _some(leftovers), _some(from_stock)
    value = sum([conditions.value(i) * n for i, n in left_over.items()])
    taken = sum([conditions.value(i) * n for i, n in taken_out.items()])
    fills = _some(basket.fills)
    swaps = conditions.substitutions if fills else ()
    fines = sum([s.penalty * fills.get((s.wanted, s.source), 0) for s in swaps])
    objective = RATE * cost + fines + taken - value
    # Two objectives differ by a whole hundredth, or not at all.
    proven = objective - bound < 1
    return Plan(
        packs=basket.packs,
        bundles=basket.bundles,
        fills=fills,
        from_stock=taken_out,
        leftovers=left_over,
        orders=orders,
        cost=cost,
        leftover_value=value,
        objective=objective,
        proven=proven,
        gap=0.0 if proven else (objective - bound) / max(1, objective),
    )


def _bought(
    conditions: Conditions[Item], wants: Wants[Item], basket: Basket[Item]
) -> dict[Item, int]:
    bought = {
        item: sum([n * pack.size for n, pack in zip(numbers, wants.packs[item], strict=True) if n])
        for item, numbers in basket.packs.items()
    }
    for number, bundle in zip(basket.bundles, conditions.bundles, strict=True):
        for item, held in bundle.contents.items() if number else ():
            bought[item] = bought.get(item, 0) + number * held
    return bought


def _used(wants: Wants[Item], basket: Basket[Item]) -> dict[Item, int]:
    """Pieces used, by the item that they are."""
    used = dict(wants.demands)
    for (wanted, source), number in basket.fills.items():
        used[wanted] = used.get(wanted, 0) - number
        used[source] = used.get(source, 0) + number
    return used


def _orders(
    conditions: Conditions[Item], wants: Wants[Item], basket: Basket[Item]
) -> dict[Hashable, Order]:
    spends: dict[Hashable, int] = {}
    for item, numbers in basket.packs.items():
        for number, pack in zip(numbers, wants.packs[item], strict=True):
            if number:
                spends[pack.vendor] = spends.get(pack.vendor, 0) + number * pack.cost
    for number, bundle in zip(basket.bundles, conditions.bundles, strict=True):
        if number:
            spends[bundle.vendor] = spends.get(bundle.vendor, 0) + number * bundle.cost
    return {
        vendor: _order(vendor, spend, conditions.terms(vendor)) for vendor, spend in spends.items()
    }


def _order(vendor: Hashable, spend: int, terms: Terms) -> Order:
    if spend < terms.minimum:
        raise ValueError(f"{vendor} takes no order of {spend}, below {terms.minimum}")
    free = terms.free_from is not None and spend >= terms.free_from
    return Order(spend=spend, delivery=0 if free else terms.delivery)


def _some(numbers: Mapping[Key, int]) -> dict[Key, int]:
    return {key: number for key, number in numbers.items() if number}
