"""Every route is asked as every caller, about their own and about another's things.

The application stands over SQLite, as it is served. What a caller who was let in has changed is
undone before the next one asks.
"""

import asyncio
import json
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path

import httpx
import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts
from starlette.routing import BaseRoute, Mount

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
from tests.service.access_table import FILES, ROUTES, UNPLACED
from tests.service.building import PUBLIC_URL, BuiltShop, a_brief, build_shop
from tests.service.placing import KEYS, SESSIONS, Caller, Outcome, Placement

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
    faults: dict[Route, list[str]] = field(default_factory=dict)
    asked: int = 0

    @cached_property
    def snapshot(self) -> sqlite3.Connection:
        """The database as it is before anybody asks."""
        copy = sqlite3.connect(":memory:", check_same_thread=False)
        with sqlite3.connect(self.database) as now:
            now.backup(copy)
        return copy

    def undo(self) -> None:
        """Put everything back."""
        with sqlite3.connect(self.database) as now:
            now.execute("PRAGMA synchronous=OFF")
            self.snapshot.backup(now)

    @cached_property
    def watching(self) -> sqlite3.Connection:
        """Tells, by its data version, whether anybody has written."""
        return sqlite3.connect(self.database, check_same_thread=False)

    def writes(self) -> int:
        """Another number when anything was written since."""
        return int(self.watching.execute("PRAGMA data_version").fetchone()[0])

    def differs(self) -> bool:
        """Whether any row differs from before, but for when sessions were last seen."""
        return _rows(self.watching) != _rows(self.snapshot)


def _rows(database: sqlite3.Connection) -> list[str]:
    return [line for line in database.iterdump() if 'INTO "desk_sessions"' not in line]


# Making the shop


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


# Asking


def address(served: Served, caller: Caller, path: str, place: Placement, whose: str) -> str:
    """The path as this caller can know it."""
    objects = served.objects[whose]
    values = dict(objects.named) | {"key": served.own_keys.get(caller, "made-up")}
    if place.purpose:
        right = objects.links[place.purpose]
        elsewhere = next(each for each in objects.links if each != place.purpose)
        shown = {Caller.OWN_LINK: right, Caller.OTHER_LINK: objects.links[elsewhere]}
        # Others have seen a link over somebody's shoulder, but for its last letter.
        values["token"] = shown.get(caller, right[:-1] + ("a" if right[-1] != "a" else "b"))
    values |= {name: said.format(**values) for name, said in place.names.items()}
    for name in _parameters(path):
        path = path.replace("{" + name + "}", values.get(name, "made-up"))
    return f"{path}?{place.query}" if place.query else path


def _parameters(path: str) -> list[str]:
    return [part.split("}")[0] for part in path.split("{")[1:]]


def shows(served: Served, caller: Caller) -> dict[str, str]:
    """The headers by which a caller is known."""
    if caller in KEYS:
        role = "owner" if caller is Caller.OWNER_KEY else caller.name.lower()
        return {"Authorization": f"Bearer {served.keys[role]}"}
    if caller in SESSIONS:
        return {"Cookie": f'desk="{served.sessions[caller]}"'}
    if caller in (Caller.OWN_LINK, Caller.OTHER_LINK):
        token = served.objects[OWN].links[QUOTE_LINK]
        return {"Authorization": f"Bearer {token}", "Cookie": f"desk={token}"}
    return {}


async def ask(
    served: Served, client: httpx.AsyncClient, caller: Caller, route: Route, whose: str
) -> httpx.Response:
    method, path = route
    headers = shows(served, caller)
    url = address(served, caller, path, ROUTES[route], whose)
    if method == "GET":
        return await client.get(url, headers=headers)
    if path.startswith("/v1"):
        return await client.request(method, url, headers=headers, json=dict(ROUTES[route].body))
    return await client.request(
        method, url, headers=headers, data={"csrf": served.csrf.get(caller, "made up")}
    )


def outcome_of(response: httpx.Response) -> Outcome:
    """What the answer means to whoever asked."""
    if response.status_code == 303 and response.headers["location"].startswith("/desk/sign-in?"):
        return Outcome.SIGN_IN
    by_status = {each.value: each for each in Outcome}
    return by_status.get(str(response.status_code), Outcome.IN)


def expected(place: Placement, caller: Caller, method: str, whose: str) -> Outcome:
    """What the table says; to read, no form is needed."""
    if caller is Caller.STALE and method == "GET":
        caller = Caller.OWNER
    said = place.outcomes[caller]
    if whose == ANOTHER and said is Outcome.IN and place.of_another:
        return place.of_another
    return said


def fault(
    place: Placement, caller: Caller, route: Route, whose: str, response: httpx.Response
) -> str | None:
    """How an answer differs from the table."""
    method, wanted = route[0], expected(place, caller, route[0], whose)
    got, status = outcome_of(response), response.status_code
    cell = f"{caller}, {whose} object: {status}, not {wanted}"
    if status >= 500 and status != 503:
        return cell
    if wanted is not Outcome.IN:
        return None if got is wanted else cell
    if place.answer is not None:
        return None if status == place.answer else f"{cell} by {place.answer}"
    if got is not Outcome.IN or (method == "GET" and status not in (200, 303)):
        return cell
    return None


async def ask_all(served: Served) -> None:
    """Every cell of the table; reading first, so that it can be seen to change nothing."""
    transport = httpx.ASGITransport(app=served.app, raise_app_exceptions=False)
    async with (
        served.app.router.lifespan_context(served.app),
        httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL) as client,
    ):
        for route in sorted(ROUTES, key=lambda route: route[0] != "GET"):
            served.faults[route] = []
            for caller in Caller:
                for whose in (OWN, ANOTHER) if _parameters(route[1]) else (OWN,):
                    await _ask_one(served, client, caller, route, whose)


async def _ask_one(
    served: Served, client: httpx.AsyncClient, caller: Caller, route: Route, whose: str
) -> None:
    method, _ = route
    before = served.writes()
    response = await ask(served, client, caller, route, whose)
    client.cookies.clear()
    served.asked += 1
    wrong = fault(ROUTES[route], caller, route, whose, response)
    if wrong:
        served.faults[route].append(wrong)
    if method == "GET" and served.writes() != before and served.differs():
        served.faults[route].append(f"{caller}, {whose} object: looking has changed something")
    if caller is Caller.OWN_LINK and _shows_another(served, response, whose):
        served.faults[route].append(f"{whose} link shows the other's object")
    if served.writes() != before:
        served.undo()


def _shows_another(served: Served, response: httpx.Response, whose: str) -> bool:
    other = served.objects[ANOTHER if whose == OWN else OWN]
    return any(mark in response.text for mark in other.marks)


# The tests


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The application after everybody has asked for everything, once for all tests."""
    made = make(tmp_path_factory.mktemp("served"))
    assert made.snapshot is not None
    asyncio.run(ask_all(made))
    yield made
    made.watching.close()
    made.snapshot.close()
    made.shop.engine.dispose()


def every_route(routes: list[BaseRoute], prefix: str = "") -> Iterator[Route]:
    """All that is served, in applications that are mounted as well."""
    for context in iter_route_contexts(routes):
        route = context.original_route
        path = prefix + (context.path or "")
        if isinstance(route, Mount):
            mounted = list(every_route(route.routes, path))
            yield from mounted or [("FILES", path)]
        else:
            yield from ((method, path) for method in context.methods or () if method != "HEAD")


def test_every_route_that_is_served_has_its_place(served: Served) -> None:
    found = {
        (method, path)
        for method, path in every_route(served.app.routes)
        if path not in UNPLACED and (method, path) not in {("FILES", each) for each in FILES}
    }
    assert found - set(ROUTES) == set(), "place these in tests/service/access_table.py"
    assert set(ROUTES) - found == set(), "nothing serves these any more"


def test_every_documented_route_is_one_of_them(served: Served) -> None:
    documented = {
        (method.upper(), path)
        for path, methods in served.app.openapi()["paths"].items()
        for method in methods
    }
    assert documented <= set(ROUTES)


@pytest.mark.parametrize("route", sorted(ROUTES), ids=" ".join)
def test_a_route_lets_in_whom_it_should_and_nobody_else(served: Served, route: Route) -> None:
    assert served.faults[route] == []


def test_no_cell_was_left_out(served: Served) -> None:
    cells = sum(2 if _parameters(path) else 1 for _, path in ROUTES) * len(Caller)
    assert served.asked == cells


@pytest.mark.parametrize("path", ["/v1", "/v1/nothing", "/nothing", "/desk/nothing"])
def test_an_address_of_nothing_is_nothing_to_anybody(served: Served, path: str) -> None:
    async def ask_everybody() -> set[int]:
        transport = httpx.ASGITransport(app=served.app)
        async with httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL) as client:
            answers = [await client.get(path, headers=shows(served, each)) for each in Caller]
        return {answer.status_code for answer in answers}

    assert asyncio.run(ask_everybody()) == {404}
