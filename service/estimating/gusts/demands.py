"""What is asked of figures before anything is computed from them."""

import math

from service.estimating.errors import BriefError, Faults

Check = tuple[bool, str]
"""Whether it holds, and what to say where it does not."""


def demand(**checks: Check) -> None:
    """Refuse, by the names of the figures, all that does not hold. Raises BriefError."""
    faults = Faults()
    for field, (holds, detail) in checks.items():
        faults.check(holds, field, detail)
    faults.raise_as(BriefError)


def not_negative(value: float) -> Check:
    """A number of 0 or more."""
    return math.isfinite(value) and value >= 0, "must be a number of 0 or more"


def positive(value: float) -> Check:
    """A number above 0."""
    return math.isfinite(value) and value > 0, "must be a number above 0"


def one_or_more(value: float) -> Check:
    """A number of 1 or more."""
    return math.isfinite(value) and value >= 1, "must be a number of 1 or more"
