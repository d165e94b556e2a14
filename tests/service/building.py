"""A whole shop behind its ports: real SQLite, real price book, real estimates, a queue that waits.

Tests move the shop's clock and play the worker by hand, so that nothing happens by itself.
"""

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from service.clock import wall
from service.estimating import (
    Brief,
    ColourShare,
    Estimate,
    Event,
    Piece,
    Setting,
    Shop,
    Site,
    Support,
    estimate,
)
from service.leads import addresses, handling, quoting, stepping
from service.leads.lead import Client, Lead
from service.leads.ports import News, Ports, RateLimit, UnitOfWork
from service.leads.steps import Step, StepKind
from service.leads.stocking import take_over
from service.storage.calibrations import CalibrationShelf
from service.storage.database import migrate, open_engine
from service.storage.ids import fresh_id
from service.storage.limiting import RedisRateLimit
from service.storage.price_book import PriceBookShelf
from service.storage.queue import QUEUES, connect
from service.storage.signing import LinkSigner
from service.storage.stock import SqlStock
from service.storage.texts import TextsInFront
from service.storage.unit_of_work import SqlUnitOfWork
from service.storage.vitals import RealVitals
from service.wording import load

PRICE_BOOK = Path(__file__).parents[2] / "deploy" / "price_book.yaml"
NOON = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)
PUBLIC_URL = "https://garlands.example"
CHAT_URL = "https://chat.garlands.example"
WEBSITE = "https://rowing.example"


class WaitingQueue:
    """`JobQueue` whose steps nobody takes; they stand in plain sight."""

    def __init__(self) -> None:
        self.steps: list[Step] = []

    def enqueue(self, steps: Sequence[Step]) -> bool:
        self.steps.extend(steps)
        return True

    def bring_back(self, steps: Iterable[Step]) -> int:
        found = list(steps)
        self.steps.extend(found)
        return len(found)


class NoNews:
    """`Watch` for tests in which nobody waits."""

    closing = False

    def news(self, channel: str, chat_id: str) -> AbstractContextManager[News]:  # noqa: ARG002
        return nullcontext(self)

    async def come(self, *, within: timedelta) -> None:  # noqa: ARG002
        return


class Unclaimed:
    """`Claims` for tests with one bot."""

    def claim(self, channel: str, chat_id: str, holder: str) -> bool:  # noqa: ARG002
        return True

    def let_go(self, channel: str, chat_id: str, holder: str) -> None:  # noqa: ARG002
        return


@dataclass(frozen=True)
class InTown:
    """`Places` in which every postal code is the shop's own, and no town has a name."""

    shop: Shop

    def find(self, postal_code: str) -> Shop:  # noqa: ARG002
        return self.shop

    def find_town(self, words: str, *, near: Shop) -> None:  # noqa: ARG002
        return


@dataclass
class BuiltShop:
    """The ports with everything behind them. `now` is the shop's clock; move it freely."""

    engine: Engine
    price_book: Path = PRICE_BOOK
    now: datetime = NOON
    queue: WaitingQueue = field(default_factory=WaitingQueue)
    woken: list[tuple[str, str]] = field(default_factory=list)
    # Nothing listens on the discard port: limits are kept in memory.
    limits: RateLimit = field(default_factory=lambda: RedisRateLimit("redis://127.0.0.1:9/0"))

    def __post_init__(self) -> None:
        self.texts = TextsInFront(self.engine)
        self.calibrations = CalibrationShelf(self.engine)
        self.price_books = PriceBookShelf(self.engine, self.price_book, now=lambda _: self.now)
        self.ports = Ports(
            work=self._unit,
            read=lambda: self._unit(reading=True),
            passing=lambda: self._unit(passing=True),
            price_books=self.price_books,
            calibrations=self.calibrations,
            queue=self.queue,
            signer=LinkSigner("a secret for tests only"),
            watch=NoNews(),
            claims=Unclaimed(),
            limits=self.limits,
            vitals=RealVitals(
                self.engine,
                # Nothing listens on the discard port.
                connect("redis://127.0.0.1:9/0"),
                queues=QUEUES,
                keys_file=None,
                data=self.price_book.parent,
                wall=wall,
            ),
            places=InTown(self.price_books.current().shop),
            wording=self.texts.in_front_of(load(None)),
            clock=lambda: self.now,
            new_id=fresh_id,
            public_url=PUBLIC_URL,
            chat_url=CHAT_URL,
            website_origins=(WEBSITE,),
        )

    def take_lead(self, brief: Brief, **details: Any) -> Lead:
        """A lead that has just come in; through the website form unless told otherwise."""
        taken: dict[str, Any] = {
            "lead_id": fresh_id(),
            "client": Client(),
            "channel": "form",
            "chat_id": None,
            "language": "en",
            "now": self.now,
        } | details
        with self.ports.work() as work:
            lead = handling.take_lead(work, brief=brief, **taken)
            work.commit()
        return lead

    def work_off(self) -> None:
        """Play the worker: answer every owed quoting step with its real estimate."""
        with self.ports.read() as work:
            owed = work.outbox.due(self.now, limit=50)
        for step in owed:
            if step.kind is StepKind.QUOTE:
                self._answer(step)

    def quoted(self, brief: Brief, **details: Any) -> Lead:
        """A lead that the worker has been through: quoted, or in review."""
        lead = self.take_lead(brief, **details)
        self.work_off()
        return self.lead(lead.id)

    def send_firm(self, lead: Lead, price: Decimal | None = None, **details: Any) -> None:
        """The owner sends a firm price: the one that stands, or another."""
        usual: dict[str, Any] = {"basis_number": None, "reason": None, "text": None}
        with self.ports.work() as work:
            handling.send_firm(
                work,
                self.ports,
                lead_id=lead.id,
                price=price,
                now=self.now,
                **(usual | details),
            )
            work.commit()

    def lead(self, lead_id: str) -> Lead:
        """The lead as it stands."""
        with self.ports.read() as work:
            return work.leads.get(lead_id)

    def paths(self, lead: Lead) -> tuple[str, str]:
        """The paths of a lead's quote page and booking page."""
        with self.ports.read() as work:
            quote_url, booking_url = addresses.of_lead(work, self.ports, lead.id)
        return quote_url.removeprefix(PUBLIC_URL), booking_url.removeprefix(PUBLIC_URL)

    def link(self, purpose: str, subject_id: str, lasts: timedelta = timedelta(days=1)) -> str:
        """The token of a fresh link."""
        with self.ports.work() as work:
            link_id = work.links.add(
                purpose=purpose, subject_id=subject_id, expires_at=self.now + lasts
            )
            work.commit()
        return self.ports.signer.sign(link_id, purpose=purpose)

    def _answer(self, step: Step) -> None:
        with self.ports.work() as work:
            leased = stepping.lease(work, step.id, self.now)
            brief = work.leads.get(step.subject_id).brief
            quoting.finish_quote(
                work,
                self.ports,
                lead_id=step.subject_id,
                step_id=step.id,
                fence=leased.fence,
                estimate=self.estimate(brief),
                now=self.now,
            )
            work.commit()

    def estimate(self, brief: Brief) -> Estimate:
        """What the estimator says of a brief today, its site in town."""
        book = self.price_books.current()
        if brief.site.postal_code:
            site = replace(brief.site, latitude=book.shop.latitude, longitude=book.shop.longitude)
            brief = replace(brief, site=site)
        today = self.now.astimezone(ZoneInfo(book.shop.time_zone)).date()
        return estimate(brief, book, self.calibrations.current(), today=today)

    def _unit(self, *, reading: bool = False, passing: bool = False) -> UnitOfWork:
        return SqlUnitOfWork(
            self.engine,
            reading=reading,
            passing=passing,
            clock=lambda: self.now,
            queue_steps=self.queue.enqueue,
            wake=lambda channel, chat_id: self.woken.append((channel, chat_id)),
            texts_changed=self.texts.refresh,
            calibrations_changed=self.calibrations.refresh,
        )


def build_shop(folder: Path, *, price_book: Path = PRICE_BOOK) -> BuiltShop:
    """A shop over an empty SQLite database in `folder`."""
    database = folder / "shop.sqlite"
    database.write_bytes(empty_database())
    shop = BuiltShop(engine=open_engine(f"sqlite:///{database}"), price_book=price_book)
    with shop.engine.begin() as connection:
        take_over(SqlStock(connection), shop.price_books.current(), now=NOON)
    return shop


@cache
def empty_database() -> bytes:
    """Migrated once: a test that is not about migrations need not wait for them."""
    with TemporaryDirectory() as folder:
        database = Path(folder) / "empty.sqlite"
        engine = open_engine(f"sqlite:///{database}")
        migrate(engine)
        engine.dispose()
        return database.read_bytes()


def a_piece(**measures: Any) -> Piece:
    """A round-top frame, 4 ft wide and 7 ft tall, unless told otherwise."""
    usual: dict[str, Any] = {
        "support": Support.ROUND_TOP_FRAME,
        "width_m": 1.2192,
        "height_m": 2.1336,
    }
    return Piece(**(measures or usual))


def a_brief(**parts: Any) -> Brief:
    """The rowing club's anniversary: one frame, indoors, on a Sunday in June."""
    usual: dict[str, Any] = {
        "pieces": (a_piece(),),
        "palette": tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold")),
        "event": Event(occasion="anniversary", date=date(2027, 6, 6), start_time=time(15)),
        "site": Site(setting=Setting.INDOOR, place="boathouse hall", postal_code="02472"),
    }
    return Brief(**(usual | parts))
