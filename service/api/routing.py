"""All routes of the API, put on an application."""

from http import HTTPStatus

from fastapi import APIRouter, FastAPI

from service.api import conversations, estimates, health, leads, links, problems, steps
from service.api.problems import Refusal


def install(app: FastAPI) -> None:
    """Add every route of the API, and problem details for every error."""
    problems.install(app)
    versioned = APIRouter(prefix="/v1")
    for room in (estimates, leads, links, conversations, steps):
        versioned.include_router(room.router)
    versioned.add_api_route(
        "/{rest:path}", _nowhere, methods=["GET", "POST", "PUT", "DELETE"], include_in_schema=False
    )
    app.include_router(versioned)
    app.include_router(health.router)


def _nowhere(rest: str) -> None:
    """Pages answer every other address, but a program that errs should get a problem."""
    raise Refusal(HTTPStatus.NOT_FOUND, f"There is nothing at /v1/{rest}. See /docs.")
