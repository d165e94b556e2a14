"""The one place where the service is put together."""

import asyncio
import contextlib
import logging
from collections.abc import AsyncIterator, Callable
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from fastapi import FastAPI
from fastapi.middleware.cors import CORSMiddleware
from sqlalchemy import Engine
from starlette.concurrency import run_in_threadpool

from service import pages
from service.api import routing
from service.api.access import KeyRing, Role
from service.clock import shop_clock, wall
from service.config import Settings
from service.leads.handling import WELCOME_LINK
from service.leads.ports import Ports, UnitOfWork
from service.storage.database import migrate, open_engine
from service.storage.ids import fresh_id
from service.storage.keys import Keys, read_or_make_keys
from service.storage.places import Places
from service.storage.price_book_file import PriceBookFile
from service.storage.queue import SWEEP_EVERY, RqJobQueue, connect
from service.storage.signing import LinkSigner
from service.storage.unit_of_work import SqlUnitOfWork
from service.storage.watch import ConversationWatch

log = logging.getLogger(__name__)

KEYS_FILE = "keys.json"


def keys_of(settings: Settings) -> Keys:
    """The API keys and link secret, made when there are none yet."""
    return read_or_make_keys(settings.data / KEYS_FILE)


def prepare(settings: Settings) -> None:
    """Make the data folder, the keys and the tables. Safe to repeat."""
    settings.data.mkdir(parents=True, exist_ok=True)
    keys_of(settings)
    engine = open_engine(settings.database)
    migrate(engine)
    engine.dispose()


class Assembly:
    """Everything of one service process: the engine, the queue, the ports over them."""

    def __init__(self, settings: Settings) -> None:
        self.engine: Engine = open_engine(settings.database)
        self.keys = keys_of(settings)
        self.watch = ConversationWatch()
        books = PriceBookFile(settings.price_book)
        clock = shop_clock(settings.reference_date, ZoneInfo(books.current().shop.time_zone))
        self.queue = RqJobQueue(connect(settings.redis_url), clock=clock, wall=wall)
        self.ports = Ports(
            work=lambda: self._unit(clock, reading=False),
            read=lambda: self._unit(clock, reading=True),
            price_books=books,
            queue=self.queue,
            signer=LinkSigner(self.keys.links),
            watch=self.watch,
            clock=clock,
            new_id=fresh_id,
            public_url=settings.public,
            chat_url=settings.chat_url,
            website_origins=settings.origins,
        )

    def key_ring(self) -> KeyRing:
        """Which key belongs to which role."""
        return KeyRing(
            {
                Role.BOT: self.keys.bot,
                Role.WORKER: self.keys.worker,
                Role.WEBSITE: self.keys.website,
                Role.OWNER: self.keys.owner,
            }
        )

    def _unit(self, clock: Callable[[], datetime], *, reading: bool) -> UnitOfWork:
        return SqlUnitOfWork(
            self.engine,
            reading=reading,
            clock=clock,
            queue_steps=self.queue.enqueue,
            wake=self.watch.wake,
        )


def create_app(settings: Settings) -> FastAPI:
    """The service: JSON API under /v1, pages for people everywhere else."""
    assembly = Assembly(settings)
    app = FastAPI(
        title="Garlandry",
        description=_ABOUT,
        version="1",
        separate_input_output_schemas=False,
        lifespan=lambda _app: _lifespan(assembly),
    )
    app.state.ports = assembly.ports
    app.state.key_ring = assembly.key_ring()
    app.state.places = Places()
    app.add_middleware(
        CORSMiddleware,
        allow_origins=list(settings.origins),
        allow_methods=["GET", "POST"],
        allow_headers=["Authorization", "Content-Type", "Idempotency-Key"],
        max_age=3600,
    )
    routing.install(app)
    # Pages are an application of their own, so that their errors are pages and not JSON.
    site = FastAPI(openapi_url=None)
    site.state.ports = assembly.ports
    pages.install(site)
    app.mount("/", site)
    return app


@contextlib.asynccontextmanager
async def _lifespan(assembly: Assembly) -> AsyncIterator[None]:
    assembly.watch.attach()
    sweeps = asyncio.create_task(_keep_sweeps_scheduled(assembly.queue))
    try:
        yield
    finally:
        sweeps.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await sweeps
        assembly.engine.dispose()


async def _keep_sweeps_scheduled(queue: RqJobQueue) -> None:
    """RQ's scheduler runs the sweeps; this only reminds a Redis that may have forgotten."""
    while True:
        await run_in_threadpool(queue.schedule_sweeps)
        await asyncio.sleep(SWEEP_EVERY.total_seconds())


_ABOUT = """
Estimates, leads and bookings for a shop that builds air-filled balloon garlands.

* `POST /v1/estimates` answers a brief with materials, hours, cautions and a price range.
* `POST /v1/leads` takes a client's request; its ballpark follows within seconds.
* Signed links open the quote and the booking; they need no key.

Measures are metres, times ISO 8601, money decimal strings. Errors are RFC 9457 problem details.
"""


def welcome_link(settings: Settings, *, lasts: timedelta = timedelta(days=1)) -> str | None:
    """A one-time address where the owner chooses a password; None when there is one."""
    ports = Assembly(settings).ports
    with ports.work() as work:
        if work.owners.password_hash() is not None:
            return None
        expires_at = ports.clock() + lasts
        link = work.links.add(purpose=WELCOME_LINK, subject_id="owner", expires_at=expires_at)
        work.commit()
    return f"{ports.public_url}/desk/welcome/{ports.signer.sign(link, purpose=WELCOME_LINK)}"
