"""Briefs as JSON lines in, estimates as JSON lines out; no server."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator

from pydantic import ValidationError

from service.api.faults import BAD_REQUEST, brief_problem, form_problem
from service.api.translate import Places, brief_to_core, estimate_to_json
from service.contract.brief import Brief
from service.contract.estimate import Problem
from service.estimating import BriefError, PriceBook, estimate

_NOT_UTF8 = Problem(
    title="The line is not UTF-8",
    status=BAD_REQUEST,
    detail="Send one JSON object in UTF-8 on each line.",
)


def answer_lines(
    lines: Iterable[bytes | str], book: PriceBook, places: Places, today: dt.date
) -> Iterator[str]:
    """One line of JSON for each line that is not blank: an estimate, or `{"error": problem}`."""
    for line in lines:
        if line.strip():
            yield _answer(line, book, places, today)


def _answer(line: bytes | str, book: PriceBook, places: Places, today: dt.date) -> str:
    try:
        text = line if isinstance(line, str) else line.decode()
        # Text that was decoded with lone surrogates for its bad bytes fails here alike.
        wire = Brief.model_validate_json(text.encode())
        brief = brief_to_core(wire, places, book.shop)
        return estimate_to_json(estimate(brief, book, today=today)).decode()
    except UnicodeError:
        return _error(_NOT_UTF8)
    except ValidationError as error:
        return _error(form_problem(error.errors(include_url=False, include_context=False)))
    except BriefError as error:
        return _error(brief_problem(error))


def _error(problem: Problem) -> str:
    return json.dumps({"error": problem.model_dump(mode="json", exclude_none=True)})
