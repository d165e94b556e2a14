"""The list of requests, on SQLite and PostgreSQL: what is found, in which order, and how."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, event

from deploy.seeding import fill
from service.estimating import Event, Site
from service.leads.finding import Cursor, Found, Wanted, cursor_of, words_of
from service.leads.lead import Change, Client, Lead, LeadState, LostBecause, StaleDecision, Standing
from service.storage import tables as t
from service.storage.database import migrate, open_engine
from service.storage.ids import fresh_id
from service.storage.listing import SqlListing
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK, a_brief
from tests.service.storage.conftest import NOON, Shop

JUNE = date(2027, 6, 1)


@pytest.fixture
def taken(shop: Shop) -> Callable[..., Lead]:
    """Stores a request of a client by that name, for a day in June."""

    def take(name: str | None, day: int | None = None, **more: Any) -> Lead:
        when = None if day is None else JUNE.replace(day=day)
        lead = Lead(
            id=fresh_id(),
            number="",
            state=LeadState.NEW,
            channel="form",
            chat_id=fresh_id(),
            language="en",
            client=Client(name=name),
            brief=a_brief(event=Event(date=when), site=Site(place="lower lock")),
            created_at=NOON,
        )
        with shop.work() as work:
            stored = work.leads.add(replace(lead, **more))
            work.commit()
        return stored

    return take


def find(shop: Shop, typed: str = "", *, limit: int = 50, **wanted: Any) -> list[str]:
    """The numbers of all that is found, page after page."""
    asked, numbers, after = Wanted(words=words_of(typed), **wanted), [], None
    while True:
        with shop.read() as work:
            found = work.listing.find(asked, after=after, limit=limit)
        numbers += [row.lead.number for row in found.rows]
        if found.next is None:
            return numbers
        after = cursor_of(found.next)


def test_words_are_all_wanted_and_the_last_may_be_begun(
    shop: Shop, taken: Callable[..., Lead]
) -> None:
    nora = taken("Nora Ålund", client=Client(name="Nora Ålund", phone="+1 617 555 0110"))
    other = taken("Nora Quist")
    assert find(shop, "nora") == [other.number, nora.number]
    assert find(shop, "NORA al") == [nora.number]
    assert find(shop, "nor ålund") == []
    assert find(shop, nora.number.lower()) == find(shop, nora.number[1:]) == [nora.number]
    assert find(shop, "(617) 555-01") == find(shop, "16175550110") == [nora.number]
    assert find(shop, "0110") == find(shop, "0110 nora") == [nora.number]
    assert find(shop, "lock qui") == [other.number]
    assert find(shop, "nobody") == []


def test_what_is_stored_later_is_found_by_its_new_words_only(
    shop: Shop, taken: Callable[..., Lead]
) -> None:
    lead = taken(None)
    with shop.work() as work:
        work.leads.save(replace(lead, client=Client(name="June Weir", email="june@club.example")))
        work.commit()
    assert find(shop, "weir club") == [lead.number]
    with shop.work() as work:
        brief = a_brief(event=Event(date=JUNE), site=Site(place="band stand"))
        changed = work.leads.save_brief(replace(work.leads.get(lead.id), brief=brief))
        with pytest.raises(StaleDecision):
            work.leads.save_brief(lead)
        work.commit()
    assert (changed.revision, changed.brief) == (1, brief)
    assert find(shop, "band") == find(shop, since=JUNE, until=JUNE) == [lead.number]
    assert find(shop, "lock") == []


def test_the_list_narrows_down_by_state_and_event_day_and_pages_through_all(
    shop: Shop, taken: Callable[..., Lead]
) -> None:
    states = (LeadState.NEW, LeadState.QUOTED)
    leads = [taken("Nora", 1 + n * 3 % 7, state=states[n % 2]) for n in range(12)]
    undated = taken("Nora")
    newest = [lead.number for lead in [*leads, undated]][::-1]
    by_day = sorted(leads, key=lambda lead: (str(lead.brief.event.date), lead.created_at))

    assert find(shop, limit=5) == newest
    assert find(shop, "nora", limit=5) == newest
    since, until = JUNE.replace(day=2), JUNE.replace(day=6)
    within = [lead.number for lead in by_day if since <= (lead.brief.event.date or JUNE) <= until]
    assert find(shop, since=since, until=until, limit=2) == within
    quoted = [lead.number for lead in by_day if lead.state is LeadState.QUOTED]
    assert find(shop, since=JUNE, state=LeadState.QUOTED, limit=2) == quoted
    assert find(shop, state=LeadState.QUOTED, limit=2) == sorted(quoted, reverse=True)
    searched = [number for number in newest if number in within and number in quoted]
    assert find(shop, "no", since=since, until=until, state=LeadState.QUOTED, limit=2) == searched


def test_a_request_whose_place_was_taken_names_the_one_that_counts_now(
    shop: Shop, taken: Callable[..., Lead]
) -> None:
    first, second, third = (taken("Nora") for _ in range(3))
    with shop.work() as work:
        work.leads.save(replace(first, state=LeadState.LAPSED))
        by = Change(
            at=NOON, who="client", what="replaced by another request", detail={"by": second.id}
        )
        work.leads.note(first.id, by)
        work.leads.save(replace(second, state=LeadState.LAPSED, merged_into=third.id))
        work.commit()
    with shop.read() as work:
        rows = work.listing.listed([first.id, second.id, third.id])
    assert [row.newer for row in rows] == [third.number, third.number, None]
    assert [row.price for row in rows] == [None] * 3


def test_what_waits_comes_by_the_next_event_then_undated_then_past(
    shop: Shop, taken: Callable[..., Lead]
) -> None:
    review = {"state": LeadState.REVIEW}
    late, soon, past, undated = (taken("Nora", day, **review) for day in (20, 12, 3, None))
    taken("Nora", 11)
    with shop.read() as work:
        today = JUNE.replace(day=10)
        waiting = work.listing.waiting(today=today, limit=9)
        assert [row.lead for row in waiting] == [soon, late, undated, past]
        assert len(work.listing.waiting(today=today, limit=3)) == 3
        counts = work.listing.counts(most=3)
    assert (counts[Standing.REVIEW], counts[Standing.NEW], counts[Standing.DONE]) == (3, 1, 0)


def test_what_was_called_off_or_replaced_is_told_apart_from_what_was_lost(
    shop: Shop, taken: Callable[..., Lead]
) -> None:
    off, no, out, part, again = (taken("Nora") for _ in range(5))
    becomes: dict[str, tuple[Lead, dict[str, Any]]] = {
        "canceled": (
            off,
            {"state": LeadState.DECLINED, "lost_because": LostBecause.CLIENT_CANCELLED},
        ),
        "declined": (no, {"state": LeadState.DECLINED, "lost_because": LostBecause.PRICE}),
        "lapsed": (out, {"state": LeadState.LAPSED, "lost_because": LostBecause.NO_ANSWER}),
        "replaced": (part, {"state": LeadState.LAPSED, "merged_into": out.id}),
        "erased": (again, {}),
    }
    with shop.work() as work:
        for lead, changes in becomes.values():
            work.leads.save(replace(lead, **changes))
        work.clients.erase(again, state=LeadState.LAPSED, brief=again.brief, now=NOON)
        work.commit()
    with shop.read() as work:
        counts = work.listing.counts(most=9)
        read = {name: work.leads.get(lead.id).standing for name, (lead, _) in becomes.items()}
    assert read == {name: Standing(name) for name in becomes}
    for name, (lead, _) in becomes.items():
        assert find(shop, standing=Standing(name)) == [lead.number]
        assert counts[Standing(name)] == 1
    assert sum(counts.values()) == len(becomes)


def test_the_first_answer_is_kept_whoever_gives_it(shop: Shop, taken: Callable[..., Lead]) -> None:
    lead = taken("Nora")
    with shop.work() as work:
        work.leads.answered(lead.channel, lead.chat_id, at=NOON + timedelta(minutes=4))
        work.leads.answered(lead.channel, lead.chat_id, at=NOON + timedelta(hours=4))
        work.leads.answered("form", "somebody else", at=NOON)
        assert work.leads.get(lead.id).answered_at == NOON + timedelta(minutes=4)


def test_requests_are_found_by_their_conversations(shop: Shop, taken: Callable[..., Lead]) -> None:
    first, other = taken("Nora", chat_id="a"), taken("Otis", chat_id="b")
    second = taken("Nora", chat_id="a")
    with shop.read() as work:
        found = work.listing.of_chats([("form", "a"), ("form", "b"), ("telegram", "a")])
    assert found == {
        ("form", "a"): [second, first],
        ("form", "b"): [other],
        ("telegram", "a"): [],
    }


_SEARCHES = (
    "a name",
    "a name in a place",
    "a beginning",
    "everybody's beginning",
    "a number",
    "a phone",
)


def _asked(listing: SqlListing, leads: int) -> dict[str, Callable[[], Any]]:
    deep = Cursor(seq=leads // 2)

    def found(typed: str = "", after: Cursor | None = None, **wanted: Any) -> Callable[[], Found]:
        asked = Wanted(words=words_of(typed), **wanted)
        return lambda: listing.find(asked, after=after, limit=10)

    return {
        "first page": found(),
        "deep page": found(after=deep),
        "state": found(state=LeadState.LAPSED),
        "state, deep": found(state=LeadState.LAPSED, after=deep),
        "standing": found(standing=Standing.LAPSED),
        "standing, deep": found(standing=Standing.LAPSED, after=deep),
        "days and standing": found(since=date(2025, 1, 1), standing=Standing.DECLINED),
        "days": found(since=date(2026, 1, 1), until=date(2026, 12, 31)),
        "days and state": found(since=date(2025, 1, 1), state=LeadState.DECLINED),
        "a name": found("nora"),
        "a name in a place": found("rosa lock"),
        "a beginning": found("no"),
        "everybody's beginning": found("g1"),
        "a number": found("G1100"),
        "a phone": found("617 200 0100"),
        "waiting": lambda: listing.waiting(today=NOON.date(), limit=10),
        "unanswered": lambda: listing.unanswered(since=NOON - timedelta(days=7), limit=5),
        "conversations": lambda: listing.of_chats(
            [(channel, f"chat-{n}") for n in range(50) for channel in ("telegram", "webchat")]
        ),
        "counts": lambda: listing.counts(most=20),
    }


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[int, Engine]]:
    """SQLite shops with few and with many requests behind them."""
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    made = {}
    for leads in (300, 3_000):
        engine = open_engine(f"sqlite:///{tmp_path_factory.mktemp('many') / 'shop.sqlite'}")
        migrate(engine)
        fill(engine, book, leads=leads, now=NOON)
        made[leads] = engine
    yield made
    for engine in made.values():
        engine.dispose()


def test_ten_times_as_many_requests_are_no_more_work(shops: dict[int, Engine]) -> None:
    few, many = (_work_of(shops[leads], leads) for leads in (300, 3_000))
    # A search counts on to where a word is common, and quotes of one week may be more by then.
    steady = [name for name in few if name not in (*_SEARCHES, "unanswered")]
    grown = {name: many[name] / few[name] for name in steady}
    # A deeper index is one step more here and there; reading all of them would be ten times.
    assert {name: share for name, share in grown.items() if share > 2} == {}


def _work_of(engine: Engine, leads: int) -> dict[str, int]:
    """SQLite's own steps for each question, in tens."""
    counted = {}
    with engine.execution_options(reading=True).connect() as connection:
        driver = connection.connection.driver_connection
        assert driver is not None
        for name, ask in _asked(SqlListing(connection), leads).items():
            steps = [0]

            def tick(steps: list[int] = steps) -> int:
                steps[0] += 1
                return 0

            driver.set_progress_handler(tick, 10)
            ask()
            driver.set_progress_handler(None, 0)
            counted[name] = steps[0]
    return counted


def _statements(connection: Connection, leads: int) -> list[tuple[str, Any]]:
    """What the questions ask the database."""
    asked: list[tuple[str, Any]] = []

    def heard(_connection: Any, _cursor: Any, sql: str, values: Any, *_: Any) -> None:
        asked.append((sql, values))

    event.listen(connection, "before_cursor_execute", heard)
    for ask in _asked(SqlListing(connection), leads).values():
        ask()
    event.remove(connection, "before_cursor_execute", heard)
    return asked


def test_no_question_reads_a_whole_table(shops: dict[int, Engine]) -> None:
    engine = shops[300]
    asked: list[tuple[str, Any]] = []
    with engine.execution_options(reading=True).connect() as connection:
        questions = _asked(SqlListing(connection), 300)
        event.listen(
            engine,
            "before_cursor_execute",
            lambda _c, _u, sql, values, *_: asked.append((sql, values)),
        )
        for ask in questions.values():
            ask()
        steps = [
            row[3]
            for sql, values in list(asked)
            for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {sql}", values)
        ]
    tables = {table.name for table in t.metadata.sorted_tables}
    scanned = [step for step in steps if step.startswith("SCAN") and step.split()[1] in tables]
    assert len(asked) > 40
    assert scanned == []


@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
def test_postgresql_reads_no_whole_table_either(postgres_shop: Engine) -> None:
    with postgres_shop.connect() as connection:
        asked = _statements(connection, 2_000)
        steps = [
            row[0]
            for sql, values in asked
            for row in connection.exec_driver_sql(f"EXPLAIN {sql}", values)
        ]
    assert len(asked) > 40
    assert [step for step in steps if "Seq Scan" in step] == []


@pytest.fixture
def postgres_shop(database_url: str) -> Iterator[Engine]:
    """A PostgreSQL shop with many requests behind it."""
    engine = open_engine(database_url)
    migrate(engine)
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    fill(engine, book, leads=2_000, now=NOON)
    yield engine
    engine.dispose()


def test_a_seeded_shop_is_one_that_the_service_can_read(shops: dict[int, Engine]) -> None:
    with Shop(shops[300]).read() as work:
        asked = Wanted(words=words_of("G1100"))
        (row,) = work.listing.find(asked, after=None, limit=2).rows
        assert row.lead == work.leads.get(row.lead.id)
        quote = work.quotes.latest(row.lead.id)
    assert quote is not None
    assert row.price is not None
    assert (row.price.number, row.price.likely) == (quote.number, quote.likely)
