"""Briefs as JSON lines in, estimates as JSON lines out; no server."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator

from pydantic import ValidationError

from service.api.faults import brief_problem, form_problem
from service.api.translate import Places, brief_to_core, estimate_to_json
from service.contract.brief import Brief
from service.contract.estimate import Problem
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
        return _error(form_problem(error.errors(include_url=False, include_context=False)))
    except BriefError as error:
        return _error(brief_problem(error))


def _error(problem: Problem) -> str:
    return json.dumps({"error": problem.model_dump(mode="json", exclude_none=True)})
