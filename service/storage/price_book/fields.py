"""How single fields are written: money, percentages, names, and the units that people use."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from service.estimating import METRES_PER_INCH, SIZE_CLASSES, Support
from service.estimating import book as core

INCH = METRES_PER_INCH
FOOT, MILE = 0.3048, 1609.344
"""Metres, exact since 1959 (international yard and pound agreement)."""

POUND = 0.45359237
"""Kilograms, exact by the same agreement."""

CUBIC_FOOT = FOOT**3
MILE_PER_HOUR = MILE / 3600
LITRE_PER_MINUTE = 0.001 / 60


class Entry(BaseModel):
    """A part of the file. An unknown key is a slip of the pen, so it is refused."""

    model_config = ConfigDict(extra="forbid", strict=True)


def _decimal(value: Any) -> Any:
    # A number written 8.90 reads as a float; its shortest form is what the owner wrote.
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return Decimal(str(value)) if number else value


def _clock(value: Any) -> Any:
    try:
        return dt.time.fromisoformat(value)
    except (TypeError, ValueError):
        raise ValueError('write a time of day such as "08:00"') from None


def one_of(kind: type[StrEnum]) -> BeforeValidator:
    """Reads a member of `kind` by its value; a name made of digits needs no quotes."""

    def read(value: Any) -> StrEnum:
        try:
            return kind(str(value))
        except ValueError:
            raise ValueError(f"use one of {', '.join(kind)}") from None

    return BeforeValidator(read)


def each_of(kind: type[StrEnum]) -> AfterValidator:
    """Wants an entry for every member of `kind`."""

    def check(value: Mapping[Any, Any]) -> Mapping[Any, Any]:
        missing = [member for member in kind if member not in value]
        if missing:
            raise ValueError(f"add {', '.join(missing)}")
        return value

    return AfterValidator(check)


def _made(size_class: int) -> int:
    if size_class not in SIZE_CLASSES:
        allowed = ", ".join(map(str, SIZE_CLASSES))
        raise ValueError(f"no round balloon has this size; use one of {allowed}")
    return size_class


def _cents(value: Decimal) -> Decimal:
    # So that 8.9 in the file is 8.90 wherever it is shown.
    return value.quantize(Decimal("0.01"))


@dataclass(frozen=True, slots=True)
class Among:
    """Which values a field may have, for forms; that it has one of them is checked apart."""

    values: tuple[str | int, ...]


MOST = 1_000_000
"""No amount, measure or count of a shop comes near it, and what follows from it is finite."""

Money = Annotated[
    Decimal,
    BeforeValidator(_decimal),
    Field(ge=0, le=MOST, decimal_places=2),
    AfterValidator(_cents),
]
Step = Annotated[
    Decimal,
    BeforeValidator(_decimal),
    Field(gt=0, le=MOST, decimal_places=2),
    AfterValidator(_cents),
]
Rate = Annotated[Decimal, BeforeValidator(_decimal), Field(ge=0, le=MOST, decimal_places=4)]
Quantity = Annotated[Decimal, BeforeValidator(_decimal), Field(gt=0, le=MOST, decimal_places=4)]
Percent = Annotated[Decimal, BeforeValidator(_decimal), Field(ge=0, le=100)]
AnyPercent = Annotated[Decimal, BeforeValidator(_decimal), Field(ge=0, le=1000)]
Positive = Annotated[float, Field(gt=0, le=MOST, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, le=MOST, allow_inf_nan=False)]
Whole = Annotated[int, Field(ge=1, le=MOST)]
Name = Annotated[str, Field(min_length=1)]
Clock = Annotated[dt.time, BeforeValidator(_clock)]
SizeClass = Annotated[int, AfterValidator(_made), Among(tuple(sorted(SIZE_CLASSES)))]
SupportName = Annotated[Support, one_of(Support)]
ClusterName = Annotated[core.Cluster, one_of(core.Cluster)]


def per_metre(price: Decimal, unit_m: float) -> Decimal:
    """A price for each `unit_m` [m] as a price for each metre."""
    return (price / Decimal(str(unit_m))).quantize(Decimal("0.0001"))


def minutes(number: float) -> dt.timedelta:
    """A number of minutes as a span of time."""
    return dt.timedelta(minutes=number)
