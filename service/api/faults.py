"""What is wrong with a brief or a body, as RFC 9457 problem details; for HTTP and JSON lines."""

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from service.contract.estimate import FieldProblem, Problem
from service.estimating import BriefError

# Enough to mend a form by; a body of nothing but faults is not answered fault by fault.
_MOST_ERRORS = 20

_A_NUMBER = "Give a number, such as 2.4{unit}."
_WHOLE = "Give a whole number, such as 2."
_AMOUNT = "Give an amount of money in figures, such as 400 or 399.50."
_DAY = "Give a day that exists as year-month-day, such as 2027-06-06."
_TIME = "Give a time of day as hours and minutes, such as 15:00."
_MOMENT = "Give a date and a time with its zone, such as 2027-06-06T15:00:00Z."
_YES_OR_NO = "Give true or false."
_TEXT = "Give text in quotation marks."
_LIST = "Give a list in square brackets."
_OBJECT = "Give its fields in curly braces."

# By pydantic's type of fault; `bound` is the figure in its message, `unit` goes by the field.
_SAID = {
    "missing": "This field is needed.",
    "extra_forbidden": "There is no such field here; check how it is spelled.",
    "greater_than": "Give a number above {bound}{unit}.",
    "greater_than_equal": "Give a number from {bound}{unit} up.",
    "less_than": "Give a number below {bound}{unit}.",
    "less_than_equal": "Give a number of at most {bound}{unit}.",
    "too_short": "Name at least {bound} here.",
    "too_long": "Name at most {bound} here.",
    "string_too_short": "Write something here; it is empty.",
    "string_too_long": "Shorten this to at most {bound} characters.",
    "string_pattern_mismatch": "This is not written as it has to be{unit}.",
    "literal_error": "Use one of these: {choices}.",
    "enum": "Use one of these: {choices}.",
    **dict.fromkeys(("float_type", "float_parsing", "finite_number"), _A_NUMBER),
    **dict.fromkeys(
        ("int_type", "int_parsing", "int_parsing_size", "int_from_float"),
        _WHOLE,
    ),
    **dict.fromkeys(("decimal_type", "decimal_parsing"), _AMOUNT),
    **dict.fromkeys(
        ("date_type", "date_parsing", "date_from_datetime_parsing", "date_from_datetime_inexact"),
        _DAY,
    ),
    **dict.fromkeys(("time_type", "time_parsing"), _TIME),
    **dict.fromkeys(
        (
            *("datetime_type", "datetime_parsing", "datetime_from_date_parsing"),
            "timezone_aware",
        ),
        _MOMENT,
    ),
    **dict.fromkeys(("bool_type", "bool_parsing"), _YES_OR_NO),
    "string_type": _TEXT,
    "list_type": _LIST,
    **dict.fromkeys(("model_type", "model_attributes_type", "dict_type"), _OBJECT),
}

# By how a field's name ends.
_UNITS = {
    "_m_s": "m/s",
    "_m": "m",
    "temperature_c": "degrees Celsius",
    "latitude": "degrees",
    "longitude": "degrees",
    "size_class": "inches",
    "beaufort": "on the Beaufort scale",
    "coverage": "(a share: 1 is all of it)",
    "share": "(a share: 1 is all of it)",
    "email": "(an address such as sam@example.org)",
    "budget.min": "in the shop's currency",
    "budget.max": "in the shop's currency",
}
_FIGURE = re.compile(r"-?\d+(?:\.\d+)?")

BAD_REQUEST = 400
UNPROCESSABLE = 422


def brief_problem(error: BriefError) -> Problem:
    """Every fault of a brief, field by field."""
    return Problem(
        title="The brief cannot be estimated as it stands",
        status=UNPROCESSABLE,
        detail=str(error),
        errors=[FieldProblem(field=p.field, detail=p.detail) for p in error.problems],
    )


def form_problem(faults: Sequence[Any]) -> Problem:
    """JSON that is broken, or whose fields are not as the wire has them (pydantic's faults)."""
    if any(fault["type"] == "json_invalid" for fault in faults):
        return Problem(
            title="The body is not valid JSON",
            status=BAD_REQUEST,
            detail="Send one JSON object in UTF-8, with the content type application/json.",
        )
    return Problem(
        title="Some fields cannot be taken as they are",
        status=UNPROCESSABLE,
        detail="Correct the fields listed under errors and send it again.",
        errors=[
            FieldProblem(field=_field(fault["loc"]), detail=_detail(fault))
            for fault in faults[:_MOST_ERRORS]
        ],
    )


def _detail(fault: Mapping[str, Any]) -> str:
    said, message = _SAID.get(fault["type"]), str(fault["msg"])
    if said is None:
        return message.removeprefix("Value error, ")
    bound = _FIGURE.search(message)
    return said.format(
        bound=f"{Decimal(bound[0]):,}" if bound else "",
        choices=message.removeprefix("Input should be "),
        unit=_unit(_field(fault["loc"])),
    )


def _unit(field: str) -> str:
    return next((f" {unit}" for ending, unit in _UNITS.items() if field.endswith(ending)), "")


def _field(location: Sequence[int | str]) -> str:
    """("body", "pieces", 0, "width_m") is said as "pieces[0].width_m"."""
    inside = location[1:] if location and location[0] in ("body", "query", "path") else location
    path = ""
    for part in inside:
        path += f"[{part}]" if isinstance(part, int) else f".{part}"
    return path.lstrip(".") or "body"
