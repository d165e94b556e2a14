"""Briefs as JSON lines in, answers as lines out; no server."""

import datetime as dt
import json
from collections.abc import Callable, Iterable, Iterator

from pydantic import TypeAdapter, ValidationError

from service.api.faults import BAD_REQUEST, brief_problem, form_problem
from service.api.translate import brief_to_core, estimate_to_json, option_to_wire
from service.contract.brief import Brief
from service.contract.estimate import Problem
from service.contract.options import Option
from service.estimating import Brief as CoreBrief
from service.estimating import BriefError, PriceBook, as_text, estimate, options
from service.leads.locating import Places

Answer = Callable[[CoreBrief, PriceBook, dt.date], str]
"""What is said of a brief by a price book, on a day."""

_OPTIONS = TypeAdapter(list[Option])

_NOT_UTF8 = Problem(
    title="The line is not UTF-8",
    status=BAD_REQUEST,
    detail="Send one JSON object in UTF-8 on each line.",
)


def estimate_line(brief: CoreBrief, book: PriceBook, today: dt.date) -> str:
    """The estimate as one line of JSON."""
    return estimate_to_json(estimate(brief, book, today=today)).decode()


def options_line(brief: CoreBrief, book: PriceBook, today: dt.date) -> str:
    """What else could be had, as one line of JSON: a list, the nearest to the brief first."""
    found = options(brief, book, today=today)
    return _OPTIONS.dump_json([option_to_wire(each, whole=False) for each in found]).decode()


def explanation_text(brief: CoreBrief, book: PriceBook, today: dt.date) -> str:
    """Where every figure of the estimate comes from; lines of text, and a blank one behind."""
    return as_text(estimate(brief, book, today=today).explanation).rstrip("\n") + "\n"


def answer_lines(
    lines: Iterable[bytes | str],
    book: PriceBook,
    places: Places,
    today: dt.date,
    answer: Answer = estimate_line,
) -> Iterator[str]:
    """The `answer` to each line that is not blank, or one line of JSON `{"error": problem}`."""
    for line in lines:
        if line.strip():
            yield _answer(line, book, places, today, answer)


def _answer(
    line: bytes | str, book: PriceBook, places: Places, today: dt.date, answer: Answer
) -> str:
    try:
        text = line if isinstance(line, str) else line.decode()
        # Text that was decoded with lone surrogates for its bad bytes fails here alike.
        wire = Brief.model_validate_json(text.encode())
        return answer(brief_to_core(wire, places, book.shop), book, today)
    except UnicodeError:
        return _error(_NOT_UTF8)
    except ValidationError as error:
        return _error(form_problem(error.errors(include_url=False, include_context=False)))
    except BriefError as error:
        return _error(brief_problem(error))


def _error(problem: Problem) -> str:
    return json.dumps({"error": problem.model_dump(mode="json", exclude_none=True)})
