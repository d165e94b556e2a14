"""All routes of the API, put on an application."""

from http import HTTPStatus

from fastapi import FastAPI, Request
from starlette.exceptions import HTTPException
from starlette.routing import compile_path

from service.api import (
    actuals,
    bookings,
    build_sheets,
    calendar,
    chores,
    clients,
    closed,
    conversations,
    days,
    describing,
    editing,
    estimates,
    export,
    figures,
    health,
    leads,
    learning,
    links,
    listing,
    metrics,
    owner,
    payments,
    people,
    photos,
    pictures,
    places,
    price_book,
    problems,
    quotes,
    reminders,
    rules,
    shopping,
    steps,
    stock,
    stuck,
    texts,
    visits,
)
from service.api.problems import Refusal


def install(app: FastAPI) -> None:
    """Add every route of the API, and problem details for every error."""
    problems.install(app)
    # Side by side: a router within a router is gone through again and again for each request.
    for router in (*(room.router for room in _ROOMS), steps.owners):
        app.include_router(router, prefix=_PREFIX)
    app.include_router(health.router)
    app.include_router(metrics.router)
    for path in (_PREFIX, f"{_PREFIX}/{{rest:path}}", *_HEALTH):
        app.add_api_route(path, _nowhere, methods=_EVERY_METHOD, include_in_schema=False)
    describing.install(app)


def _nowhere(request: Request) -> None:
    """Pages answer every other address, but a program that errs should get a problem."""
    allowed = {
        method.upper()
        for path, methods in request.app.openapi()["paths"].items()
        if compile_path(path)[0].fullmatch(request.url.path)
        for method in methods
    }
    if allowed:
        detail = f"{request.method} is not possible here. See /docs for what is."
        # By RFC 9110 this answer says what may be asked.
        headers = {"Allow": ", ".join(sorted(allowed))}
        raise HTTPException(HTTPStatus.METHOD_NOT_ALLOWED, detail, headers=headers)
    raise Refusal(HTTPStatus.NOT_FOUND, "There is nothing at this address. See /docs.")


_ROOMS = (
    *(estimates, places, leads, clients, links, conversations, photos, owner, steps, editing),
    *(stuck, pictures, listing, figures, learning, export, bookings, closed, people, price_book),
    *(reminders, texts, rules, stock, shopping, days, quotes, build_sheets, payments, calendar),
    *(actuals, chores, visits),
)

_PREFIX = "/v1"

_HEALTH = ("/healthz", "/readyz", "/metrics")

_EVERY_METHOD = [
    *("GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE", "TRACE", "QUERY"),
]
