"""What is bought, hired and worn: balloons in packs, fittings, helium."""

from collections.abc import Iterator, Sequence

from service.estimating.answer import (
    CylinderLine,
    Fitting,
    FloatLine,
    Helium,
    Reason,
    Shopping,
    StockLine,
)
from service.estimating.book import PriceBook
from service.estimating.explanation.sources import BRIEF, PRODUCT, price_book
from service.estimating.explanation.workings import Workings
from service.estimating.fitting import used

_BAGS = price_book("bags.price", "bags.pack_size")
_PACKS = price_book("bags.price", "bags.pack_size", "kits.price", "kits.contents")
_FITTED = "brief and build; " + price_book(
    "hardware", "hire", "covers", "foils", "line", "accents", "weights", "consumables", "helium"
)
_DELIVERY = price_book("suppliers.delivery", "suppliers.free_from", "suppliers.minimum")
_WHERE = "integer program; " + price_book("bags", "kits", "suppliers", "stock", "substitutes")
_STOCK = price_book("stock.count")
_USED = price_book("bags.price", "bags.pack_size", "policy.leftovers_charged_percent")
_COUNTED_BACK = price_book("policy.leftovers_valued_percent")

_FITTINGS = {
    "wear": "frames and stands of the shop's own; " + price_book("hardware.wear"),
    "hire": "what the shop's own do not cover; " + price_book("hire.price"),
    "covers": "one over each frame; rate: wear of the shop's own, or price and fastening; "
    + price_book("covers.wear", "accents.fabric_cover"),
    "line": "for all such pieces, in whole metres or long balloons; "
    + price_book("line.price_per_ft"),
    "fixings": "points that hold the garland × so many at each × pieces; "
    + price_book(
        "line.clips_per_point", "line.price_per_clip", "line.bands_per_point", "line.price_per_band"
    ),
    "accents": "as asked for, or the usual number, × pieces; rate: price and fastening; "
    + price_book("accents"),
    "foils": "digits, letters and shapes one by one; rate: price and fastening; "
    + price_book("foils.digit", "foils.letter", "foils.shape"),
    "consumables": "so many for the job, each piece or each hundred balloons; "
    + price_book("consumables.quantity", "consumables.price"),
    "helium": "one for each balloon that floats, cylinders as the gas needs them; "
    + price_book(
        "helium.balloon_prices",
        "helium.foil_price",
        "helium.treatment_price",
        "helium.weight_price",
        "helium.cylinders.price",
    ),
    "weights": "ballast that the piece needs, from the heaviest weight down; "
    + price_book("weights.mass_lb", "weights.count", "weights.wear"),
}
"""By code: what the quantity is, and where it and the rate stand."""

_CHART = (
    "decorators' helium chart; ISO 2533 air, ideal gas; float times as shops and a gas supplier"
    " print them; "
) + price_book("helium.loss_percent", "helium.weight_factor")


def of_goods(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of the shopping, of the fittings and of the helium."""
    yield from _bought(workings.purchase.shopping)
    yield from _in_all(workings, book)
    if workings.fittings:
        yield _fitted(workings.fittings)
    yield from _helium(workings.helium, book)


def _bought(shopping: Shopping) -> Iterator[Reason]:
    if shopping.lines:
        yield Reason(
            figure="shopping.lines",
            value=str(sum([line.cost for line in shopping.lines])),
            formula=PRODUCT,
            inputs={
                f"shopping.lines[{index}]": (
                    f"{line.item}: {line.packs} pack × {line.unit_price!s} = {line.cost!s}"
                )
                for index, line in enumerate(shopping.lines)
            },
            source=_PACKS,
        )
    for index, order in enumerate(shopping.orders):
        yield Reason(
            figure=f"shopping.orders[{index}]",
            value=str(order.goods + order.delivery),
            formula="packs of this supplier + delivery, which is free from its limit on",
            inputs={
                "supplier": order.supplier,
                "goods": str(order.goods),
                "delivery": str(order.delivery),
            },
            source=_DELIVERY,
        )
    yield from _moved(shopping)


def _moved(shopping: Shopping) -> Iterator[Reason]:
    if shopping.from_stock:
        yield Reason(
            figure="shopping.from_stock",
            value=str(_count(shopping.from_stock)),
            formula="what is wanted and on the shelf",
            inputs={
                f"{line.colour} {line.size_class} in": str(line.count)
                for line in shopping.from_stock
            },
            source=_STOCK,
        )
    if shopping.filled:
        yield Reason(
            figure="shopping.filled",
            value=str(sum([line.count for line in shopping.filled])),
            formula="another size or color where the owner allows it and all comes cheaper so",
            inputs={
                f"{line.colour} {line.size_class} in by {line.by_colour} {line.by_size_class} in": (
                    str(line.count)
                )
                for line in shopping.filled
            },
            source=price_book("substitutes.wanted", "substitutes.instead"),
        )
    if shopping.left_over:
        yield Reason(
            figure="shopping.left_over",
            value=str(_count(shopping.left_over)),
            formula="in the packs + from stock - wanted, by size and color",
            inputs={},
            source=_BAGS,
        )


def _in_all(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    shopping, policy = workings.purchase.shopping, book.policy
    yield Reason(
        figure="shopping.cost",
        value=str(shopping.cost),
        formula="sum of all orders: the least cost of packs that covers every color and size",
        inputs={
            "balloons wanted": str(sum([line.taken for line in workings.spares])),
            "from stock": str(_count(shopping.from_stock)),
            "proven cheapest": "yes" if shopping.proven_cheapest else "no, search cut short",
        },
        source=_WHERE,
    )
    yield Reason(
        figure="shopping.gap",
        value=f"{shopping.gap:.2%}",
        formula="(cost - the least that any plan could cost) / cost; nought where proven",
        inputs={},
        source="integer program",
    )
    yield Reason(
        figure="shopping.used_cost",
        value=str(shopping.used_cost),
        formula="each balloon at the lowest price a piece among its bags",
        inputs={"left over in the packs, charged": f"{policy.leftovers_charged:.0%}"},
        source=_USED,
    )
    yield Reason(
        figure="shopping.leftover_value",
        value=str(shopping.leftover_value),
        formula="balloons left over × lowest price a piece × share counted back",
        inputs={"counted back": f"{policy.leftovers_valued:.0%}"},
        source=_COUNTED_BACK,
    )


def _fitted(fittings: Sequence[Fitting]) -> Reason:
    return Reason(
        figure="fittings",
        value=str(sum([each.cost for each in fittings])),
        formula=PRODUCT,
        inputs={f"fittings[{index}]": _fitting(each) for index, each in enumerate(fittings)},
        source=_FITTED,
    )


def _fitting(each: Fitting) -> str:
    time = f", {each.seconds:.0f} s" if each.seconds else ""
    return (
        f"{each.label}: {used(each)!s} {each.unit} × {each.unit_cost!s} = {each.cost!s}{time};"
        f" {_FITTINGS[each.code]}"
    )


def _helium(helium: Helium, book: PriceBook) -> Iterator[Reason]:
    yield Reason(
        figure="helium.volume_m3",
        value=f"{helium.volume_m3:.3f} m³",
        formula="sum over what floats, at 15 °C and one atmosphere; air-filled pieces take none",
        inputs={"kinds that float": str(len(helium.balloons))},
        source=BRIEF,
    )
    for index, line in enumerate(helium.balloons):
        yield _floating(index, line, book)
    if helium.cylinders:
        yield _cylinders(helium.cylinders)


def _floating(index: int, line: FloatLine, book: PriceBook) -> Reason:
    rates = book.helium
    return Reason(
        figure=f"helium.balloons[{index}]",
        value=f"{line.gas_m3:.3f} m³",
        formula=(
            "gas: count × capacity, as it is at 15 °C and one atmosphere, / (1 - loss); lift:"
            " (air - helium) × capacity - skin; weight: lift × factor"
        ),
        inputs={
            "of": f"{line.size_class} in {line.kind.replace('_', ' ')}",
            "count": str(line.count),
            "loss": f"{rates.loss_share:.0%}",
            "lift of each": f"{line.net_lift_kg:.4f} kg",
            "factor": f"{rates.weight_factor:g}",
            "weight for each": f"{line.weight_kg:.4f} kg",
            "floats": f"{line.float_low_h:g} to {line.float_high_h:g} h",
        },
        source=_CHART,
    )


def _cylinders(chosen: Sequence[CylinderLine]) -> Reason:
    return Reason(
        figure="helium.cylinders",
        value=str(sum([line.count for line in chosen])),
        formula="gas / contents, rounded up, of the kind that comes cheapest",
        inputs={line.label: f"{line.count} × {line.contents_m3:.3f} m³" for line in chosen},
        source=price_book("helium.cylinders.contents_ft3", "helium.cylinders.price"),
    )


def _count(lines: Sequence[StockLine]) -> int:
    return sum([line.count for line in lines])
