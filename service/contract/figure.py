"""Numbers of the wire: what JSON has as a number, and no text or truth value in its place."""

from typing import Annotated

from pydantic import Field, Strict

# What the database's integers hold.
_LEAST, _MOST = -(2**31), 2**31 - 1

Whole = Annotated[int, Strict(), Field(ge=_LEAST, le=_MOST)]
"""A whole number that can be stored."""

Number = Annotated[float, Strict(), Field(allow_inf_nan=False)]
"""Any number but what is none: no NaN, nothing infinite."""
