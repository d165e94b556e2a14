"""What is on sale, as offers that the covering understands; made once for a price book."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.book.balloons import Bag, Colour, Kit, Substitute, Supplier
from service.estimating.covering import Market
from service.estimating.covering.offers import RATE, Bundle, Pack, Substitution, Terms

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
        bundles = tuple(self._bundle(kit) for kit in kits)
        self.market: Market[Key] = Market(
            bundles=bundles,
            vendors={supplier.name: _terms(supplier) for supplier in suppliers},
            substitutions=tuple(
                Substitution(wanted=wanted, source=source, penalty=_PENALTY)
                for wanted, sources in self._sources.items()
                for source in sources
            ),
            leftover_values=_below(self._values(colours, leftovers_valued), bundles),
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

    def _values(self, colours: Sequence[Colour], share: Decimal) -> dict[Key, int]:
        values: dict[Key, int] = {}
        for (group, size), offer in self._offers.items():
            most = min((RATE * pack.cost - 1) // pack.size for pack in offer.packs)
            worth = min(int(offer.rate * share / RATE_STEP), most)
            values.update(((size, c.name), worth) for c in colours if c.group == group)
        return values


def cents(amount: Decimal) -> int:
    """An amount of two decimals in hundredths."""
    return int(amount * 100)


def _below(values: Mapping[Key, int], bundles: Sequence[Bundle[Key]]) -> dict[Key, int]:
    """`values` [1/100 cent] of leftovers, lowered until no mixed pack is worth its price.

    Were leftovers worth what they are sold for, buying more than is needed would cost nothing.
    """
    lowered = dict(values)
    for bundle in bundles:
        worth = sum(number * lowered.get(key, 0) for key, number in bundle.contents.items())
        most = RATE * bundle.cost - 1
        for key in bundle.contents if worth > most else ():
            lowered[key] = lowered.get(key, 0) * most // worth
    return {key: value for key, value in lowered.items() if value > 0}


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
            key, source = (entry.wanted, colour), (entry.instead, instead)
            known = sources.get(key, ())
            # A rule for one color may say again what a rule for all of them has said.
            if source != key and source not in known:
                sources[key] = (*known, source)
    return sources
