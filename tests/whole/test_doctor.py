"""A shop at work is well, says the doctor, and a backup that is made meanwhile comes back."""

from datetime import date
from pathlib import Path

import pytest
from pydantic import SecretStr

from bot.config import Settings as BotSettings
from deploy import backup, doctor, restore
from deploy.examining.finding import Finding, Level
from service.config import Settings
from service.storage.copying import row_counts
from service.storage.database import open_engine
from tests.bot_api import BotApiServer
from tests.whole.conftest import CANONICAL, REFERENCE_DATE
from tests.whole.running import Running, wait_for

pytestmark = pytest.mark.whole


def test_a_shop_at_work_is_well_and_its_backup_comes_back(
    shop: Running, bot_api: BotApiServer, tmp_path: Path
) -> None:
    client = shop.client()
    client.say(CANONICAL)
    client.press(client.wait("readback"), "confirm")
    client.wait("ballpark")
    settings = Settings(data=tmp_path, reference_date=date.fromisoformat(REFERENCE_DATE))
    well = wait_for(lambda: _all_well(settings, shop, bot_api) or None, "all is well")
    assert any("Telegram knows the bot" in finding.what for finding in well)
    file = backup.make_backup(settings)
    elsewhere = Settings(data=tmp_path / "elsewhere", price_book=settings.price_book)
    restore.restore(elsewhere, file, replace=False)
    engine = open_engine(elsewhere.database)
    rows = row_counts(engine)
    engine.dispose()
    assert rows["leads"] == rows["quotes"] == 1
    assert rows["messages"] >= len(client.messages())


def _all_well(settings: Settings, shop: Running, bot_api: BotApiServer) -> list[Finding]:
    bot = BotSettings(
        api_key=SecretStr(""),
        telegram_token=SecretStr(bot_api.token),
        telegram_api=bot_api.base_url,
    )
    environment = {
        "REDIS_URL": shop.redis_url,
        "GARLANDRY_SERVICE_PORT": shop.service.rpartition(":")[2],
        "GARLANDRY_CHAT_PORT": shop.chat.rpartition(":")[2],
    }
    findings = list(doctor.examine(settings, bot, environment))
    return findings if all(each.level is not Level.WRONG for each in findings) else []
