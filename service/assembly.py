"""The parts of one service process, put together: database, keys, queue, clock, price book."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from service.clock import shop_clock, wall
from service.config import Settings
from service.leads import letting_in
from service.leads.people import OWNER_ID
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import zone_of
from service.leads.stocking import take_over
from service.storage.calibrations import CalibrationShelf
from service.storage.claiming import RedisClaims
from service.storage.database import migrate, open_engine
from service.storage.ids import fresh_id
from service.storage.keys import Keys, keys_in, read_or_make_keys
from service.storage.limiting import RedisRateLimit
from service.storage.places import Places
from service.storage.price_book import PriceBookShelf
from service.storage.queue import QUEUES, RqJobQueue, connect
from service.storage.signing import LinkSigner
from service.storage.stock import SqlStock
from service.storage.texts import TextsInFront
from service.storage.unit_of_work import SqlUnitOfWork
from service.storage.vitals import RealVitals
from service.storage.watch import ConversationWatch
from service.wording import load

_KEYS_FILE = "keys.json"


def keys_of(settings: Settings) -> Keys:
    """The API keys and link secret: from the settings or the file, made when there are none yet.

    Raises ValueError where the settings hold keys that cannot be read.
    """
    if settings.keys is not None:
        return keys_in(settings.keys.get_secret_value())
    return read_or_make_keys(keys_file_of(settings))


def keys_file_of(settings: Settings) -> Path:
    """Where the keys are kept."""
    return settings.keys_file or settings.data / _KEYS_FILE


def prepare(settings: Settings) -> None:
    """Make the data folder, the keys and the tables, and read the price book. Repeatable.

    The price book's stock becomes the first count of what is on hand.

    Raises BookError where there is no price book yet that anybody can read: a shop should not
    open without prices.
    """
    settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
    keys_of(settings)
    engine = open_engine(settings.database)
    try:
        migrate(engine)
        book = _price_books(settings, engine).current()
        with engine.begin() as connection:
            now = shop_clock(settings.reference_date, zone_of(book))()
            take_over(SqlStock(connection), book, now=now)
    finally:
        engine.dispose()


def _price_books(settings: Settings, engine: Engine) -> PriceBookShelf:
    def now(zone: ZoneInfo) -> datetime:
        return shop_clock(settings.reference_date, zone)()

    return PriceBookShelf(engine, settings.price_book, now=now)


class Assembly:
    """Everything of one service process: the engine, the queue, the ports over them."""

    def __init__(self, settings: Settings) -> None:
        self.engine: Engine = open_engine(settings.database)
        self.keys = keys_of(settings)
        self.watch = ConversationWatch(settings.redis_url)
        self.texts = TextsInFront(self.engine)
        self.places = Places()
        self.calibrations = CalibrationShelf(self.engine)
        books = _price_books(settings, self.engine)
        clock = shop_clock(settings.reference_date, zone_of(books.current()))
        redis = connect(settings.redis_url)
        self.queue = RqJobQueue(redis, clock=clock, wall=wall)
        self.ports = Ports(
            work=lambda: self._unit(clock),
            read=lambda: self._unit(clock, reading=True),
            passing=lambda: self._unit(clock, passing=True),
            price_books=books,
            calibrations=self.calibrations,
            queue=self.queue,
            signer=LinkSigner(self.keys.links),
            watch=self.watch,
            claims=RedisClaims(redis),
            limits=RedisRateLimit(settings.redis_url),
            vitals=RealVitals(
                self.engine,
                redis,
                queues=QUEUES,
                keys_file=keys_file_of(settings),
                data=settings.data,
                wall=wall,
            ),
            places=self.places,
            wording=self.texts.in_front_of(load(settings.wording)),
            clock=clock,
            new_id=fresh_id,
            public_url=settings.public,
            chat_url=settings.chat_url,
            website_origins=settings.origins,
            telegram_bot=settings.telegram_bot,
        )

    def _unit(
        self, clock: Callable[[], datetime], *, reading: bool = False, passing: bool = False
    ) -> UnitOfWork:
        return SqlUnitOfWork(
            self.engine,
            reading=reading,
            passing=passing,
            clock=clock,
            queue_steps=self.queue.enqueue,
            wake=self.watch.wake,
            texts_changed=self.texts.refresh,
            calibrations_changed=self.calibrations.refresh,
        )


def welcome_link(settings: Settings) -> str | None:
    """A one-time address where the owner chooses a password; None when there is one."""
    with Assembly(settings).ports.read() as work:
        if work.people.password_hash(OWNER_ID) is not None:
            return None
    return owner_link(settings)


def owner_link(settings: Settings) -> str:
    """A one-time address where the owner chooses a password; until then the old one stays good."""
    ports = Assembly(settings).ports
    with ports.work() as work:
        welcome = letting_in.owner_link(work, ports, now=ports.clock())
        work.commit()
    return welcome.url
