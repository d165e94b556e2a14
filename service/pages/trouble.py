"""What a browser is shown when a page cannot be."""

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from service.leads.lead import LeadError, LinkExpired, MoveRefused, NotFound
from service.leads.limits import TooOften
from service.leads.speech import msg
from service.pages.visit import Instead, at_desk, trouble_at
from service.rendering.shelf import RETRY_AFTER_S, Busy

_MOVED_ON = msg(
    "Something has changed since you opened the page. Load it again to see how it stands."
)
_ONCE_MORE = msg(
    "Please go back and try once more in a moment. If it happens again, write to us and say what "
    "you were doing."
)
_ONCE_MORE_AT_THE_DESK = (
    "Please go back and try once more in a moment. If it happens again, the log of the service "
    "says what happened."
)


def install(app: FastAPI) -> None:
    """Explain every error of the pages on a page."""
    for kind, page in _PAGES.items():
        app.exception_handler(kind)(page)


def _instead(_request: Request, error: Instead) -> Response:
    return error.response


def _busy(request: Request, _error: Busy) -> Response:
    answer = trouble_at(
        request,
        HTTPStatus.SERVICE_UNAVAILABLE,
        msg("One moment, please"),
        msg("Many pictures are being drawn just now. Load the page again in a few seconds."),
    )
    answer.headers["Retry-After"] = str(RETRY_AFTER_S)
    return answer


def _too_often(request: Request, error: TooOften) -> Response:
    answer = trouble_at(
        request,
        HTTPStatus.TOO_MANY_REQUESTS,
        msg("One moment, please"),
        msg("This page was asked for very often just now. Load it again in a few minutes."),
    )
    answer.headers["Retry-After"] = error.retry_after
    return answer


def _refused(request: Request, error: LeadError) -> Response:
    if isinstance(error, LinkExpired):
        return trouble_at(
            request,
            HTTPStatus.GONE,
            msg("This link has run out"),
            msg("Prices and set-up times stand for a while only, so the links to them end too."),
            msg("Ask once more and you'll have a fresh price in a minute."),
        )
    if isinstance(error, NotFound):
        return trouble_at(
            request,
            HTTPStatus.NOT_FOUND,
            msg("This link doesn't lead anywhere"),
            msg(
                "A letter may have gone missing on the way. Open it again from the message we "
                "sent you, or copy the whole address."
            ),
        )
    # Its own words name states, which mean nothing to whoever reads the page.
    said = _MOVED_ON if isinstance(error, MoveRefused) else str(error)
    return trouble_at(request, HTTPStatus.CONFLICT, msg("That can't be done now"), said)


def _not_served(request: Request, error: HTTPException) -> Response:
    if error.status_code in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED):
        return trouble_at(
            request,
            HTTPStatus.NOT_FOUND,
            msg("There is no page here"),
            msg("The address may be mistyped, or the page has moved."),
        )
    status = HTTPStatus(error.status_code)
    return trouble_at(request, status, status.phrase, str(error.detail))


def _unexpected(request: Request, _error: Exception) -> Response:
    return trouble_at(
        request,
        HTTPStatus.INTERNAL_SERVER_ERROR,
        msg("Something went wrong on our side"),
        _ONCE_MORE_AT_THE_DESK if at_desk(request) else _ONCE_MORE,
    )


_PAGES: Mapping[type[Exception], Callable[[Request, Any], Response]] = {
    Instead: _instead,
    LeadError: _refused,
    Busy: _busy,
    TooOften: _too_often,
    HTTPException: _not_served,
    Exception: _unexpected,
}
