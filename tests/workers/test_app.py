"""How a worker process is wired."""

import asyncio
import logging
from typing import Any

import pytest
import respx

from service.contract.client import ServiceClient
from service.contract.log_lines import quieten
from service.contract.talk import OutgoingMessage
from tests.workers.conftest import RunJob
from workers.app import allowed_jobs, channels, performer
from workers.channels import NotSent
from workers.config import Settings
from workers.jobs import JobRefused

TOKEN = "123456:canary-token"


def _settings(**more: Any) -> Settings:
    return Settings.model_validate({"REDIS_URL": "redis://r", "api_key": "canary-key", **more})


def test_without_a_token_there_is_no_way_out_to_telegram() -> None:
    assert channels(_settings()) == {}
    assert set(channels(_settings(telegram_token=TOKEN))) == {"telegram"}


def test_settings_do_not_print_their_secrets() -> None:
    printed = repr(_settings(telegram_token=TOKEN))
    assert "telegram_api" in printed
    assert "canary" not in printed


def test_no_log_at_any_level_holds_a_token_or_a_key(
    service: respx.MockRouter, run_job: RunJob, caplog: pytest.LogCaptureFixture
) -> None:
    quieten()
    service.get("/v1/messages/7").respond(500)
    way_out = channels(_settings(telegram_token=TOKEN, telegram_api="https://t.test"))["telegram"]
    sent = {"message_id": 1, "date": 0, "chat": {"id": 1, "type": "private"}}

    async def job(_: ServiceClient) -> None:
        await way_out.send("1", OutgoingMessage(text="for Imke Osei"))

    with respx.mock, caplog.at_level(logging.DEBUG):
        respx.post(url__startswith="https://t.test").respond(json={"ok": True, "result": sent})
        logging.getLogger("workers").debug("the level is low enough to see everything")
        run_job(job)
    assert "low enough" in caplog.text
    assert "canary" not in caplog.text
    assert "Imke" not in caplog.text


def test_an_error_page_that_repeats_our_address_is_not_logged(
    caplog: pytest.LogCaptureFixture,
) -> None:
    quieten()
    way_out = channels(_settings(telegram_token=TOKEN, telegram_api="https://t.test"))["telegram"]
    page = f"<p>Cannot reach /bot{TOKEN}/sendMessage</p>"
    with respx.mock, caplog.at_level(logging.DEBUG):
        respx.post(url__startswith="https://t.test").respond(502, html=page)
        with pytest.raises(NotSent) as told:
            asyncio.run(way_out.send("1", OutgoingMessage(text="hello")))
    assert "canary" not in caplog.text + str(told.value)


@pytest.mark.parametrize(
    ("name", "arguments"),
    [("os.mkdir", ["s1"]), ("workers.sweep.sweep", [1]), ("workers.sweep.sweep", ["a", "b"])],
)
def test_a_job_outside_the_list_is_refused_before_anything_is_called(
    name: str, arguments: list[object]
) -> None:
    called: list[object] = []

    async def job(*given: object) -> None:
        called.append(given)

    with asyncio.Runner() as runner:
        perform = performer(runner, {"workers.sweep.sweep": job})
        with pytest.raises(JobRefused):
            perform(name, arguments)
        assert called == []
        perform("workers.sweep.sweep", ["s1"])
    assert called == [("s1",)]


def test_the_allowed_jobs_are_the_ones_that_the_service_enqueues() -> None:
    service = ServiceClient("http://service.test", "key")
    assert set(allowed_jobs(service, {})) == {
        "workers.quoting.quote_lead",
        "workers.delivery.deliver",
        "workers.reminding.remind",
        "workers.sweep.sweep",
        "workers.chores.do_part",
    }
