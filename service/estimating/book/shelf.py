"""What is on sale, as offers that the covering understands; made once for a price book."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.book.balloons import Bag, Colour, Kit, Substitute, Supplier
from service.estimating.covering import Market
from service.estimating.offers import Bundle, Pack, Substitution, Terms

Key = tuple[int, str]
"""Size class [in] and colour."""

RATE_STEP = Decimal("0.0001")
"""Prices of a single balloon are kept to a hundredth of a cent."""

_PENALTY = 1
"""Hundredths of a cent for each stand-in: between equal prices the one asked for is bought."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """Bags of one group and size, as packs in the same order, and the best price a balloon."""

    bags: tuple[Bag, ...]
    packs: tuple[Pack, ...]
    rate: Decimal


class Shelf:
    """Offers by group and size, and the market they are bought on."""

    def __init__(
        self,
        bags: Sequence[Bag],
        kits: Sequence[Kit],
        suppliers: Sequence[Supplier],
        substitutes: Sequence[Substitute],
        colours: Sequence[Colour],
        names: Mapping[str, str],
        leftovers_valued: Decimal,
    ) -> None:
        self._offers = _offers(bags)
        self._names = names
        self._sources = _sources(substitutes, colours, names)
        self.market: Market[Key] = Market(
            bundles=tuple(self._bundle(kit) for kit in kits),
            vendors={supplier.name: _terms(supplier) for supplier in suppliers},
            substitutions=tuple(
                Substitution(wanted=wanted, source=source, penalty=_PENALTY)
                for wanted, sources in self._sources.items()
                for source in sources
            ),
            leftover_values=dict(self._values(colours, leftovers_valued)),
        )

    def offer(self, group: str, size_class: int) -> Offer | None:
        """Bags of one group and size; None where there are none."""
        return self._offers.get((group, size_class))

    def stand_ins(self, key: Key) -> tuple[Key, ...]:
        """What the owner allows instead."""
        return self._sources.get(key, ())

    def _bundle(self, kit: Kit) -> Bundle[Key]:
        contents: dict[Key, int] = {}
        for holding in kit.contents:
            key = holding.size_class, self._names.get(holding.colour, holding.colour)
            contents[key] = contents.get(key, 0) + holding.count
        return Bundle(contents=contents, cost=cents(kit.unit_price), vendor=kit.supplier)

    def _values(self, colours: Sequence[Colour], share: Decimal) -> Iterator[tuple[Key, int]]:
        if share:
            for (group, size), offer in self._offers.items():
                worth = int(offer.rate * share / RATE_STEP)
                yield from (((size, c.name), worth) for c in colours if c.group == group)


def cents(amount: Decimal) -> int:
    """An amount of two decimals in hundredths."""
    return int(amount * 100)


def _offers(bags: Sequence[Bag]) -> dict[tuple[str, int], Offer]:
    grouped: dict[tuple[str, int], list[Bag]] = {}
    for bag in bags:
        grouped.setdefault((bag.group, bag.size_class), []).append(bag)
    return {
        key: Offer(
            bags=tuple(each),
            packs=tuple(
                Pack(size=bag.pack_size, cost=cents(bag.unit_price), vendor=bag.supplier)
                for bag in each
            ),
            rate=min(bag.unit_price / bag.pack_size for bag in each).quantize(RATE_STEP),
        )
        for key, each in grouped.items()
    }


def _terms(supplier: Supplier) -> Terms:
    return Terms(
        delivery=cents(supplier.delivery),
        free_from=None if supplier.free_from is None else cents(supplier.free_from),
        minimum=cents(supplier.minimum),
    )


def _sources(
    substitutes: Sequence[Substitute], colours: Sequence[Colour], names: Mapping[str, str]
) -> dict[Key, tuple[Key, ...]]:
    sources: dict[Key, tuple[Key, ...]] = {}
    for entry in substitutes:
        wanted = [names[entry.colour]] if entry.colour else [c.name for c in colours]
        for colour in wanted:
            instead = names[entry.instead_colour] if entry.instead_colour else colour
            key = entry.wanted, colour
            sources[key] = (*sources.get(key, ()), (entry.instead, instead))
    return sources
