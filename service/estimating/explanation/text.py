"""Reasons as plain text for the owner: grouped, line by line."""

import re
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby
from operator import itemgetter

from service.estimating.answer import Reason
from service.estimating.explanation.sources import PRODUCT
from service.estimating.fitting.words import feet
from service.estimating.units import METRES_PER_INCH

_WIDTH = 92
_INDENT = "    "

_BUILT, _BOUGHT = "What is built", "What is bought"
_SITE, _TIME, _MONEY = "What the site does to it", "Time and the way", "Money"
_RANGE = "How far it may come out differently"

_GROUPS: Mapping[str, Sequence[str]] = {
    _BUILT: ("pieces", "balloons_total", "spares"),
    _BOUGHT: ("shopping", "fittings", "helium"),
    _SITE: ("expansion", "wind"),
    _TIME: ("hours", "plan", "load", "travel"),
    _MONEY: ("cost_lines", "price"),
    _RANGE: ("cost", "price.low", "price.high", "drivers", "completeness"),
}
"""What figures each group begins with; the longest beginning decides."""

_BEGINNINGS = sorted(
    ((begins, title) for title, each in _GROUPS.items() for begins in each),
    key=lambda pair: -len(pair[0]),
)

_NAMES = {
    "pieces[].count": "Pieces of each kind",
    "pieces[].path_length_m": "path along the support",
    "pieces[].start": "Where the path of each kind of piece begins",
    "pieces[].end": "Where the path of each kind of piece ends",
    "pieces[].runs": "where the garland lies",
    "pieces[].garland_length_m": "garland",
    "pieces[].girth_m": "thickness",
    "pieces[].line_length_m": "line",
    "pieces[].line_joins": "joins in the line",
    "pieces[].attachment_points": "points that hold it",
    "pieces[].attachments_m": "Places along the path where each kind of piece is held",
    "pieces[].clusters": "clusters",
    "pieces[].balloons": "balloons",
    "pieces[].balloons[].spares": "Spares for each kind of piece",
    "pieces[].cluster_types": "Types of cluster in each kind of piece",
    "pieces[].order": "Clusters in their order on each piece",
    "balloons_total": "Balloons in all",
    "spares": "Spares",
    "shopping.lines": "Packs to buy",
    "shopping.orders[]": "Order",
    "shopping.from_stock": "From the shelf",
    "shopping.filled": "Filled by another",
    "shopping.left_over": "Left over in the packs",
    "shopping.cost": "To pay for balloons",
    "shopping.gap": "Cheaper it could be at most",
    "shopping.used_cost": "Worth of the balloons used",
    "shopping.leftover_value": "Counted back for what is left over",
    "fittings": "Fittings",
    "helium.volume_m3": "Helium",
    "helium.balloons[]": "Helium for a kind of balloon",
    "helium.cylinders": "Cylinders",
    "expansion.volume_ratio": "Volume there over here",
    "expansion.diameter_ratio": "Diameter there over here",
    "expansion.sized": "To blow up here for there",
    "wind.gust_m_s": "Gust reckoned with",
    "wind.watch_at_m_s": "Somebody watches it from a gust of",
    "wind.act_at_m_s": "People are cleared away at a gust of",
    "wind.pieces[].piece": "Pieces that stand in it",
    "wind.pieces[].area_m2": "area in the wind",
    "wind.pieces[].force_n": "push of the wind",
    "wind.pieces[].acts_at_m": "height at which it pushes",
    "wind.pieces[].against_tipping_kg": "ballast against tipping",
    "wind.pieces[].against_sliding_kg": "ballast against sliding",
    "wind.pieces[].ballast_kg": "ballast taken along",
    "wind.pieces[].comes_down_at_m_s": "comes down at a gust of",
    "hours": "Hours of the whole crew",
    "plan": "Plan",
    "plan.ahead_h": "First balloon before the event, at most",
    "plan.helium_ahead_h": "First helium balloon before the event, at most",
    "load.inflated_volume_m3": "Air in the balloons",
    "load.bags": "Bags of balloons",
    "load.car_loads": "Car loads",
    "load.trips": "Trips",
    "travel": "Driving",
    "cost_lines": "Cost lines",
    "cost": "Cost",
    "price.low": "Price, low",
    "price.likely": "Price, likely",
    "price.high": "Price, high",
    "price.deposit": "Deposit",
    "price.tax_rate": "Sales tax",
    "price.taxable_share": "Part of the price that is taxed",
    "price.tax": "Tax on the likely price",
    "drivers": "Where the spread comes from",
    "completeness": "Known of what moves the price",
}
"""How figures are called; small initials follow the number of a piece."""


def as_text(explanation: tuple[Reason, ...]) -> str:
    """The explanation as plain text, up to 92 characters wide, feet and pounds beside metres.

    Groups stand in the order of the work, each reason in the order in which it was given.
    """
    grouped: dict[str, list[str]] = {title: [] for title in _GROUPS}
    for reason in explanation:
        grouped[_group(reason.figure)].append(_paragraph(reason))
    return "\n".join(_section(title, told) for title, told in grouped.items() if told)


def _section(title: str, told: Sequence[str]) -> str:
    return "\n".join((title.upper(), "", *told, ""))


def _group(figure: str) -> str:
    return next(title for begins, title in _BEGINNINGS if figure.startswith(begins))


def _paragraph(reason: Reason) -> str:
    value = reason.value
    told = _to_cents(value) if _AMOUNT.fullmatch(value) else _for_people(value)
    title = f"{named(reason.figure)}: {told}"
    lines = [_wrapped(title, hanging=_INDENT)]
    lines += [_wrapped(_INDENT + text, hanging=_INDENT * 2) for text in _details(reason)]
    return "\n".join((*lines, ""))


def _details(reason: Reason) -> Iterator[str]:
    yield reason.formula
    yield from _products(reason) if reason.formula == PRODUCT else _inputs(reason.inputs)
    yield f"[{reason.source}]"


def _inputs(inputs: Mapping[str, str]) -> Iterator[str]:
    given = [_for_people(f"{_PLACE.sub('', name)}: {value}") for name, value in inputs.items()]
    one_by_one = any("×" in text or ", " in text for text in given)
    yield from given if one_by_one else filter(None, ["; ".join(given)])


def _products(reason: Reason) -> Iterator[str]:
    """Each product on a line of its own; what is alike of several in a row, once below them."""
    split = [_split(line) for line in reason.inputs.values()]
    for behind, lines in groupby(split, key=itemgetter(1)):
        yield from (product for product, _ in lines)
        if behind:
            yield f"{_INDENT}{behind}"


def _split(line: str) -> tuple[str, str]:
    """ "clips: 14 clip × 0.1400 = 1.9600; why" as "clips: 14 clips × 0.14 = 1.96" and "why"."""
    product, equals, rest = line.rpartition(" = ")
    amount, _, behind = rest.partition("; ")
    return _to_cents(_COUNTED.sub(_plural, f"{product}{equals}{amount}", count=1)), behind


_PLACE = re.compile(r"^\w+\[\d+\], ")
_AMOUNT = re.compile(r"\d+\.\d\d+")
_COUNTED = re.compile(r": (\d+(?:\.\d+)?) ([a-z ]+) × ")


def _plural(found: re.Match[str]) -> str:
    quantity, unit = found.groups()
    if unit in ("share", "of cost"):
        return f": {quantity} × "
    # Symbols such as h, km and ft have no plural.
    ending = "s" if len(unit) > 2 and float(quantity) != 1 else ""
    return f": {quantity} {unit}{ending} × "


def named(figure: str) -> str:
    """A figure for people: "pieces[0].girth_m" is "Piece 1, thickness"."""
    name = _NAMES.get(re.sub(r"\[\d+\]", "[]", figure))
    if name is None:
        name = ", ".join(figure.replace("_", " ").split(".")).capitalize()
    numbered = re.match(r"(wind\.)?pieces\[(\d+)\]", figure)
    if not numbered:
        return name
    what = "Standing piece" if numbered[1] else "Piece"
    return f"{what} {int(numbered[2]) + 1}, {name}"


def _to_cents(text: str) -> str:
    """Amounts without the noughts behind their cents: "7.7000" is "7.70"."""
    return re.sub(r"(\d\.\d\d\d*?)0+(?![\d.])", r"\1", text)


def _for_people(text: str) -> str:
    return text if "×" in text else _MEASURED.sub(_in_customary, text)


def _in_customary(found: re.Match[str]) -> str:
    return f"{found[0]} ({_CUSTOMARY[found[2]](float(found[1]))})"


_POUND_KG = 0.45359237
_SHORT_M = 0.6
"""Below two feet people think in inches."""

_CUSTOMARY: Mapping[str, Callable[[float], str]] = {
    "m": lambda m: f"{round(m / METRES_PER_INCH, 1):g} in" if abs(m) < _SHORT_M else feet(m),
    "km": lambda km: f"{km / 1.609344:.1f} miles",
    "km/h": lambda km_h: f"{km_h / 1.609344:.0f} mph",
    "m/s": lambda m_s: f"{m_s / 0.44704:.0f} mph",
    "m²": lambda m2: f"{m2 / 0.3048**2:.1f} ft²",
    "m³": lambda m3: f"{m3 / 0.3048**3:.2f} ft³",
    "kg": lambda kg: _pounds(kg / _POUND_KG),
    "N": lambda n: f"{n / 4.4482216152605:.1f} lbf",
    "°C": lambda celsius: f"{celsius * 1.8 + 32:.0f} °F",
}
"""What a measure is in feet and pounds; by definition of the inch, the pound and the mile."""


def _pounds(pounds: float) -> str:
    return f"{pounds:.1f} lb" if pounds >= 1 else f"{16 * pounds:.2f} oz"


_MEASURED = re.compile(r"(-?\d+(?:\.\d+)?) (km/h|km|m/s|m³|m²|m|kg|N|°C)(?![\w/²³])")


def _wrapped(text: str, *, hanging: str) -> str:
    return textwrap.fill(
        text, _WIDTH, subsequent_indent=hanging, break_long_words=False, break_on_hyphens=False
    )
