"""All routes of the API, put on an application."""

from fastapi import APIRouter, FastAPI

from service.api import conversations, estimates, health, leads, links, problems, steps


def install(app: FastAPI) -> None:
    """Add every route of the API, and problem details for every error."""
    problems.install(app)
    versioned = APIRouter(prefix="/v1")
    for room in (estimates, leads, links, conversations, steps):
        versioned.include_router(room.router)
    app.include_router(versioned)
    app.include_router(health.router)
