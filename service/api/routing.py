"""All routes of the API, put on an application."""

from http import HTTPStatus

from fastapi import APIRouter, FastAPI, Request
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
    editing,
    estimates,
    export,
    figures,
    health,
    leads,
    learning,
    links,
    listing,
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
    texts,
)
from service.api.access import REFUSALS
from service.api.problems import Refusal


def install(app: FastAPI) -> None:
    """Add every route of the API, and problem details for every error."""
    problems.install(app)
    versioned = APIRouter(prefix="/v1")
    for room in (estimates, places, leads, clients, links, conversations, photos, owner, steps):
        versioned.include_router(room.router, responses=REFUSALS)
    versioned.include_router(editing.router, responses=REFUSALS)
    versioned.include_router(pictures.router, responses=REFUSALS)
    versioned.include_router(listing.router, responses=REFUSALS)
    versioned.include_router(figures.router, responses=REFUSALS)
    versioned.include_router(learning.router, responses=REFUSALS)
    versioned.include_router(export.router, responses=REFUSALS)
    versioned.include_router(bookings.router, responses=REFUSALS)
    versioned.include_router(closed.router, responses=REFUSALS)
    versioned.include_router(people.router, responses=REFUSALS)
    versioned.include_router(price_book.router, responses=REFUSALS)
    versioned.include_router(steps.owners, responses=REFUSALS)
    versioned.include_router(reminders.router, responses=REFUSALS)
    versioned.include_router(texts.router, responses=REFUSALS)
    versioned.include_router(rules.router, responses=REFUSALS)
    versioned.include_router(stock.router, responses=REFUSALS)
    versioned.include_router(shopping.router, responses=REFUSALS)
    versioned.include_router(days.router, responses=REFUSALS)
    versioned.include_router(quotes.router, responses=REFUSALS)
    versioned.include_router(build_sheets.router, responses=REFUSALS)
    for room in (payments, calendar, actuals, chores):
        versioned.include_router(room.router, responses=REFUSALS)
    app.include_router(versioned)
    for path in ("/v1", "/v1/{rest:path}"):
        app.add_api_route(path, _nowhere, methods=_EVERY_METHOD, include_in_schema=False)
    app.include_router(health.router)


def _nowhere(request: Request) -> None:
    """Pages answer every other address, but a program that errs should get a problem."""
    known = any(
        compile_path(path)[0].fullmatch(request.url.path) for path in request.app.openapi()["paths"]
    )
    if known:
        detail = f"{request.method} is not possible here. See /docs for what is."
        raise Refusal(HTTPStatus.METHOD_NOT_ALLOWED, detail)
    raise Refusal(HTTPStatus.NOT_FOUND, "There is nothing at this address. See /docs.")


_EVERY_METHOD = ["GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE"]
