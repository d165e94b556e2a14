"""A running shop with a Bot API server beside it, on SQLite or PostgreSQL."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bot_api import BotApiServer
from tests.whole.running import Running, running

REFERENCE_DATE = "2027-01-10"

CANONICAL = (
    "hi how much for a garland on a 4 ft wide 7 ft tall arch frame, sage cream and gold, "
    "june 6 at 3pm, indoors at a hall in 02139"
)


@pytest.fixture
def bot_api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        yield server


@pytest.fixture
def settings(bot_api: BotApiServer) -> dict[str, str]:
    return settings_with(bot_api)


def settings_with(bot_api: BotApiServer) -> dict[str, str]:
    """A shop of that day, with a bot at that server and a website."""
    return {
        "GARLANDRY_REFERENCE_DATE": REFERENCE_DATE,
        "GARLANDRY_TELEGRAM_TOKEN": bot_api.token,
        "GARLANDRY_TELEGRAM_API": bot_api.base_url,
        "GARLANDRY_WEBSITE_ORIGINS": "https://rowing.example",
    }


@pytest.fixture
def shop(tmp_path: Path, settings: dict[str, str]) -> Iterator[Running]:
    """Everything, on SQLite and the embedded Redis."""
    with running(tmp_path, settings) as started:
        yield started


@pytest.fixture
def shop_on(tmp_path: Path, settings: dict[str, str], database_url: str) -> Iterator[Running]:
    """Everything, once on each database."""
    with running(tmp_path, {**settings, "DATABASE_URL": database_url}) as started:
        yield started
