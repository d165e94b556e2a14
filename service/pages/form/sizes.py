"""Reading sizes as people write them: feet, and inches beside them, or metres."""

import re

from service.pages.form.supports import METRES_PER_INCH

_NUMBER = r"(\d+(?:[.,]\d*)?|[.,]\d+)"
_FEET = re.compile(
    rf"{_NUMBER}\s*(?:ft|feet|foot|pies?|['’′])?"
    rf"\s*(?:{_NUMBER}\s*(?:in|inch|inches|pulgadas?|[\"”″])?)?\.?",
    re.IGNORECASE,
)
_INCHES = re.compile(rf"{_NUMBER}\s*(?:in|inch|inches|pulgadas?|[\"”″])?\.?", re.IGNORECASE)
# "1.8 m", "1 m 80", "180 cm"
_METRES = re.compile(
    rf"{_NUMBER}\s*(?:m|mts?|met(?:er|re|ro)s?)(?:\s*(\d{{1,2}})(?:\s*cm)?)?\.?", re.IGNORECASE
)
_CENTIMETRES = re.compile(rf"{_NUMBER}\s*cms?\.?", re.IGNORECASE)


def metres_in(feet_text: str, inches_text: str) -> float:
    """The size [m] of what stands in the two fields. Raises ValueError where it is no number."""
    metric = None if inches_text else _metric(feet_text)
    if metric is not None:
        return metric
    feet = _FEET.fullmatch(feet_text or "0")
    inches = _INCHES.fullmatch(inches_text or "0")
    if feet is None or inches is None:
        raise ValueError("no size")
    total = 12 * _float(feet[1]) + _float(feet[2] or "0") + _float(inches[1])
    return round(total * METRES_PER_INCH, 4)


def _metric(text: str) -> float | None:
    """The size [m] where it is told in metres or centimetres."""
    metres = _METRES.fullmatch(text)
    if metres is not None:
        return round(_float(metres[1]) + _float(metres[2] or "0") / 100, 4)
    centimetres = _CENTIMETRES.fullmatch(text)
    return None if centimetres is None else round(_float(centimetres[1]) / 100, 4)


def _float(text: str) -> float:
    return float(text.replace(",", "."))
