"""How figures are said to people: feet and inches, money, days and times."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from decimal import ROUND_HALF_UP, Decimal
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time, format_timedelta
from babel.numbers import format_currency

from service.estimating import (
    Accent,
    AccentKind,
    Build,
    CostLine,
    Floating,
    FloatKind,
    Pattern,
    Piece,
    Placement,
    Price,
    Site,
    Support,
)

_INCH_M = 0.0254
_POUND_KG = 0.45359237
_POUND_N = 4.4482216152605
_MILE_AN_HOUR_M_S = 0.44704

# Nominal diameters [in] the way people tell balloons apart.
_SIZE_WORDS = {5: "small", 10: "medium", 11: "medium", 12: "medium", 16: "large", 18: "large"}

_NAMES = {
    Support.ROUND_TOP_FRAME: "round-top frame",
    Support.SQUARE_FRAME: "square frame",
    Support.HOOP: "hoop",
    Support.WALL: "wall garland",
    Support.DOORWAY: "doorway garland",
    Support.STAIRCASE: "staircase garland",
    Support.MANTEL: "mantel garland",
    Support.TABLE: "table garland",
    Support.CEILING: "ceiling garland",
    Support.FREESTANDING_ARCH: "freestanding arch",
    Support.SWAG: "swag",
    Support.COLUMN: "column",
}

_PLACEMENTS: Mapping[Placement, str] = {
    Placement.WHOLE: "",
    Placement.ONE_SIDE: "on one side",
    Placement.CENTRED: "in the middle",
    Placement.CORNER_TO_CORNER: "from corner to corner",
    Placement.ASYMMETRIC: "long on one side and short on the other",
}

_PATTERNS: Mapping[Pattern, str] = {
    Pattern.MIXED: "",
    Pattern.OMBRE: "in ombré",
    Pattern.BLOCKS: "in blocks of color",
    Pattern.STRIPE: "striped",
}

# What one of them is called, and several.
_ACCENTS: Mapping[AccentKind, tuple[str, str]] = {
    AccentKind.FLOWERS: ("stem of flowers", "stems of flowers"),
    AccentKind.GREENERY: ("stem of greenery", "stems of greenery"),
    AccentKind.SIGN: ("sign", "signs"),
    AccentKind.RIBBON: ("ribbon streamer", "ribbon streamers"),
    AccentKind.FABRIC_COVER: ("fabric cover", "fabric covers"),
}

# Without a number the usual one is taken, which is not one for these.
_SOME: Mapping[AccentKind, str] = {
    AccentKind.FLOWERS: "flowers",
    AccentKind.GREENERY: "greenery",
    AccentKind.RIBBON: "ribbon",
}

_FLOATING: Mapping[FloatKind, str] = {
    FloatKind.LATEX: "latex",
    FloatKind.FOIL_ROUND: "round foil",
    FloatKind.FOIL_HEART: "foil heart",
    FloatKind.FOIL_STAR: "foil star",
    FloatKind.FOIL_SHAPE: "foil shape",
}


def feet(metres: float) -> str:
    """Feet and inches, to the inch: 2.1336 is "7 ft", 1.9812 is "6 ft 6 in"."""
    inches = round(metres / _INCH_M)
    whole, rest = divmod(inches, 12)
    if whole == 0:
        return f"{rest} in"
    return f"{whole} ft {rest} in" if rest else f"{whole} ft"


def inches(metres: float) -> str:
    """Inches to a tenth, as a sizing box is set: 0.254 is "10.0 in"."""
    return f"{metres / _INCH_M:.1f} in"


def pounds(kilograms: float) -> str:
    """Pounds; light things to a tenth of an ounce: 20.41 is "45 lb", 0.0143 is "0.5 oz"."""
    heavy = kilograms / _POUND_KG
    return f"{heavy:.0f} lb" if heavy >= 1 else f"{heavy * 16:.1f} oz"


def pounds_of_force(newtons: float) -> str:
    """A push in pounds: 90.9 is "20 lb of force"."""
    return f"{newtons / _POUND_N:.0f} lb of force"


def square_feet(square_metres: float) -> str:
    """3.108 is "33 sq ft"."""
    return f"{square_metres / 0.3048**2:.0f} sq ft"


def cubic_feet(cubic_metres: float) -> str:
    """0.204 is "7.2 cu ft"."""
    return f"{cubic_metres / 0.3048**3:.1f} cu ft"


def mph(metres_per_second: float) -> str:
    """Miles an hour: 8.175 is "18 mph"."""
    return f"{metres_per_second / _MILE_AN_HOUR_M_S:.0f} mph"


def fahrenheit(celsius: float) -> str:
    """Degrees Fahrenheit: 29 is "84 °F"."""
    return f"{celsius * 9 / 5 + 32:.0f} °F"


def money(amount: Decimal, currency: str) -> str:
    """The amount in its currency; whole amounts without cents."""
    whole = amount == amount.to_integral_value()
    return format_currency(
        amount, currency, "¤#,##0" if whole else None, locale="en_US", currency_digits=not whole
    )


def day(value: date) -> str:
    """ "Sunday, June 6, 2027": the weekday helps to catch a wrong date."""
    return format_date(value, "EEEE, MMMM d, y", locale="en_US")


def clock(value: time | datetime, zone: ZoneInfo | None = None) -> str:
    """ "3:00 PM"."""
    if isinstance(value, datetime) and zone is not None:
        value = value.astimezone(zone).time()
    return format_time(value, "h:mm a", locale="en_US").replace("\u202f", " ")


def moment(value: datetime) -> str:
    """ "Sunday, June 6, 2027, 3:00 PM", in the zone that the value carries."""
    return f"{day(value.date())}, {clock(value.time())}"


def lasting(value: timedelta) -> str:
    """ "2 days", "36 hours"."""
    hours = value.total_seconds() / 3600
    if hours >= 24 and hours % 24 == 0:
        return format_timedelta(value, "day", threshold=10_000, locale="en_US")
    return format_timedelta(value, "hour", threshold=10_000, locale="en_US")


def balloon_size(size_class: int) -> str:
    """ "medium (10 in)", with a space inside the brackets that no line breaks at."""
    return f"{_SIZE_WORDS.get(size_class, 'giant')} ({size_class}\u00a0in)"


def listed(names: Iterable[str], joined_by: str = "and") -> str:
    """ "sage, cream and gold"."""
    *most, last = names
    return f"{', '.join(most)} {joined_by} {last}" if most else last


_EMAIL = re.compile(r"(?:e-?mail:?\s+)?([^@\s]+@[^@\s]+\.[^@\s]+)", re.IGNORECASE)
_PHONE = re.compile(
    r"(?:(?:tele)?phone|tel|mobile|cell|call|text)?[.:]?\s*(\+?[\d\s().-]{7,})", re.IGNORECASE
)


def address(contact: str) -> str | None:
    """What a contact line leads to: "mailto:…", "tel:…", or None where it is neither."""
    email = _EMAIL.fullmatch(contact)
    if email:
        return f"mailto:{email[1]}"
    phone = _PHONE.fullmatch(contact)
    return "tel:" + re.sub(r"[^\d+]", "", phone[1]) if phone else None


def reached_by(contact: Sequence[str]) -> str:
    """ "phone +1 617 555 0142 or hello@shop.example": the lines to call or write to.

    Where no line is a number or an email address, all of them have to do.
    """
    direct = [line for line in contact if address(line)]
    return listed(direct, "or") if direct else "; ".join(contact)


def tax(price: Price, amount: Decimal) -> str:
    """What to say of the sales tax on `amount`: that it is in it, about how much it is, or none."""
    due = price.tax_rate * price.taxable_share
    if not due:
        return "no sales tax is added"
    if price.tax_included:
        return "tax included"
    whole = max(Decimal(1), (amount * due).quantize(Decimal(1), ROUND_HALF_UP))
    return f"plus about {money(whole, price.currency)} sales tax"


def piece(value: Piece) -> str:
    """ "2 columns, 6 ft tall" or "round-top frame, 4 ft wide and 7 ft tall, full"."""
    said = [
        piece_name(value),
        listed(_measures(value)),
        # Nested quads of one size have one thickness: only an organic garland is airy or lush.
        value.fullness.value if value.built_as is Build.ORGANIC else "",
        _PLACEMENTS[value.placement],
        "" if value.coverage in (None, 1) else f"{value.coverage:.0%} covered",
        _PATTERNS[value.pattern],
    ]
    with_what = "each with" if value.count > 1 else "with"
    accents = f"; {with_what} {listed(map(accent, value.accents))}" if value.accents else ""
    return ", ".join(filter(None, said)) + accents


def piece_name(value: Piece) -> str:
    """ "2 columns", "round-top frame"."""
    name = _NAMES[value.support]
    plural = f"{name}es" if name.endswith("arch") else f"{name}s"
    return f"{value.count} {plural}" if value.count > 1 else name


def accent(value: Accent) -> str:
    """ "8 stems of flowers (white roses)", "a sign (“Fifty years afloat”)", "greenery"."""
    one, many = _ACCENTS[value.kind]
    if value.count is None:
        said = _SOME.get(value.kind, f"a {one}")
    else:
        said = f"{value.count} {one if value.count == 1 else many}"
    if not value.words:
        return said
    return (
        f"{said} (“{value.words}”)" if value.kind is AccentKind.SIGN else f"{said} ({value.words})"
    )


def floating(value: Floating) -> str:
    """ "12 helium balloons, 11 in latex, treated to float longer"."""
    each = "helium balloon" if value.count == 1 else "helium balloons"
    longer = ", treated to float longer" if value.treated else ""
    return f"{value.count} {each}, {value.size_class} in {_FLOATING[value.kind]}{longer}"


def conditions(site: Site) -> str:
    """ "84 °F, wind force 3, on grass, 400 ft above the sea": what the brief says of them."""
    said = (
        None if site.temperature_c is None else fahrenheit(site.temperature_c),
        None if site.gust_m_s is None else f"gusts of {mph(site.gust_m_s)}",
        None if site.beaufort is None else f"wind force {site.beaufort} (Beaufort)",
        None if site.ground is None else f"on {site.ground}",
        None if site.elevation_m is None else f"{site.elevation_m / 0.3048:,.0f} ft above the sea",
    )
    return ", ".join(filter(None, said))


def _measures(value: Piece) -> Iterator[str]:
    for size, word in (
        (value.width_m, "across" if value.support is Support.HOOP else "wide"),
        (value.height_m, "tall"),
        (value.length_m, "long"),
        (value.rise_m, "up"),
        (value.run_m, "along"),
        (value.sag_m, "deep"),
        (value.drop_m, "down at each end"),
    ):
        if size is not None:
            yield f"{feet(size)} {word}"
    if value.steps is not None:
        yield f"{value.steps} {'step' if value.steps == 1 else 'steps'}"


_PEOPLES_UNITS = {"km": ("miles", Decimal("1.609344")), "m": ("ft", Decimal("0.3048"))}
_PLURALS = {
    unit: f"{unit}s"
    for unit in (
        *("bag", "balloon", "clip", "cover", "cylinder", "dot", "elastic band", "foil", "piece"),
        *("point", "sign", "stem", "streamer", "trip", "use", "weight"),
    )
}


def counted(quantity: Decimal, unit: str) -> tuple[Decimal, str]:
    """A quantity in miles and feet, and its unit in the plural where there is not just one."""
    name, size = _PEOPLES_UNITS.get(unit, (unit, Decimal(1)))
    much = quantity / size
    return much, name if much == 1 else _PLURALS.get(name, name)


def cost(line: CostLine) -> tuple[Decimal, str, Decimal]:
    """Quantity, unit and rate of a cost line in miles and feet; their product stays the same."""
    quantity, unit = counted(line.quantity, line.unit)
    _, size = _PEOPLES_UNITS.get(line.unit, (line.unit, Decimal(1)))
    return quantity, unit, line.rate * size
