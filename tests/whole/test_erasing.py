"""Erasing a client leaves nothing of them in any file that the running shop keeps."""

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bot_api import BotApiServer
from tests.whole.conftest import CANONICAL
from tests.whole.running import Running, wait_for

pytestmark = [pytest.mark.whole, pytest.mark.timeout(180)]

CHAT = 77_123_456_789
SAID = f"{CANONICAL}. My aunt Xanthippe loves zeppelins"
BY_FORM = {
    "name": "Nora Zyzzyva",
    "email": "nora.zyzzyva@mail.example",
    "phone": "+16175550177",
}
CANARIES = ("xanthippe", "zeppelin", "zyzzyva", "6175550177", "555-0177", "quixotry", str(CHAT))


def traces(folder: Path) -> dict[str, list[str]]:
    """In which files each of the client's words can be found."""
    found: dict[str, list[str]] = {}
    for file in _files(folder):
        content = file.read_bytes().lower()
        for canary in CANARIES:
            if canary.encode() in content:
                found.setdefault(canary, []).append(str(file.relative_to(folder)))
    return found


def _files(folder: Path) -> Iterator[Path]:
    return (file for file in folder.rglob("*") if file.is_file() and not file.is_socket())


def asks_in_telegram(bot_api: BotApiServer) -> None:
    bot_api.say(CHAT, SAID)
    (readback,) = bot_api.wait_for_sent(CHAT, 1, timeout_s=30)
    confirm = next(b for b in readback.buttons if b["callback_data"].startswith("confirm"))
    bot_api.press(CHAT, readback.message_id, confirm["callback_data"])
    bot_api.wait_for_sent(CHAT, 3, timeout_s=30)


def asks_by_form(shop: Running) -> None:
    brief = {
        "pieces": [{"support": "hoop", "width_m": 1.8}],
        "palette": ["sage"],
        "site": {"place": "Quixotry House", "postal_code": "02139"},
        "notes": "for my aunt Xanthippe",
    }
    with shop.api("website") as website:
        headers = {"Idempotency-Key": f'"{uuid.uuid4()}"'}
        taken = website.post("/v1/leads", json={"brief": brief, "client": BY_FORM}, headers=headers)
        assert taken.status_code == 202, taken.text


def test_no_file_keeps_a_byte_of_who_was_erased(
    shop: Running, bot_api: BotApiServer, tmp_path: Path
) -> None:
    asks_in_telegram(bot_api)
    asks_by_form(shop)
    with shop.api("owner") as owner:

        def answered() -> list[str] | None:
            leads = owner.get("/v1/leads").json()["leads"]
            done = len(leads) == 2 and all(lead["state"] != "new" for lead in leads)
            return [lead["lead_id"] for lead in leads] if done else None

        leads = wait_for(answered, "both are answered")
        assert set(traces(tmp_path)) >= {"xanthippe", "zeppelin", "zyzzyva", "quixotry", str(CHAT)}
        for lead_id in leads:
            answer = owner.delete(f"/v1/clients/{lead_id}")
            assert answer.status_code == 200, answer.text
    wait_for(lambda: True if not traces(tmp_path) else None, f"gone: {traces(tmp_path)}")
