"""The application as it is served, over SQLite, with two clients, the owner and a helper."""

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

import httpx
from argon2 import PasswordHasher
from fastapi import FastAPI

from service.app import create_app
from service.assembly import keys_of
from service.config import Settings
from service.estimating import Event
from service.leads import booking, handling, letting_in
from service.leads.follow_up.stopping import STOP_LINK
from service.leads.handling import BOOKING_LINK, QUOTE_LINK, STATUS_LINK, WELCOME_LINK
from service.leads.lead import Client
from service.leads.messages import Message
from service.leads.people import OWNER_ID
from tests.service.building import PUBLIC_URL, BuiltShop, a_brief, build_shop
from tests.service.placing import Caller

JPEG = b"\xff\xd8\xff\xe0 a boathouse at dusk"
OWN, ANOTHER = "own", "another"

Route = tuple[str, str]


@dataclass
class Objects:
    """What a client has: what paths name, and links by their purpose."""

    named: dict[str, str]
    links: dict[str, str]
    marks: tuple[str, ...]


@dataclass
class Served:
    """The application, its callers and what they may ask about."""

    app: FastAPI
    shop: BuiltShop
    database: Path
    keys: Mapping[str, str]
    objects: Mapping[str, Objects]
    sessions: Mapping[Caller, str]
    csrf: Mapping[Caller, str]
    own_keys: Mapping[Caller, str]
    snapshot: sqlite3.Connection = field(init=False)
    watching: sqlite3.Connection = field(init=False)
    faults: dict[Route, list[str]] = field(default_factory=dict)
    looked: dict[Route, httpx.Response] = field(default_factory=dict)
    asked: int = 0

    def __post_init__(self) -> None:
        self.snapshot = sqlite3.connect(":memory:", check_same_thread=False)
        # Its data version tells whether anybody else has written.
        self.watching = sqlite3.connect(self.database, check_same_thread=False)
        self.watching.backup(self.snapshot)

    def close(self) -> None:
        """Let go of the database."""
        self.watching.close()
        self.snapshot.close()
        self.shop.engine.dispose()

    def undo(self) -> None:
        """Put everything back."""
        with sqlite3.connect(self.database) as now:
            now.execute("PRAGMA synchronous=OFF")
            self.snapshot.backup(now)

    def writes(self) -> int:
        """Another number when anything was written since."""
        return int(self.watching.execute("PRAGMA data_version").fetchone()[0])

    def changed(self) -> set[str]:
        """Tables with a row that is not as before, but for when sessions were last seen."""
        rows = set(self.watching.iterdump()) ^ set(self.snapshot.iterdump())
        tables = {row.split('"')[1] for row in rows if row.startswith("INSERT")}
        return tables - {"desk_sessions"}


def a_client(shop: BuiltShop, name: str, day: date, chat: str) -> Objects:
    """A client with a request, its price, a held date, a photo and a message."""
    lead = shop.quoted(
        a_brief(event=replace(a_brief().event, date=day)),
        client=Client(name=name, phone="+1 617 555 0199"),
        channel="webchat",
        chat_id=chat,
    )
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book = shop.price_books.current()
        (first, *_) = booking.offered(work, lead, quote, book, day=day, now=shop.now)
        hold = booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=first.starts_at,
            client=Client(name=name, phone="+1 617 555 0199"),
            now=shop.now,
        )
        work.chats.keep_photo(f"photo-{chat}", "webchat", chat, JPEG, now=shop.now)
        said = work.chats.say("webchat", chat, Message(kind="say", text="Hello"), now=shop.now)
        status = handling.open_status(work, shop.ports, lead.id, now=shop.now)
        number = work.chats.attention("webchat", chat).conversation_id
        helper = letting_in.invite(work, shop.ports, f"Helper {name}", now=shop.now)
        reminder = work.reminders.of_lead(lead.id)[0]
        work.commit()
    quote_path, booking_path = shop.paths(lead)
    return Objects(
        named={
            "lead_id": lead.id,
            "hold_id": hold.id,
            "channel": "webchat",
            "chat_id": chat,
            "photo_id": f"photo-{chat}",
            "message_id": said.id,
            "number": str(number),
            "person_id": helper.person.id,
            "quote_number": quote.number,
            "version": book.version,
            "reminder_id": reminder.id,
        },
        links={
            QUOTE_LINK: quote_path.rpartition("/")[2],
            BOOKING_LINK: booking_path.rpartition("/")[2],
            STATUS_LINK: status.rpartition("/")[2],
            STOP_LINK: shop.link(STOP_LINK, lead.id),
            WELCOME_LINK: helper.url.rpartition("/")[2],
        },
        marks=(lead.number, name, f"photo-{chat}"),
    )


def signed_in(shop: BuiltShop, person_id: str, session_id: str) -> tuple[str, str]:
    """A session's token for forms, and its key."""
    with shop.ports.work() as work:
        work.people.open_session(
            session_id, person_id, csrf=f"form of {session_id}", device="", now=shop.now
        )
        session = work.people.session(session_id, shop.now)
        work.commit()
    assert session is not None
    return session.csrf, session.key


def make(folder: Path) -> Served:
    """The shop with two clients, the owner and a helper signed in, and the application over it."""
    shop = build_shop(folder)
    own = a_client(shop, "Nora", date(2027, 1, 24), OWN)
    another = a_client(shop, "Quentin", date(2027, 1, 31), ANOTHER)
    waits = shop.take_lead(a_brief(event=Event()))
    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    with shop.ports.work() as work:
        (step,) = (s for s in work.outbox.due(shop.now, limit=9) if s.subject_id == waits.id)
        helper = letting_in.invite(work, shop.ports, "Sam", now=shop.now).person
        for person_id in (OWNER_ID, helper.id):
            work.people.set_password_hash(person_id, cheap.hash("air by the river"), shop.now)
        work.commit()
    for each in (own, another):
        each.named["step_id"] = step.id
    who = {Caller.HELPER: helper.id, Caller.OWNER: OWNER_ID, Caller.STALE: OWNER_ID}
    opened = {each: signed_in(shop, who[each], f"session of {each}") for each in who}
    settings = Settings(
        data=folder,
        database_url=f"sqlite:///{folder / 'shop.sqlite'}",
        # Nothing listens on the discard port.
        redis_url="redis://127.0.0.1:9/0",
        reference_date=date(2027, 1, 10),
        public_url=PUBLIC_URL,
    )
    keys = keys_of(settings).model_dump() | {"links": "a secret for tests only"}
    (folder / "keys.json").write_text(json.dumps(keys))
    return Served(
        app=create_app(settings),
        shop=shop,
        database=folder / "shop.sqlite",
        keys=keys,
        objects={OWN: own, ANOTHER: another},
        sessions={each: f"session of {each}" for each in who},
        csrf={each: csrf for each, (csrf, _) in opened.items()}
        | {Caller.STALE: "of a session that is over"},
        own_keys={each: key for each, (_, key) in opened.items()},
    )
