"""Up to two hundred clients want what only one can have, on SQLite and on PostgreSQL."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

import httpx
import pytest
from sqlalchemy import Engine, func, select

from service.estimating import Brief, Event, Setting, Site, Support
from service.leads import booking
from service.leads.lead import Client, Hold, Lead, Window, WindowTaken
from service.storage import tables as t
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, a_piece
from tests.service.crowding import Rush, crowd, rush
from tests.service.pages.reading import agreed, elements_of
from tests.service.pages.serving import serving

MANY = 200
BOSTON = ZoneInfo("America/New_York")
SUNDAY = date(2027, 6, 6)
WALL = a_piece(support=Support.WALL, length_m=3.0)
# Some twelve miles north, and twelve miles south of the workshop; each opens when it does.
NORTH = Site(setting=Setting.INDOOR, latitude=42.545, longitude=-71.18, access_from=time(9))
SOUTH = Site(setting=Setting.INDOOR, latitude=42.195, longitude=-71.18, access_from=time(11))


@dataclass(frozen=True, kw_only=True)
class Shortage:
    """What there is too little of: briefs in turn with the time each wants, and the crews."""

    wanted: Sequence[tuple[Brief, time]]
    crews: int
    because: str
    many: int = 60


def _at(start: time) -> Event:
    return Event(date=SUNDAY, start_time=start)


SHORTAGES = {
    # Ready half an hour before 8:45, and at seven the day begins.
    "crew": Shortage(
        wanted=[(a_brief(pieces=(WALL,), event=_at(time(8, 45))), time(7))],
        crews=1,
        because="Another job takes that time.",
        many=MANY,
    ),
    # Hands enough for all of them, and one frame.
    "equipment": Shortage(
        wanted=[(a_brief(), time(9))],
        crews=20,
        because="The round top frame 4 x 7 ft is out that day.",
    ),
    # Half of them north at nine, half of them south at eleven: no time to drive from one to the
    # other. No row of the database is wanted by both.
    "travel": Shortage(
        wanted=[
            (a_brief(pieces=(WALL,), event=_at(time(10, 45)), site=NORTH), time(9)),
            (a_brief(pieces=(WALL,), event=_at(time(13)), site=SOUTH), time(11)),
        ],
        crews=1,
        because="The drive to or from another job leaves too little time.",
    ),
}


@pytest.fixture
def shop(engine: Engine, tmp_path: Path, request: pytest.FixtureRequest) -> BuiltShop:
    shortage = SHORTAGES[getattr(request, "param", "crew")]
    book = tmp_path / "book.yaml"
    text = PRICE_BOOK.read_text(encoding="utf-8")
    book.write_text(
        text.replace("jobs_at_once: 1", f"jobs_at_once: {shortage.crews}"), encoding="utf-8"
    )
    return BuiltShop(engine=engine, price_book=book)


def _try(shop: BuiltShop, lead: Lead, starts_at: datetime) -> Hold:
    """As the edges do it: free what has run out, then hold."""
    booking.free_expired(shop.ports)
    with shop.ports.work() as work:
        kept = booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=starts_at,
            client=Client(name="Nora", email="nora@rowing.example"),
            now=shop.now,
        )
        work.commit()
    return kept


def _instead(shop: BuiltShop, lead: Lead) -> list[Window]:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        current = shop.price_books.current()
        return booking.next_free(work, lead, quote, current, after=SUNDAY, now=shop.now)


@pytest.mark.parametrize(("shop", "name"), [(name, name) for name in SHORTAGES], indirect=["shop"])
def test_of_many_at_once_one_gets_what_only_one_can_have(
    shop: BuiltShop, name: str, engine: Engine, capsys: pytest.CaptureFixture[str]
) -> None:
    shortage = SHORTAGES[name]
    wanted = [shortage.wanted[number % len(shortage.wanted)] for number in range(shortage.many)]
    leads = crowd(shop, [brief for brief, _ in wanted])
    starts = [datetime.combine(SUNDAY, at, BOSTON) for _, at in wanted]

    def attempt(number: int) -> Hold:
        return _try(shop, leads[number], starts[number])

    came = rush([partial(attempt, number) for number in range(shortage.many)])
    _report(capsys, f"{shortage.many}, {name}, {engine.dialect.name}", came)
    (kept,) = came.of(Hold)
    assert len(came.of(WindowTaken)) == shortage.many - 1
    with engine.begin() as connection:
        assert connection.scalar(select(func.count()).select_from(t.holds)) == 1
    loser = next(lead for lead in leads if isinstance(kept, Hold) and lead.id != kept.lead_id)
    assert shortage.because in {
        each.because for each in came.outcomes if isinstance(each, WindowTaken)
    }
    # Whoever came too late is shown what is free, and gets it.
    free = _instead(shop, loser)
    assert free
    assert {window.starts_at.astimezone(BOSTON).date() for window in free} != {SUNDAY}
    with shop.ports.work() as work:
        again = booking.place_hold(
            work,
            shop.ports,
            loser.id,
            starts_at=free[0].starts_at,
            client=Client(name="Nora", email="nora@rowing.example"),
            another_day=True,
            now=shop.now,
        )
        work.commit()
    assert again.window.starts_at == free[0].starts_at


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_of_two_hundred_at_once_on_the_page_one_gets_it(
    shop: BuiltShop, engine: Engine, capsys: pytest.CaptureFixture[str]
) -> None:
    brief, at = SHORTAGES["crew"].wanted[0]
    leads = crowd(shop, [brief] * MANY)
    paths = [f"/bookings/{shop.link('booking', lead.id)}" for lead in leads]
    for lead in leads:
        shop.link("quote", lead.id)
    starts_at = datetime.combine(SUNDAY, at, BOSTON).isoformat()
    with serving(shop) as address, _client(address) as client:
        terms = agreed(client.get(paths[0]).text)
        entered = {"name": "Nora", "email": "nora@rowing.example", "starts_at": starts_at, **terms}
        came = rush([partial(client.post, path, data=entered) for path in paths])
    _report(capsys, f"{MANY}, pages, {engine.dialect.name}", came)
    answers = [each for each in came.outcomes if isinstance(each, httpx.Response)]
    assert sorted(each.status_code for each in answers) == [303] + [409] * (MANY - 1)
    late = next(each for each in answers if each.status_code == 409)
    others = [each for each in elements_of(late.text, "button") if each.get("name") == "instead"]
    assert len(others) == 6
    assert re.match("2027-06-12T", str(others[0]["value"]))


def _client(address: str) -> httpx.Client:
    """One for all, with a connection for each: to make a client takes longer than to be served."""
    limits = httpx.Limits(max_connections=MANY)
    return httpx.Client(base_url=address, limits=limits, timeout=60)


def _report(capsys: pytest.CaptureFixture[str], what: str, came: Rush) -> None:
    with capsys.disabled():
        print(f"\nat once ({what}): {came.seconds:.2f} s", end=" ")
    assert came.seconds < timedelta(seconds=60).total_seconds()
