"""The web application over one assembly: JSON API under /v1, pages for people elsewhere."""

import asyncio
import contextlib
from collections.abc import AsyncIterator

from fastapi import FastAPI
from fastapi.middleware.cors import CORSMiddleware
from fastapi_offline import FastAPIOffline
from sqlalchemy.exc import SQLAlchemyError
from starlette.concurrency import run_in_threadpool

from service import pages
from service.api import routing
from service.api.access import KeyRing, Role
from service.api.answers import RecentAnswers
from service.api.bodies import BodyLimit
from service.api.guards import Guards
from service.api.watching import Figures, Watching
from service.assembly import Assembly
from service.config import Settings
from service.leads import stepping
from service.storage.keys import Keys
from service.storage.queue import UNSWEPT_S
from service.storage.texts import TextsInFront


def key_ring(keys: Keys) -> KeyRing:
    """Which key belongs to which role."""
    return KeyRing(
        {
            Role.BOT: keys.bot,
            Role.WORKER: keys.worker,
            Role.WEBSITE: keys.website,
            Role.OWNER: keys.owner,
            Role.METRICS: keys.metrics,
        }
    )


def create_app(settings: Settings) -> FastAPI:
    """The service: JSON API under /v1, pages for people everywhere else."""
    app = _routed(settings)
    attach(app, Assembly(settings))
    return app


def attach(app: FastAPI, assembly: Assembly) -> None:
    """Have the application serve from these parts: until now it has routes only."""
    app.state.assembly = assembly
    app.state.ports = assembly.ports
    app.state.key_ring = key_ring(assembly.keys)
    app.state.places = assembly.places
    app.state.recent_answers = RecentAnswers()
    app.state.site.state.ports = assembly.ports


def _routed(settings: Settings) -> FastAPI:
    # The documentation page comes with its own scripts: no other site is asked for them.
    app = FastAPIOffline(
        redoc_url=None,
        title="Garlandry",
        description=_ABOUT,
        version="1",
        openapi_tags=_TAGS,
        separate_input_output_schemas=False,
        lifespan=_lifespan,
    )
    app.add_middleware(
        CORSMiddleware,
        allow_origins=list(settings.origins),
        allow_methods=["GET", "POST"],
        allow_headers=["Authorization", "Content-Type", "Idempotency-Key"],
        max_age=3600,
    )
    app.add_middleware(BodyLimit)
    app.add_middleware(Guards, tls=settings.public.startswith("https://"))
    app.state.figures = Figures()
    app.add_middleware(Watching, figures=app.state.figures)
    routing.install(app)
    # Pages are an application of their own, so that their errors are pages and not JSON.
    site = FastAPI(openapi_url=None)
    pages.install(site)
    app.state.site = site
    app.mount("/", site)
    return app


@contextlib.asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    assembly: Assembly = app.state.assembly
    assembly.watch.attach()
    news = asyncio.create_task(assembly.watch.listen())
    sweeps = asyncio.create_task(_keep_sweeping(assembly))
    texts = asyncio.create_task(_keep_texts_fresh(assembly.texts))
    # The first look-up reads the postal codes in; no client should wait for it.
    postal_code = assembly.ports.price_books.current().shop.postal_code
    await run_in_threadpool(assembly.places.find, postal_code)
    try:
        yield
    finally:
        for task in (news, sweeps, texts):
            task.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await task
        assembly.engine.dispose()


async def _keep_texts_fresh(texts: TextsInFront) -> None:
    """What the owner changed at the desk may have come through another process."""
    while True:
        with contextlib.suppress(SQLAlchemyError):  # the database is away: it is not the only one
            await run_in_threadpool(texts.refresh)
        await asyncio.sleep(_TEXTS_EVERY_S)


async def _keep_sweeping(assembly: Assembly) -> None:
    """RQ's scheduler runs the sweeps; this only reminds a Redis that may have forgotten, and makes
    up for a scheduler, or a worker, that does not come by: right at the start, and whenever."""
    while True:
        await run_in_threadpool(assembly.queue.schedule_sweeps)
        if assembly.queue.unswept_s > UNSWEPT_S:
            # Where the database is away, the next look is a second from now.
            with contextlib.suppress(SQLAlchemyError):
                await run_in_threadpool(stepping.sweep, assembly.ports)
        await asyncio.sleep(_LOOK_EVERY_S)


# Much oftener than anybody sweeps.
_LOOK_EVERY_S = 1.0

# A changed text is said by every process within so many seconds.
_TEXTS_EVERY_S = 2.0

_TAGS = [
    {"name": "estimates", "description": "For a website of your own, and for anybody with a key."},
    {"name": "leads", "description": "Leaving a request and reading how far it is; the owner's."},
    {
        "name": "clients",
        "description": "What is kept of a client: as a file, or erased. The owner's.",
    },
    {"name": "money", "description": "What was paid, what is due, canceling. The owner's."},
    {"name": "calendar", "description": "Jobs by the clock, and feeds of them. The owner's."},
    {"name": "client links", "description": "What the links in a reply open. No key needed."},
    {"name": "conversations", "description": "Between bot and service."},
    {"name": "owner", "description": "The owner's own chats, between bot and service."},
    {"name": "people", "description": "The owner's helpers, and the set-ups that they see."},
    {"name": "owner's desk", "description": "What the desk does, for programs of the owner's."},
    {"name": "reminders", "description": "What the shop writes unasked: a worker's, the owner's."},
    {"name": "texts", "description": "What is said by itself, in the owner's own words."},
    {"name": "steps", "description": "Between workers and service."},
    {"name": "health", "description": "For monitoring."},
]

_ABOUT = """
Estimates, leads and bookings for a shop that builds air-filled balloon garlands.

* `POST /v1/estimates` answers a brief with materials, hours, cautions and a price range.
* `POST /v1/leads` takes a client's request; its ballpark follows within seconds.
* Signed links open the quote and the booking; they need no key.

Measures are metres, times ISO 8601, money decimal strings. Errors are RFC 9457 problem details.
"""
