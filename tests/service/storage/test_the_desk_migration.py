"""What a shop had before the desk comes over right, on SQLite and PostgreSQL."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import Engine, column, func, insert, select, table, update

from service.leads.figures import direct_cost
from service.leads.finding import terms_of
from service.leads.lead import HoldState
from service.leads.people import OWNER_ID, PersonRole
from service.storage import tables
from service.storage.database import migrate, open_engine
from service.storage.types import Instant
from tests.service.storage.conftest import NOON, Shop
from tests.service.storage.test_fuller_estimates import STORED, store, to_revision

HOUR = timedelta(hours=1)
SETS_UP, READY = NOON + 30 * 24 * HOUR, NOON + 30 * 24 * HOUR + 3 * HOUR
CLIENT = {"name": "Nora Ålund", "email": "nora@rowing.example", "phone": "+1 617 555 0199"}
HASH = "$argon2id$v=19$m=65536,t=3,p=4$a$b"


@dataclass
class Old:
    """A database as it was before, with two requests, a held date each, and the owner."""

    engine: Engine

    def shop(self) -> Shop:
        """The same, brought over."""
        migrate(self.engine)
        return Shop(self.engine)

    def count(self, name: str) -> int:
        with self.engine.begin() as connection:
            return connection.execute(select(func.count()).select_from(table(name))).scalar_one()


@pytest.fixture
def old(database_url: str) -> Iterator[Old]:
    engine = open_engine(database_url)
    to_revision(engine, "0001")
    for index, kept in enumerate(STORED):
        store(engine, index, kept)
    to_revision(engine, "0003")
    with engine.begin() as connection:
        connection.execute(update(tables.leads).values(client=CLIENT))
        connection.execute(
            update(tables.quotes)
            .where(tables.quotes.c.id == "quote-0")
            .values(sent_at=NOON + HOUR, expires_at=NOON + 900 * HOUR)
        )
    _let_in(engine)
    for index, state in enumerate(("booked", "active")):
        _hold(engine, index, state)
    yield Old(engine)
    engine.dispose()


def _let_in(engine: Engine) -> None:
    """The owner's password, an open session and a failed try."""
    owner = table("owner", column("id"), column("password_hash"), column("changed_at", Instant))
    sessions = table(
        "desk_sessions", column("digest"), column("csrf"), column("expires_at", Instant)
    )
    failures = table("sign_in_failures", column("at", Instant), column("address"))
    with engine.begin() as connection:
        connection.execute(insert(owner).values(id=1, password_hash=HASH, changed_at=NOON))
        connection.execute(insert(sessions).values(digest="d" * 64, csrf="c", expires_at=READY))
        connection.execute(insert(failures).values(at=NOON, address="198.51.100.7"))


def _hold(engine: Engine, index: int, state: str) -> None:
    with engine.begin() as connection:
        connection.execute(
            insert(tables.holds).values(
                id=f"hold-{index}",
                lead_id=f"lead-{index}",
                quote_id=f"quote-{index}",
                starts_at=SETS_UP,
                ends_at=READY,
                expires_at=NOON + 48 * HOUR,
                client=CLIENT,
                state=state,
            )
        )
        for slot in (1_000, 1_001):
            connection.execute(
                insert(tables.hold_slots).values(slot=slot, crew=index, hold_id=f"hold-{index}")
            )


def _estimate(engine: Engine, index: int) -> Any:
    """The stored estimate as the migrations before left it."""
    query = select(tables.quotes.c.estimate).where(tables.quotes.c.id == f"quote-{index}")
    with engine.begin() as connection:
        return json.loads(connection.execute(query).scalar_one())


def test_the_owner_keeps_the_password_and_signs_in_again(old: Old) -> None:
    with old.shop().read() as work:
        assert work.people.password_hash(OWNER_ID) == HASH
        owner = work.people.named(OWNER_ID)
        assert owner is not None
        assert (owner.role, owner.since, owner.may_sign_in) == (PersonRole.OWNER, NOON, True)
        assert [person.id for person in work.people.every()] == [OWNER_ID]
    assert old.count("desk_sessions") == 0
    assert old.count("sign_in_failures") == 0


def test_a_shop_without_a_password_still_has_nobody(database_url: str) -> None:
    engine = open_engine(database_url)
    to_revision(engine, "0003")
    migrate(engine)
    with Shop(engine).read() as work:
        assert work.people.every() == []
        assert work.people.password_hash(OWNER_ID) is None
    engine.dispose()


def test_quotes_tell_of_their_estimate_without_it(old: Old) -> None:
    before = [_estimate(old.engine, index) for index in range(len(STORED))]
    with old.shop().read() as work:
        quotes = [work.quotes.get(f"quote-{index}") for index in range(len(STORED))]
        briefs = [work.leads.get(f"lead-{index}").brief for index in range(len(STORED))]
    assert [quote.brief for quote in quotes] == briefs
    columns = tables.quotes.c
    query = select(
        columns.book_version, columns.cost, columns.before_tax, columns.hours, columns.lines
    ).order_by(columns.seq)
    with old.engine.begin() as connection:
        rows = connection.execute(query).all()
    for row, quote, estimate in zip(rows, quotes, before, strict=True):
        assert row.book_version == quote.book_version == estimate["price_book_version"]
        assert row.cost == direct_cost(quote.estimate)
        assert row.hours == estimate["hours"]
        assert row.lines is None
    # 1,020 before tax; 2,395 with 6.25% of tax in it.
    assert [row.before_tax for row in rows] == [Decimal(1020), Decimal("2254.12")]


def test_estimates_are_still_what_they_were(old: Old) -> None:
    before = [_estimate(old.engine, index) for index in range(len(STORED))]
    old.shop()
    assert [_estimate(old.engine, index) for index in range(len(STORED))] == before


def test_requests_are_found_by_their_words_day_and_first_answer(old: Old) -> None:
    with old.shop().read() as work:
        leads = [work.leads.get(f"lead-{index}") for index in range(len(STORED))]
    assert [lead.answered_at for lead in leads] == [NOON + HOUR, None]
    assert [lead.revision for lead in leads] == [0, 0]
    columns = tables.leads.c
    for lead, kept in zip(leads, STORED, strict=True):
        with old.engine.begin() as connection:
            seq, event_on = connection.execute(
                select(columns.seq, columns.event_on).where(columns.id == lead.id)
            ).one()
            terms = connection.scalars(
                select(tables.lead_terms.c.term).where(tables.lead_terms.c.seq == seq)
            ).all()
        assert event_on == (kept["brief"]["event"] or {}).get("date")
        assert set(terms) == terms_of(lead.number, lead.client, lead.brief)
        assert {"alund", "nora", lead.number.lower()} <= set(terms)


def test_held_dates_know_their_whole_stay(old: Old) -> None:
    shop = old.shop()
    plan = _estimate(old.engine, 0)["plan"]
    drive = timedelta(hours=plan["leave_before_h"] - plan["arrive_before_h"])
    with shop.read() as work:
        booked, active = (work.holds.of_lead(f"lead-{index}") for index in (0, 1))
        created = work.leads.get("lead-0").created_at
    assert booked is not None
    assert active is not None
    assert (booked.state, active.state) == (HoldState.BOOKED, HoldState.ACTIVE)
    assert (booked.crew, active.crew) == (0, 1)
    assert (booked.window.starts_at, booked.window.ends_at) == (SETS_UP, READY)
    stay = booked.stay
    assert abs(stay.leaves_at - (SETS_UP - drive)) < timedelta(milliseconds=1)
    assert stay.free_at == READY
    assert stay.strikes_at == READY + 4 * HOUR
    struck = stay.struck_at - stay.strikes_at
    assert struck / HOUR == pytest.approx(plan["strike_h"], abs=1e-6)
    assert abs(stay.returns_at - (stay.struck_at + drive)) < timedelta(milliseconds=1)
    assert (booked.made_at, booked.changed_at) == (created, created)
    assert (booked.revision, active.revision) == (1, 1)
    site = STORED[0]["brief"]["site"]
    position = (site["latitude"], site["longitude"]) if site.get("latitude") else None
    assert booked.position == position
    assert booked.client.name == CLIENT["name"]


def test_a_held_date_is_still_nobody_elses(old: Old) -> None:
    shop = old.shop()
    with shop.read() as work:
        found = work.holds.between(SETS_UP - HOUR, READY + HOUR)
    assert {hold.id for hold in found} == {"hold-0", "hold-1"}
    assert old.count("hold_slots") == 4
