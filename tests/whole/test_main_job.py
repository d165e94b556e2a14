"""A client's message comes back as a ballpark with a booking link, through the real parts."""

import random
import re
import signal
import time
import uuid
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from redis import Redis

from tests.bot_api import BotApiServer
from tests.whole.conftest import CANONICAL, settings_with
from tests.whole.running import Running, WebClient, running, wait_for

pytestmark = [pytest.mark.whole, pytest.mark.timeout(180)]

BRIEF: dict[str, Any] = {
    "pieces": [{"support": "round_top_frame", "width_m": 1.2192, "height_m": 2.1336}],
    "palette": ["sage", "cream", "gold"],
    "event": {"date": "2027-06-06", "start_time": "15:00"},
    "site": {"setting": "indoor", "place": "hall", "postal_code": "02139"},
}


# One shop for all: whatever a test kills comes back, and no test minds what another one asked.
@pytest.fixture(scope="module")
def bot_api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        yield server


@pytest.fixture(scope="module")
def shop(bot_api: BotApiServer, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running(tmp_path_factory.mktemp("shop"), settings_with(bot_api)) as started:
        yield started


def _ask(client: WebClient) -> None:
    client.say(CANONICAL)
    client.press(client.wait("readback"), "confirm")


def _amounts(text: str) -> list[int]:
    """ "$325 to $445, most likely around $380" is [325, 445, 380]."""
    return [int(amount.replace(",", "")) for amount in re.findall(r"\$([\d,]+)", text)[:3]]


def test_the_web_chat_on_each_database(shop_on: Running) -> None:
    client = shop_on.client()
    _ask(client)
    ballpark = client.wait("ballpark")
    low, high, likely = _amounts(ballpark["text"])
    assert low < likely < high
    quote_url, booking_url = [button["url"] for button in ballpark["buttons"]]
    with httpx.Client() as browser:
        assert f"${likely:,}" in browser.get(quote_url).text
        assert browser.get(booking_url).status_code == 200
    assert client.kinds().count("ballpark") == 1


def test_telegram_from_first_message_to_ballpark(shop: Running, bot_api: BotApiServer) -> None:
    bot_api.say(4242, CANONICAL)
    (readback,) = bot_api.wait_for_sent(4242, 1, timeout_s=30)
    confirm = next(b for b in readback.buttons if b["callback_data"].startswith("confirm"))
    bot_api.press(4242, readback.message_id, confirm["callback_data"])
    _, _, ballpark = bot_api.wait_for_sent(4242, 3, timeout_s=30)
    low, high, likely = _amounts(ballpark.text)
    assert low < likely < high
    assert ballpark.photo is not None
    time.sleep(3)  # long enough for the sweep to look twice
    assert len(bot_api.sent(4242)) == 3
    for name in ("service", "bot", "replies", "deliveries", "chores", "upkeep"):
        assert bot_api.token not in shop.log(name)
        assert not any(key in shop.log(name) for key in shop.keys.values())


def test_one_price_by_chat_form_and_api(shop: Running) -> None:
    client = shop.client()
    _ask(client)
    with shop.api("website") as website:
        direct = website.post("/v1/estimates", json=BRIEF).json()["price"]
        posted = website.post(
            "/v1/leads",
            json={"brief": BRIEF},
            headers={"Idempotency-Key": '"one"', "Origin": "https://rowing.example"},
        )
        assert posted.headers["access-control-allow-origin"] == "https://rowing.example"
        path = httpx.URL(posted.json()["status_url"]).path

        def quoted() -> dict[str, Any] | None:
            quote: dict[str, Any] | None = website.get(path).json()["quote"]
            return quote

        by_api = wait_for(quoted, "the API's ballpark")
    by_chat = _amounts(client.wait("ballpark")["text"])
    assert by_chat == [float(direct[n]) for n in ("low", "high", "likely")]
    assert _by_form(shop) == by_chat
    assert [by_api[n] for n in ("low", "likely", "high")] == [
        direct[n] for n in ("low", "likely", "high")
    ]


def _by_form(shop: Running) -> list[int]:
    """Fills in the website form as a browser without script would, and reads the reply."""
    with httpx.Client(base_url=shop.service, follow_redirects=True) as browser:
        once = re.search(r'name="once" value="([^"]+)"', browser.get("/form").text)
        assert once is not None
        fields = {
            "once": once[1],
            "p1-support": "round_top_frame",
            "p1-width-ft": "4",
            "p1-height-ft": "7",
            "fullness": "full",
            "colour": ["gold", "sage", "cream"],
            "date": "2027-06-06",
            "time": "15:00",
            "place": "hall",
            "postal_code": "02139",
            "setting": "indoor",
            "name": "Nora",
            "email": "nora@rowing.example",
        }
        time.sleep(3.1)  # whoever is faster is taken for a machine
        page = browser.post("/form", data=fields)
        assert "/requests/" in page.url.path

        def replied() -> list[int] | None:
            return _amounts(browser.get(page.url).text.partition("Your ballpark is")[2]) or None

        return wait_for(replied, "the form's ballpark")


def test_a_worker_killed_while_it_quotes_leaves_exactly_one_reply(shop: Running) -> None:
    client = shop.client()
    client.say(CANONICAL)
    readback = client.wait("readback")
    worker = shop.pid("replies")
    # The worker sleeps until the job is queued, then finds a service that stands still: so it is
    # caught in the middle of its first call, which the service answers after its death.
    shop.kill("replies", signal.SIGSTOP)
    client.press(readback, "confirm")
    shop.kill("service", signal.SIGSTOP)
    shop.kill("replies", signal.SIGCONT)
    time.sleep(0.5)
    shop.kill("replies")
    shop.kill("service", signal.SIGCONT)
    ballpark = client.wait("ballpark", timeout_s=40)
    assert _amounts(ballpark["text"])
    assert shop.pid("replies") != worker
    time.sleep(3)  # long enough for the sweep to look again
    assert client.kinds().count("ballpark") == 1


def test_workers_killed_at_any_moment_leave_exactly_one_reply_each(shop: Running) -> None:
    moments = random.Random(20270110)
    clients = []
    for _ in range(3):  # tests/faults kills by the thousand
        client = shop.client()
        _ask(client)
        time.sleep(moments.uniform(0.0, 0.12))
        shop.kill("replies")
        clients.append(client)
    for client in clients:
        client.wait("ballpark", timeout_s=60)
    time.sleep(3)
    assert [client.kinds().count("ballpark") for client in clients] == [1] * len(clients)


def test_a_lead_posted_while_redis_is_down_gets_its_reply(shop: Running) -> None:
    shop.kill("redis", signal.SIGSTOP)
    with shop.api("website") as website:
        began = time.monotonic()
        posted = website.post(
            "/v1/leads", json={"brief": BRIEF}, headers={"Idempotency-Key": f'"{uuid.uuid4()}"'}
        )
        assert posted.status_code == 202
        assert time.monotonic() - began < 5
        path = httpx.URL(posted.json()["status_url"]).path
        assert website.get(path).json()["state"] == "new"
        shop.kill("redis", signal.SIGCONT)
        wait_for(lambda: website.get(path).json()["quote"], "the ballpark after Redis is back")


def test_a_redis_that_forgets_everything_costs_no_reply(shop: Running) -> None:
    client = shop.client()
    client.say(CANONICAL)
    readback = client.wait("readback")
    shop.kill("replies", signal.SIGSTOP)
    with Redis.from_url(shop.redis_url) as redis:
        before = set(redis.keys("rq:job:quote-*"))
        client.press(readback, "confirm")
        wait_for(lambda: set(redis.keys("rq:job:quote-*")) - before or None, "it is queued")
        redis.flushall()
        assert redis.dbsize() == 0
    shop.kill("replies", signal.SIGCONT)
    client.wait("ballpark", timeout_s=40)
    time.sleep(3)
    assert client.kinds().count("ballpark") == 1


def test_the_bot_killed_in_the_middle_asks_nothing_twice(shop: Running) -> None:
    client = shop.client()
    client.say("hello, could you do a hoop for our library's reopening?")
    client.wait("ask")
    asked_before = [m["asks"] for m in client.messages() if m["kind"] == "ask"]
    shop.kill("bot")
    client.say("it is 6 ft across, sage and cream, june 6 at 3pm, indoors, 02139")
    client.press(client.wait("readback"), "confirm")
    client.wait("ballpark")
    asked = [m["asks"] for m in client.messages() if m["kind"] == "ask"]
    assert asked == asked_before


def test_a_channel_that_hangs_holds_up_nobody_else(shop: Running, bot_api: BotApiServer) -> None:
    bot_api.stall("sendMessage", 12.0)
    bot_api.say(4343, "hello")
    bot_api.wait_for_calls("sendMessage", 1, timeout_s=30)
    client = shop.client()
    began = time.monotonic()
    _ask(client)
    client.wait("ballpark")
    assert time.monotonic() - began < 8
    bot_api.wait_for_sent(4343, 1, timeout_s=30)
    time.sleep(3)
    assert len(bot_api.sent(4343)) == 1
