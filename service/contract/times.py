"""Days and times as they are written in ISO 8601. A number of seconds since 1970 is not one."""

import datetime as dt
import re
from typing import Annotated, Any

from pydantic import AwareDatetime, BeforeValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_TIME = re.compile(r"\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?", re.ASCII)
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[Tt ]\d{2}:.+", re.ASCII)


def _day(value: Any) -> Any:
    if isinstance(value, dt.date) or (isinstance(value, str) and _DAY.fullmatch(value)):
        return value
    raise PydanticCustomError("date_parsing", "year-month-day is expected")


def _time(value: Any) -> Any:
    if isinstance(value, dt.time) or (isinstance(value, str) and _TIME.fullmatch(value)):
        return value
    raise PydanticCustomError("time_parsing", "hours and minutes are expected, without a zone")


def _moment(value: Any) -> Any:
    if isinstance(value, dt.datetime) or (isinstance(value, str) and _MOMENT.fullmatch(value)):
        return value
    raise PydanticCustomError("datetime_parsing", "a date and a time with its zone are expected")


Day = Annotated[dt.date, BeforeValidator(_day)]
"""A date: 2027-06-06."""

LocalTime = Annotated[
    dt.time,
    BeforeValidator(_time),
    # The format "time" of JSON Schema wants a zone, which the shop's own time has not.
    WithJsonSchema(
        {
            "type": "string",
            "pattern": r"^([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9](\.[0-9]{1,6})?)?$",
            "examples": ["15:00"],
        }
    ),
]
"""A time of day where the shop is: 15:00."""

Moment = Annotated[AwareDatetime, BeforeValidator(_moment)]
"""A date and a time with its zone: 2027-06-06T15:00:00Z."""
