"""What a browser is shown when a page cannot be."""

from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from service.leads.lead import LeadError, LinkExpired, NotFound
from service.pages.visit import Instead, visit_of


def install(app: FastAPI) -> None:
    """Explain every error of the pages on a page."""

    @app.exception_handler(Instead)
    def instead(_request: Request, error: Instead) -> Response:
        return error.response

    @app.exception_handler(LeadError)
    def refused(request: Request, error: LeadError) -> Response:
        return _refused(request, error)

    @app.exception_handler(HTTPException)
    def not_served(request: Request, error: HTTPException) -> Response:
        return _not_served(request, error)

    @app.exception_handler(Exception)
    def unexpected(request: Request, _error: Exception) -> Response:
        return visit_of(request).trouble(
            HTTPStatus.INTERNAL_SERVER_ERROR,
            "Something went wrong on our side",
            "Please go back and try once more in a moment. If it happens again, write to us and "
            "say what you were doing.",
        )


def _refused(request: Request, error: LeadError) -> Response:
    visit = visit_of(request)
    if isinstance(error, LinkExpired):
        return visit.trouble(
            HTTPStatus.GONE,
            "This link has run out",
            "Prices and set-up times stand for a while only, so the links to them end too.",
            "Ask once more and you'll have a fresh price in a minute.",
        )
    if isinstance(error, NotFound):
        return visit.trouble(
            HTTPStatus.NOT_FOUND,
            "This link doesn't lead anywhere",
            "A letter may have gone missing on the way. Open it again from the message we sent "
            "you, or copy the whole address.",
        )
    return visit.trouble(HTTPStatus.CONFLICT, "That can't be done now", str(error))


def _not_served(request: Request, error: HTTPException) -> Response:
    visit = visit_of(request)
    if error.status_code in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED):
        return visit.trouble(
            HTTPStatus.NOT_FOUND,
            "There is no page here",
            "The address may be mistyped, or the page has moved.",
        )
    status = HTTPStatus(error.status_code)
    return visit.trouble(status, status.phrase, str(error.detail))
