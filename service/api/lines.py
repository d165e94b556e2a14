"""Briefs as JSON lines in, estimates as JSON lines out; no server."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator

from pydantic import ValidationError

from service.api.translate import Places, brief_to_core, estimate_to_json
from service.contract.brief import Brief
from service.contract.estimate import FieldProblem, Problem
from service.estimating import BriefError, PriceBook, estimate


def answer_lines(
    lines: Iterable[str], book: PriceBook, places: Places, today: dt.date
) -> Iterator[str]:
    """One line of JSON for each line that is not blank: an estimate, or `{"error": problem}`."""
    for line in lines:
        if line.strip():
            yield _answer(line, book, places, today)


def _answer(line: str, book: PriceBook, places: Places, today: dt.date) -> str:
    try:
        wire = Brief.model_validate_json(line)
        brief = brief_to_core(wire, places)
        return estimate_to_json(estimate(brief, book, today=today)).decode()
    except ValidationError as error:
        return _error(problem_from_validation(error))
    except BriefError as error:
        return _error(problem_from_brief(error))


def problem_from_brief(error: BriefError) -> Problem:
    """RFC 9457 problem details of a brief that cannot be estimated."""
    return Problem(
        title="The brief cannot be estimated",
        status=422,
        detail=str(error),
        errors=[FieldProblem(field=p.field, detail=p.detail) for p in error.problems],
    )


def problem_from_validation(error: ValidationError) -> Problem:
    """RFC 9457 problem details of JSON that is broken or does not have a brief's form."""
    faults = error.errors(include_url=False, include_context=False)
    broken = any(fault["type"] == "json_invalid" for fault in faults)
    return Problem(
        title="This is not JSON" if broken else "This is not a brief",
        status=400 if broken else 422,
        detail="; ".join(f"{_field(fault['loc'])}: {fault['msg']}" for fault in faults),
        errors=[FieldProblem(field=_field(f["loc"]), detail=f["msg"]) for f in faults],
    )


def _field(keys: tuple[int | str, ...]) -> str:
    path = ""
    for key in keys:
        path += f"[{key}]" if isinstance(key, int) else f".{key}" if path else key
    return path or "body"


def _error(problem: Problem) -> str:
    return json.dumps({"error": problem.model_dump(mode="json", exclude_none=True)})
