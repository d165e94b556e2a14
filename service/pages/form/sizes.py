"""Reading sizes as people write them: feet, and inches beside them."""

import re

from service.pages.form.supports import METRES_PER_INCH

_NUMBER = r"(\d+(?:[.,]\d*)?|[.,]\d+)"
_FEET = re.compile(
    rf"{_NUMBER}\s*(?:ft|feet|foot|['’′])?\s*(?:{_NUMBER}\s*(?:in|inch|inches|[\"”″])?)?\.?",
    re.IGNORECASE,
)
_INCHES = re.compile(rf"{_NUMBER}\s*(?:in|inch|inches|[\"”″])?\.?", re.IGNORECASE)


def metres_in(feet_text: str, inches_text: str) -> float:
    """The size [m] of what stands in the two fields. Raises ValueError where it is no number."""
    feet = _FEET.fullmatch(feet_text or "0")
    inches = _INCHES.fullmatch(inches_text or "0")
    if feet is None or inches is None:
        raise ValueError("no size")
    total = 12 * _float(feet[1]) + _float(feet[2] or "0") + _float(inches[1])
    return round(total * METRES_PER_INCH, 4)


def _float(text: str) -> float:
    return float(text.replace(",", "."))
