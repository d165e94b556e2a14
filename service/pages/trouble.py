"""What a browser is shown when a page cannot be."""

from collections.abc import Awaitable, Callable, Coroutine
from http import HTTPStatus
from typing import Any, TypeAlias

from fastapi import FastAPI, Request
from fastapi.responses import PlainTextResponse, Response
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException

from service.leads.lead import LeadError, LinkExpired, NotFound
from service.pages.visit import Instead, Visit, visit_of

_Handler: TypeAlias = Callable[[Request, Any], Response | Awaitable[Response]]


class PageRoute(APIRoute):
    """A route for people: what is refused is explained on a page."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The route's handler, with refusals turned into pages."""
        handle = super().get_route_handler()

        async def handle_kindly(request: Request) -> Response:
            try:
                return await handle(request)
            except Instead as instead:
                return instead.response
            except LeadError as error:
                return _refused(visit_of(request), error)

        return handle_kindly


def install(app: FastAPI) -> None:
    """Show pages for unknown addresses and for faults of ours; others are answered as before."""
    for kind, answer in ((HTTPException, _not_served), (Exception, _fault)):
        app.add_exception_handler(kind, _for_people(answer, app.exception_handlers.get(kind)))


def _for_people(
    answer: Callable[[Visit, Any], Response], before: _Handler | None
) -> Callable[[Request, Exception], Awaitable[Response]]:
    async def handler(request: Request, error: Exception) -> Response:
        if _is_person(request):
            return answer(visit_of(request), error)
        if before is None:
            return PlainTextResponse("Something went wrong.", HTTPStatus.INTERNAL_SERVER_ERROR)
        answered = before(request, error)
        return answered if isinstance(answered, Response) else await answered

    return handler


def _is_person(request: Request) -> bool:
    route = request.scope.get("route")
    if route is not None:
        return isinstance(route, PageRoute)
    return "text/html" in request.headers.get("accept", "")


def _refused(visit: Visit, error: LeadError) -> Response:
    if isinstance(error, LinkExpired):
        return visit.trouble(
            HTTPStatus.GONE,
            "This link has run out",
            "Prices and set-up times stand for a while only, so links to them end too.",
            "Write to us and you'll have a fresh price in a minute; nothing you told us is lost.",
        )
    if isinstance(error, NotFound):
        return visit.trouble(
            HTTPStatus.NOT_FOUND,
            "This link doesn't lead anywhere",
            "A letter may have gone missing on the way. Open it again from the message we sent "
            "you, or copy the whole address.",
        )
    return visit.trouble(HTTPStatus.CONFLICT, "That can't be done now", str(error))


def _not_served(visit: Visit, error: HTTPException) -> Response:
    if error.status_code in (HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED):
        return visit.trouble(
            HTTPStatus.NOT_FOUND,
            "There is no page here",
            "The address may be mistyped, or the page has moved.",
        )
    status = HTTPStatus(error.status_code)
    return visit.trouble(status, status.phrase, str(error.detail))


def _fault(visit: Visit, _error: Exception) -> Response:
    return visit.trouble(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "Something went wrong on our side",
        "Please go back and try once more in a moment. If it happens again, write to us and say "
        "what you were doing.",
    )
