"""What a running shop tells of itself, and how it stops in the middle of conversations."""

import json
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.bot_api import BotApiServer
from tests.deploy.monitoring import metrics_in_alerts, metrics_in_dashboard
from tests.whole.conftest import CANONICAL, settings_with
from tests.whole.running import Running, running, wait_for

pytestmark = [pytest.mark.whole, pytest.mark.timeout(180)]

FOLLOWED = 4242
IN_HAND = (5001, 5002, 5003)
PROCESSES = ("service", "bot", "replies", "deliveries", "chores", "upkeep")


@dataclass
class Seen:
    """What was to be seen from outside of a shop that was stopped and started again."""

    bot_api: BotApiServer
    logs: dict[str, str] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    ready: list[str] = field(default_factory=list)
    scraped: dict[str, set[str]] = field(default_factory=dict)
    stream_ended_well: bool = False
    stopped_at_once_s: float = 0.0

    def lines(self, process: str) -> list[dict[str, Any]]:
        """A process's log."""
        return [json.loads(line) for line in self.logs[process].splitlines()]


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seen]:
    """A message is followed, conversations are under way, all stops, all starts again."""
    folder = tmp_path_factory.mktemp("shop")
    with BotApiServer() as bot_api, ThreadPoolExecutor() as beside:
        found = Seen(bot_api)
        settings = {**settings_with(bot_api), "GARLANDRY_DRAIN_S": "1"}
        with running(folder, settings) as shop:
            _ask(bot_api, FOLLOWED)
            bot_api.wait_for_sent(FOLLOWED, 3, timeout_s=30)
            found.scraped = {base: _scrape(shop, base) for base in (shop.service, shop.chat)}
            for chat in IN_HAND:
                bot_api.say(chat, CANONICAL)
            for chat in IN_HAND:
                bot_api.wait_for_sent(chat, 1, timeout_s=30)
            streaming = threading.Event()
            stream = beside.submit(_read_stream, shop.chat, streaming)
            assert streaming.wait(10)
            for chat in IN_HAND:
                _confirm(bot_api, chat)
            time.sleep(0.1)
            readiness = beside.submit(_ask_until_gone, shop.service)
        found.stream_ended_well, found.ready = stream.result(10), readiness.result(10)
        found.told += shop.told
        found.logs = {name: shop.log(name) for name in (*PROCESSES, "redis")}
        with running(folder, settings) as shop:
            for chat in IN_HAND:
                bot_api.wait_for_sent(chat, 3, timeout_s=30)
            time.sleep(3)  # long enough for a sweep to look again
            found.told += shop.told
            found.stopped_at_once_s = _stop_twice(shop)
        yield found


def _ask(bot_api: BotApiServer, chat: int) -> None:
    bot_api.say(chat, CANONICAL)
    bot_api.wait_for_sent(chat, 1, timeout_s=30)
    _confirm(bot_api, chat)


def _confirm(bot_api: BotApiServer, chat: int) -> None:
    (readback,) = bot_api.sent(chat)
    confirm = next(b for b in readback.buttons if b["callback_data"].startswith("confirm"))
    bot_api.press(chat, readback.message_id, confirm["callback_data"])


def _scrape(shop: Running, base: str) -> set[str]:
    headers = {"Authorization": f"Bearer {shop.keys['metrics']}"}
    text = httpx.get(f"{base}/metrics", headers=headers).raise_for_status().text
    return {sample.name for one in text_string_to_metric_families(text) for sample in one.samples}


def _read_stream(chat: str, streaming: threading.Event) -> bool:
    """Whether an open page's stream ended, and was not cut off."""
    with httpx.Client(base_url=chat, timeout=30) as client:
        client.post("/chat/session").raise_for_status()
        with client.stream("GET", "/chat/stream") as response:
            try:
                for _ in response.iter_lines():
                    streaming.set()
            except httpx.TransportError:
                return False
    return True


def _ask_until_gone(service: str) -> list[str]:
    """What the service said of itself until nobody answered any more."""
    said: list[str] = []
    while True:
        try:
            said.append(httpx.get(f"{service}/readyz", timeout=5).json()["status"])
        except httpx.TransportError:
            return said
        time.sleep(0.05)


def _stop_twice(shop: Running) -> float:
    """How long the service lives after the second request to stop."""
    pid = shop.pid("service")
    shop.kill("service", signal.SIGTERM)
    time.sleep(0.2)
    shop.kill("service", signal.SIGTERM)
    began = time.monotonic()
    wait_for(lambda: shop.pid("service") != pid or None, "it is another one")
    return time.monotonic() - began


def test_one_search_shows_the_whole_way_of_a_message(seen: Seen) -> None:
    pressed = [line for line in seen.lines("bot") if "update 2 received" in line["message"]]
    trace = pressed[0]["trace_id"]
    way = {
        process: [line for line in seen.lines(process) if line.get("trace_id") == trace]
        for process in PROCESSES
    }
    assert any("answered" in line["message"] for line in way["bot"])
    requests = [line["message"].partition(":")[0] for line in way["service"]]
    assert requests[0] == "POST /v1/inbox"
    assert "POST /v1/leads" in requests
    assert "POST /v1/steps/{step_id}/quote" in requests
    (quoting,) = [line for line in way["replies"] if "quote, attempt 1" in line["message"]]
    (taken,) = [line for line in way["service"] if "POST /v1/leads:" in line["message"]]
    assert quoting["lead_id"] == taken["lead_id"]
    assert quoting["step_id"] in quoting["job_id"]
    # What the bot said and the ballpark itself: both went out on the same way.
    assert len([line for line in way["deliveries"] if "deliver, attempt" in line["message"]]) == 2


def test_every_line_is_an_object_that_says_when_and_who(seen: Seen) -> None:
    for process in (*PROCESSES, "redis"):
        for line in seen.lines(process):
            assert line["process"] == process
            assert line["time"].endswith("Z")
            assert line["level"] in ("INFO", "WARNING", "ERROR")


def test_a_stop_cuts_off_no_reply_and_doubles_none(seen: Seen) -> None:
    assert [len(seen.bot_api.sent(chat)) for chat in IN_HAND] == [3] * len(IN_HAND)
    assert seen.stream_ended_well


def test_nothing_went_wrong_in_stopping(seen: Seen) -> None:
    trouble = [
        (process, line["message"])
        for process in PROCESSES
        for line in seen.lines(process)
        if line["level"] in ("ERROR", "CRITICAL") or "Cancelled" in json.dumps(line)
    ]
    assert trouble == []
    assert not any("ended by itself" in told for told in seen.told)


def test_a_service_that_is_about_to_stop_says_so_first(seen: Seen) -> None:
    assert seen.ready[0] in ("ready", "degraded")
    assert seen.ready[-1] == "draining"


def test_a_second_request_to_stop_stops_at_once(seen: Seen) -> None:
    assert seen.stopped_at_once_s < 0.7  # less than the pause before the doors close


def test_every_figure_of_dashboard_and_alerts_is_one_that_a_shop_gives(seen: Seen) -> None:
    given = set().union(*seen.scraped.values())
    assert metrics_in_dashboard() - given == set()
    assert metrics_in_alerts() - given == set()
