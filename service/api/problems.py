"""What went wrong, as RFC 9457 problem details. The one place where errors get HTTP meaning."""

import math
from collections.abc import Awaitable, Callable, Mapping, Sequence
from datetime import timedelta
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from service.api.faults import brief_problem, form_problem
from service.api.guards import ALWAYS
from service.contract.bookings import Window
from service.contract.estimate import FieldProblem, Problem
from service.estimating import BriefError
from service.leads.lead import (
    EnoughPhotos,
    LeadError,
    LinkExpired,
    MoveRefused,
    NoLongerFits,
    NotFound,
    NotPaired,
    PhotoTaken,
    StaleDecision,
    WindowTaken,
)
from service.leads.limits import TooOften
from service.leads.steps import StepRefused
from service.leads.talking import TurnConflict
from service.rendering.shelf import RETRY_AFTER_S, Busy

MEDIA_TYPE = "application/problem+json"

_STATUS: dict[type[Exception], HTTPStatus] = {
    NotFound: HTTPStatus.NOT_FOUND,
    LinkExpired: HTTPStatus.GONE,
    WindowTaken: HTTPStatus.CONFLICT,
    NoLongerFits: HTTPStatus.CONFLICT,
    MoveRefused: HTTPStatus.CONFLICT,
    StaleDecision: HTTPStatus.CONFLICT,
    PhotoTaken: HTTPStatus.CONFLICT,
    EnoughPhotos: HTTPStatus.CONFLICT,
    NotPaired: HTTPStatus.FORBIDDEN,
    TurnConflict: HTTPStatus.CONFLICT,
    StepRefused: HTTPStatus.CONFLICT,
}


class Refusal(Exception):
    """An edge refuses a request; `status` and the text say why and what to do.

    `retry_after` is when the same request may be taken, `next_free` what may be had instead.
    """

    def __init__(
        self,
        status: HTTPStatus,
        detail: str,
        *,
        errors: Sequence[FieldProblem] = (),
        retry_after: timedelta | None = None,
        next_free: Sequence[Window] = (),
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.errors = tuple(errors)
        self.retry_after = retry_after
        self.next_free = tuple(next_free)


def install(app: FastAPI) -> None:
    """Answer every error of the API with problem details."""
    for kind, answer in _ANSWERS.items():
        app.exception_handler(kind)(answer)


async def _refused(request: Request, error: Refusal) -> JSONResponse:
    problem = Problem(
        title=error.status.phrase,
        status=error.status,
        detail=error.detail,
        errors=list(error.errors) or None,
        next_free=list(error.next_free) or None,
    )
    answer = _problem(request, problem)
    if error.status is HTTPStatus.UNAUTHORIZED:
        answer.headers["WWW-Authenticate"] = "Bearer"
    if error.retry_after is not None:
        answer.headers["Retry-After"] = str(math.ceil(error.retry_after.total_seconds()))
    return answer


async def _brief(request: Request, error: BriefError) -> JSONResponse:
    return _problem(request, brief_problem(error))


async def _invalid(request: Request, error: RequestValidationError) -> JSONResponse:
    return _problem(request, form_problem(error.errors()))


async def _http(request: Request, error: HTTPException) -> JSONResponse:
    answer = _answer(request, HTTPStatus(error.status_code), str(error.detail))
    answer.headers.update(error.headers or {})
    return answer


async def _busy(request: Request, error: Busy) -> JSONResponse:
    answer = _answer(request, HTTPStatus.SERVICE_UNAVAILABLE, str(error))
    answer.headers["Retry-After"] = str(RETRY_AFTER_S)
    return answer


async def _too_often(request: Request, error: TooOften) -> JSONResponse:
    answer = _answer(request, HTTPStatus.TOO_MANY_REQUESTS, str(error))
    answer.headers["Retry-After"] = error.retry_after
    return answer


async def _not_now(request: Request, error: LeadError | StepRefused) -> JSONResponse:
    return _answer(request, _STATUS.get(type(error), HTTPStatus.CONFLICT), str(error))


async def _unexpected(request: Request, _error: Exception) -> JSONResponse:
    return _answer(
        request,
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "Something went wrong on our side. Nothing was stored; try again in a moment.",
    )


_ANSWERS: Mapping[type[Exception], Callable[[Request, Any], Awaitable[JSONResponse]]] = {
    Refusal: _refused,
    BriefError: _brief,
    RequestValidationError: _invalid,
    HTTPException: _http,
    Busy: _busy,
    TooOften: _too_often,
    LeadError: _not_now,
    StepRefused: _not_now,
    Exception: _unexpected,
}


def _answer(request: Request, status: HTTPStatus, detail: str) -> JSONResponse:
    return _problem(request, Problem(title=status.phrase, status=status, detail=detail))


def _problem(request: Request, problem: Problem) -> JSONResponse:
    problem = problem.model_copy(update={"instance": request.url.path})
    # An unexpected error is answered beyond what puts the headers on.
    headers = {name.decode(): value.decode() for name, value in ALWAYS}
    return JSONResponse(
        problem.model_dump(mode="json", exclude_none=True),
        status_code=problem.status,
        headers=headers | {"Cache-Control": "no-store"},
        media_type=MEDIA_TYPE,
    )
