"""The loopback server that this room's bot talks to."""

from collections.abc import Iterator

import pytest

from tests.bot.telegram.receiving import CANARY
from tests.bot_api import BotApiServer


@pytest.fixture
def api() -> Iterator[BotApiServer]:
    with BotApiServer(CANARY) as server:
        yield server
