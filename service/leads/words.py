"""How figures are said to people: feet and inches, money, days and times."""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time, format_timedelta
from babel.numbers import format_currency

from service.estimating import Build, CostLine, Piece, Support

_INCH_M = 0.0254

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


def feet(metres: float) -> str:
    """Feet and inches, to the inch: 2.1336 is "7 ft", 1.9812 is "6 ft 6 in"."""
    inches = round(metres / _INCH_M)
    whole, rest = divmod(inches, 12)
    if whole == 0:
        return f"{rest} in"
    return f"{whole} ft {rest} in" if rest else f"{whole} ft"


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


def piece(value: Piece) -> str:
    """ "2 columns, 6 ft tall" or "round-top frame, 4 ft wide and 7 ft tall, full"."""
    name = _NAMES[value.support]
    measures = [
        f"{feet(size)} {word}"
        for size, word in (
            (value.width_m, "across" if value.support is Support.HOOP else "wide"),
            (value.height_m, "tall"),
            (value.length_m, "long"),
            (value.rise_m, "up"),
            (value.run_m, "along"),
            (value.sag_m, "deep"),
        )
        if size is not None
    ]
    head = f"{value.count} {name}s" if value.count > 1 else name
    # Nested quads of one size have one thickness: only an organic garland is airy or lush.
    look = f", {value.fullness}" if value.built_as is Build.ORGANIC else ""
    extent = "" if value.coverage == 1 else f", {value.coverage:.0%} covered"
    return f"{head}, {listed(measures)}{look}{extent}"


_PEOPLES_UNITS = {"km": ("miles", Decimal("1.609344")), "m": ("ft", Decimal("0.3048"))}
_PLURALS = {
    "balloon": "balloons",
    "point": "points",
    "use": "uses",
    "foil": "foils",
    "piece": "pieces",
}


def cost(line: CostLine) -> tuple[Decimal, str, Decimal]:
    """Quantity, unit and rate of a cost line in miles and feet; their product stays the same."""
    unit, size = _PEOPLES_UNITS.get(line.unit, (line.unit, Decimal(1)))
    quantity = line.quantity / size
    return quantity, unit if quantity == 1 else _PLURALS.get(unit, unit), line.rate * size
