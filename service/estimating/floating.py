"""Balloons that float: gas, cylinders, lift, weights and hours aloft. Air-filled ones need none."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import cycle, islice

from service.estimating.answer import CylinderLine, Fitting, FloatLine, Helium, SpareLine
from service.estimating.book import Cylinder, HeliumRates, PriceBook
from service.estimating.brief import Site
from service.estimating.buoyancy import (
    FoilShape,
    HeliumBalloon,
    Skin,
    cylinders,
    float_time,
    foil,
    helium_needed,
    latex,
    weight_needed,
)
from service.estimating.errors import BriefError, Faults
from service.estimating.extras import Floating, FloatKind
from service.estimating.gases import Ambient
from service.estimating.heat import ambient_at
from service.estimating.spares import enough_of

_SHAPES: Mapping[FloatKind, FoilShape] = {
    FloatKind.FOIL_ROUND: FoilShape.ROUND,
    FloatKind.FOIL_HEART: FoilShape.HEART,
    FloatKind.FOIL_STAR: FoilShape.STAR,
    FloatKind.FOIL_SHAPE: FoilShape.LARGE,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Floated:
    """The helium of a job, what it costs besides latex, and the time of filling [s]."""

    helium: Helium
    fittings: tuple[Fitting, ...] = ()
    seconds: float = 0.0


AIR_ONLY = Floated(helium=Helium(needed=False, volume_m3=0.0))
"""Everything on a support is filled with air: nothing of it has to float."""


def float_all(
    wanted: Sequence[Floating], site: Site, book: PriceBook, *, colours: Sequence[str] = ()
) -> Floated:
    """Helium for `wanted` at the site's air; raises BriefError for what does not float there.

    Latex comes in `colours` in turn: nobody is asked for a colour of what floats.
    """
    if not wanted:
        return AIR_ONLY
    rates, air = book.helium, ambient_at(site, book.workshop)
    bare = _lines(wanted, air, rates)
    lines = tuple(replace(line, colours=tuple(_coloured(line, colours, book))) for line in bare)
    gas = sum(line.gas_m3 for line in lines)
    chosen = _cylinders(gas, rates.cylinders)
    return Floated(
        helium=Helium(needed=True, volume_m3=gas, balloons=lines, cylinders=chosen),
        fittings=(*_bought(wanted, lines, rates), *_gas(chosen, rates.cylinders)),
        seconds=sum(
            each.count * (rates.seconds_each + rates.treatment_seconds * each.treated)
            for each in wanted
        ),
    )


def _lines(wanted: Sequence[Floating], air: Ambient, rates: HeliumRates) -> tuple[FloatLine, ...]:
    faults, lines = Faults(), []
    for index, each in enumerate(wanted):
        try:
            lines.append(_line(each, air, rates))
        except BriefError as error:
            # Whatever is wrong with it, another size is what mends it.
            for problem in error.problems:
                faults.add(f"floating[{index}].size_class", problem.detail)
    faults.raise_as(BriefError)
    return tuple(lines)


def _line(each: Floating, air: Ambient, rates: HeliumRates) -> FloatLine:
    balloon, skin = _balloon(each), Skin.FOIL if each.kind.foil else Skin.LATEX
    lift = balloon.lift(air)
    _refuse(each, lift, rates)
    hours = float_time(skin, each.size_class, treated=each.treated)
    gas = helium_needed(
        each.count * balloon.capacity_m3,
        air,
        overpressure_pa=skin.overpressure_pa,
        loss_share=rates.loss_share,
    )
    return FloatLine(
        kind=each.kind.value,
        size_class=each.size_class,
        count=each.count,
        gas_m3=gas,
        net_lift_kg=lift,
        weight_kg=weight_needed(lift, rates.weight_factor),
        float_low_h=hours.low_h,
        float_high_h=hours.high_h,
    )


def _coloured(line: FloatLine, colours: Sequence[str], book: PriceBook) -> Iterator[SpareLine]:
    """The colours in turn, and of each at least one to spare: one that is gone cannot be mended."""
    size = book.size(line.size_class)
    odds = size.breakage if size else 0.0
    latex = line.kind == FloatKind.LATEX
    for colour, count in Counter(islice(cycle(colours), line.count)).items() if latex else ():
        taken, enough = enough_of(count, odds, book.policy.service_level)
        yield SpareLine(
            size_class=line.size_class,
            colour=colour,
            placed=count,
            taken=max(taken, count + 1),
            breakage=odds,
            enough=round(enough, 6),
            share=round(max(taken, count + 1) / count - 1, 4),
        )


def _refuse(each: Floating, lift_kg: float, rates: HeliumRates) -> None:
    faults = Faults()
    if not each.kind.foil and each.size_class not in rates.balloon_price:
        sizes = ", ".join(map(str, sorted(rates.balloon_price)))
        detail = f"the shop fills no {each.size_class} in latex with helium; use one of {sizes}"
        faults.add("size_class", detail)
    # Thin air lifts less, and the skin weighs what it weighs.
    name = _words(each) if each.kind.foil else "latex balloon"
    detail = f"a {name} of {each.size_class} in does not lift its own weight at this site"
    faults.check(lift_kg > 0, "size_class", f"{detail}; use a larger one, or fill it with air")
    faults.raise_as(BriefError)


def _words(each: Floating) -> str:
    return each.kind.value.replace("_", " ")


def _balloon(each: Floating) -> HeliumBalloon:
    if each.kind.foil:
        return foil(_SHAPES[each.kind], each.size_class)
    return latex(each.size_class)


def _cylinders(gas_m3: float, on_hire: Sequence[Cylinder]) -> tuple[CylinderLine, ...]:
    # One kind of cylinder for a job: the kind that comes cheapest, the fewer on equal cost.
    counts = ((each, cylinders(gas_m3, each.contents_m3)) for each in on_hire)
    best, count = min(counts, key=lambda pair: (pair[0].price * pair[1], pair[1]))
    return (CylinderLine(label=best.label, count=count, contents_m3=best.contents_m3),)


def _gas(chosen: Sequence[CylinderLine], on_hire: Sequence[Cylinder]) -> Iterator[Fitting]:
    prices = {each.label: each.price for each in on_hire}
    for line in chosen:
        yield _fitting(line.label, line.count, "cylinder", prices[line.label], *_CYLINDER)


def _bought(
    wanted: Sequence[Floating], lines: Sequence[FloatLine], rates: HeliumRates
) -> Iterator[Fitting]:
    for each, line in zip(wanted, lines, strict=True):
        price = rates.foil_price if each.kind.foil else rates.balloon_price[each.size_class]
        yield _fitting(line.label, each.count, "balloon", price, *_BALLOON)
        if each.treated:
            price = rates.treatment_price
            yield _fitting("treatment to float on", each.count, "balloon", price, *_TREATMENT)
    total = sum(each.count for each in wanted)
    yield _fitting("helium balloon weight", total, "weight", rates.weight_price, *_WEIGHT)


_CYLINDER = (
    "In a ventilated room, away from guests; not left at the event.",
    "Upright and chained.",
)
_BALLOON = ("Beside the pieces, indoors or held down.", "Each on a weight, filled on the day.")
_TREATMENT = (
    "Inside the balloon, before it is filled.",
    "Left to dry for as long as its maker says.",
)
_WEIGHT = (
    "One for each balloon or bunch.",
    "It holds them in still air only: outdoors tie them to something that cannot move, or keep"
    " them indoors.",
)
"""Where each goes and how it is held; no weight is enough in wind, so none is named for it."""


def _fitting(label: str, count: int, unit: str, price: Decimal, place: str, mount: str) -> Fitting:
    return Fitting(
        code="helium",
        label=label,
        piece=None,
        count=count,
        unit=unit,
        unit_cost=price,
        cost=price * count,
        seconds=0.0,
        place=place,
        mount=mount,
    )
