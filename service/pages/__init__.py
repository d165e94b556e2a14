"""Server-rendered pages: front, website form, request, quote, booking, and the owner's desk."""

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from service.pages import bookings, desk, form, front, quotes, requests, trouble
from service.pages.templates import STATIC


def install(app: FastAPI) -> None:
    """Add the pages to `app`, whose `state.ports` they use.

    To be called after the API's own error handlers are in place: what is not asked for by a
    browser is left to them.
    """
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for room in (front, form, requests, quotes, bookings, desk):
        app.include_router(room.router, include_in_schema=False)
    trouble.install(app)
