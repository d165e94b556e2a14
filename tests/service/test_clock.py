"""The shop's clock on a day of one's choosing."""

from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service import clock
from service.assembly import Assembly, prepare
from service.config import Settings

BOSTON = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 11, 26, 4, 30, tzinfo=UTC),  # 23:30 the evening before, winter time
        datetime(2026, 7, 26, 4, 10, tzinfo=UTC),  # 00:10 summer time
        datetime(2026, 11, 25, 17, 0, tzinfo=UTC),
    ],
)
@pytest.mark.parametrize("day", [date(2027, 6, 6), date(2027, 1, 10)])
def test_it_is_the_chosen_day_at_the_same_time_of_day(
    monkeypatch: pytest.MonkeyPatch, now: datetime, day: date
) -> None:
    monkeypatch.setattr(clock, "wall", lambda: now)
    moved = clock.shop_clock(day, BOSTON)().astimezone(BOSTON)
    assert moved.date() == day
    assert moved.time() == now.astimezone(BOSTON).time()


def test_without_a_chosen_day_it_is_the_wall_clock() -> None:
    assert clock.shop_clock(None, BOSTON) is clock.wall


def test_the_first_count_of_the_stock_is_of_the_chosen_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GARLANDRY_DATA", str(tmp_path))
    monkeypatch.setenv("GARLANDRY_PUBLIC_URL", "https://garlands.example")
    monkeypatch.setenv("REDIS_URL", "redis://127.0.0.1:9/0")
    monkeypatch.setenv("GARLANDRY_REFERENCE_DATE", "2027-01-10")
    settings = Settings()
    prepare(settings)
    with Assembly(settings).ports.read() as work:
        moves = work.stock.moves(before=None, limit=9)
    assert {move.at.astimezone(BOSTON).date() for move in moves} == {date(2027, 1, 10)}
