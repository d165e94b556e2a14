"""Server-rendered pages: front, website form, request, quote, booking, and the owner's desk."""

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from service.pages import (
    bookings,
    calendars,
    desk,
    form,
    front,
    notice,
    pictures,
    quotes,
    requests,
    stopping,
    trouble,
)
from service.pages.templates import STATIC


def install(app: FastAPI) -> None:
    """Add the pages to an application of their own, whose `state.ports` they use.

    Its errors are shown as pages, so nothing else should be served by the same application.
    """
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for room in (
        front,
        form,
        notice,
        requests,
        quotes,
        pictures,
        calendars,
        bookings,
        stopping,
        desk,
    ):
        app.include_router(room.router)
    trouble.install(app)
