"""Single values of the price book, as they are typed: texts to figures and back."""

import datetime as dt
import re
from decimal import Decimal
from io import StringIO
from typing import Any

from ruamel.yaml.error import YAMLError

from service.estimating import BookError
from service.storage.price_book.reading import parsed, round_trip
from service.storage.price_book.shapes import NO, YES, Scalar

_NUMBER = re.compile(r"-?(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)?(?:\.[0-9]+)?")
_MIXED = re.compile(r"([0-9]+)[ -]([0-9]{1,2})/([0-9]{1,2})")
_FEET = re.compile(
    r"([0-9.]+) *(?:'|′|ft\.?|feet|foot) *(?:([0-9.]+) *(?:\"|″|''|in\.?|inch|inches)?)?"
)
_LONGEST_NUMBER = 20

_WANTS_NUMBER = "Write a number, such as 4.5."
_WANTS_WHOLE = "Write a whole number, such as 10."
_WANTS_YAML = "This cannot be read; check indentation, colons and quotes."


class Slip(ValueError):
    """What was typed is not what the field takes; the text says what to do."""


def typed_of(shape: Scalar, value: Any) -> str:
    """A value of the book as a field shows it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, dt.time):
        return value.strftime("%H:%M")
    if isinstance(value, int | float | Decimal) and shape.of is not str:
        return f"{value:.2f}" if shape.cents else _trimmed(value)
    return str(value)


def value_of(shape: Scalar, text: str, unit: str) -> Any:
    """What was typed as a value of the book. Raises Slip."""
    if shape.of is int:
        return _whole(text)
    if shape.of in (float, Decimal):
        number = _number(text, unit)
        short = shape.cents and number == round(number, 2)
        return number.quantize(Decimal("0.01")) if short else number
    return text


def yaml_of(value: Any) -> str:
    """A value that has no form of its own, as YAML."""
    out = StringIO()
    round_trip().dump(value, out)
    return out.getvalue().strip()


def from_yaml(text: str) -> Any:
    """What was typed as YAML. Raises Slip."""
    try:
        parsed(f"typed: 1\n{_KEY}:\n{_indented(text)}", "typed")
        return round_trip().load(text)
    except (BookError, YAMLError, ValueError):
        raise Slip(_WANTS_YAML) from None


_KEY = "below"


def _indented(text: str) -> str:
    return "\n".join(f"  {line}" for line in text.splitlines())


def _trimmed(value: float | Decimal) -> str:
    number = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    plain = format(number, "f")
    return plain.rstrip("0").rstrip(".") if "." in plain else plain


def _whole(text: str) -> int:
    plain = text.replace(",", "")
    if not re.fullmatch(r"-?[0-9]{1,18}", plain):
        raise Slip(_WANTS_WHOLE)
    return int(plain)


def _number(text: str, unit: str) -> Decimal:
    """A number, with a sign of money or percent if need be; 4 ft 6 in, 4 1/2."""
    bare = text.strip("$%° ").strip()
    if unit == "feet" and (feet := _FEET.fullmatch(bare)):
        return _plain(feet[1]) + _plain(feet[2] or "0") / 12
    if (mixed := _MIXED.fullmatch(bare)) and int(mixed[3]):
        return Decimal(mixed[1]) + Decimal(mixed[2]) / Decimal(mixed[3])
    return _plain(bare)


def _plain(text: str) -> Decimal:
    if not text or len(text) > _LONGEST_NUMBER or not _NUMBER.fullmatch(text) or text == "-":
        raise Slip(_WANTS_NUMBER)
    return Decimal(text.replace(",", ""))
