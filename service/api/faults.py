"""What is wrong with a brief or a body, as RFC 9457 problem details; for HTTP and JSON lines."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.contract.estimate import FieldProblem, Problem
from service.estimating import BriefError

# Enough to mend a form by; a body of nothing but faults is not answered fault by fault.
_MOST_ERRORS = 20

_SAID = {
    "missing": "This field is needed.",
    "extra_forbidden": "There is no such field here; check how it is spelled.",
}

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
    return _SAID.get(fault["type"], str(fault["msg"]))


def _field(location: Sequence[int | str]) -> str:
    """("body", "pieces", 0, "width_m") is said as "pieces[0].width_m"."""
    inside = location[1:] if location and location[0] in ("body", "query", "path") else location
    path = ""
    for part in inside:
        path += f"[{part}]" if isinstance(part, int) else f".{part}"
    return path.lstrip(".") or "body"
