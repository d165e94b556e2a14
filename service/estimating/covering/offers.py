"""What is on sale, and on which terms: plain values that know no trade.

Costs are integers in the smallest unit of money (cents). What a single piece is worth is finer:
an integer in hundredths of that unit, so that nothing is ever lost to rounding.
"""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from service.estimating.errors import EstimatingError, Faults

Item = TypeVar("Item", bound=Hashable)

RATE = 100
"""Hundredths of a cent in a cent: the unit of everything that is worth so much a piece."""


class OffersError(EstimatingError):
    """Something on offer cannot be as it is said to be."""


class Uncoverable(ValueError):
    """An item is wanted that nothing on offer can cover."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Pack:
    """`size` pieces of one item for `cost` [cents] from `vendor`."""

    size: int
    cost: int
    vendor: Hashable = None

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.size >= 1, "size", f"{self.size} pieces; a pack holds at least one")
        faults.check(self.cost >= 0, "cost", f"{self.cost}; a pack costs nought or more")
        faults.raise_as(OffersError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Bundle(Generic[Item]):
    """Pieces of several items for one `cost` [cents] from `vendor`."""

    contents: Mapping[Item, int]
    cost: int
    vendor: Hashable = None

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(bool(self.contents), "contents", "empty; name at least one item")
        for item, number in self.contents.items():
            faults.check(number >= 1, f"contents[{item}]", f"{number} pieces; at least one")
        faults.check(self.cost >= 0, "cost", f"{self.cost}; a bundle costs nought or more")
        faults.raise_as(OffersError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Terms:
    """What a vendor asks of an order, all by the value of its goods [cents].

    `delivery` [cents] is charged unless the goods come to `free_from` [cents]; None: always. No
    order below `minimum` [cents] is taken.
    """

    delivery: int = 0
    free_from: int | None = None
    minimum: int = 0

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.delivery >= 0, "delivery", f"{self.delivery}; nought or more")
        free = self.free_from is None or self.free_from >= 0
        faults.check(free, "free_from", f"{self.free_from}; nought or more, or None")
        faults.check(self.minimum >= 0, "minimum", f"{self.minimum}; nought or more")
        faults.raise_as(OffersError)


FREE = Terms()
"""The terms of a vendor that has none."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Substitution(Generic[Item]):
    """A wanted piece of `wanted` may be a piece of `source` at `penalty` [1/100 cent a piece]."""

    wanted: Item
    source: Item
    penalty: int = 0

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.wanted != self.source, "source", f"{self.source} stands in for itself")
        faults.check(self.penalty >= 0, "penalty", f"{self.penalty}; nought or more")
        faults.raise_as(OffersError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Conditions(Generic[Item]):
    """What holds whatever is wanted.

    `leftover_values` [1/100 cent a piece] is what a piece that is left over is worth to the
    buyer, nought where it is not named. It must stay below what any pack or bundle asks for it,
    or buying would pay without an end.
    """

    bundles: tuple[Bundle[Item], ...] = ()
    vendors: Mapping[Hashable, Terms] = field(default_factory=dict)
    substitutions: tuple[Substitution[Item], ...] = ()
    leftover_values: Mapping[Item, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        faults = Faults()
        for item, value in self.leftover_values.items():
            faults.check(value >= 0, f"leftover_values[{item}]", f"{value}; nought or more")
        for index, bundle in enumerate(self.bundles):
            worth = sum(n * self.value(item) for item, n in bundle.contents.items())
            below = worth == 0 or worth < bundle.cost * RATE
            detail = f"left over, its contents would be worth {worth} of {bundle.cost * RATE}"
            faults.check(below, f"bundles[{index}]", detail)
            free = bundle.cost == 0 and self.terms(bundle.vendor) != FREE
            detail = f"costs nothing, but {bundle.vendor} has terms"
            faults.check(not free, f"bundles[{index}]", detail)
        pairs = [(s.wanted, s.source) for s in self.substitutions]
        faults.check(len(pairs) == len(set(pairs)), "substitutions", "a pair is named twice")
        faults.raise_as(OffersError)

    def value(self, item: Item) -> int:
        """What a leftover piece of `item` is worth [1/100 cent]."""
        return self.leftover_values.get(item, 0)

    def terms(self, vendor: Hashable) -> Terms:
        """The terms of `vendor`."""
        return self.vendors.get(vendor, FREE)

    def refuse(self, item: Item, packs: tuple[Pack, ...]) -> None:
        """Raise OffersError where `packs` of `item` cannot be weighed.

        A leftover must be worth less than what any pack asks for it, and what costs nothing must
        come from a vendor without terms, since its orders have a value only.
        """
        value, faults = self.value(item), Faults()
        for index, pack in enumerate(packs):
            where, worth, asked = f"packs[{item}][{index}]", value * pack.size, pack.cost * RATE
            detail = f"left over, it would be worth {worth} of {asked}"
            faults.check(worth == 0 or worth < asked, where, detail)
            free = pack.cost == 0 and self.terms(pack.vendor) != FREE
            faults.check(not free, where, f"costs nothing, but {pack.vendor} has terms")
        faults.raise_as(OffersError)
