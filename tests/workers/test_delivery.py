"""The job that sends one message through a push channel."""

import json
from functools import partial
from typing import Any

import pytest
import respx

from service.contract.client import ServiceClient
from service.contract.talk import OutgoingMessage
from tests.workers.conftest import RunJob
from tests.workers.wire import a_delivery, a_lease, a_problem
from workers.channels import NotEver, NotNow
from workers.delivery import deliver
from workers.steps import StepFailed


class RecordingChannel:
    """Keeps what was sent; raises what the test wants."""

    def __init__(self, service: respx.MockRouter, trouble: Exception | None = None) -> None:
        self.sent: list[tuple[str, str]] = []
        self.calls_before: list[str] = []
        self._service = service
        self._trouble = trouble

    async def send(self, chat_id: str, message: OutgoingMessage) -> None:
        self.calls_before = [call.request.url.path for call in self._service.calls]
        if self._trouble:
            raise self._trouble
        self.sent.append((chat_id, message.text))


@pytest.fixture
def leased(service: respx.MockRouter) -> respx.MockRouter:
    service.post("/v1/steps/s1/lease", name="lease").respond(
        text=a_lease("deliver").model_dump_json()
    )
    service.get("/v1/messages/7", name="message").respond(text=a_delivery().model_dump_json())
    service.post("/v1/steps/s1/sending", name="sending").respond(204)
    service.post("/v1/steps/s1/done", name="done").respond(204)
    service.post("/v1/steps/s1/failures", name="failure").respond(204)
    return service


def _deliver_through(channel: RecordingChannel) -> Any:
    async def job(service: ServiceClient) -> None:
        await deliver(service, {"telegram": channel}, "s1")

    return job


def _failure(service: respx.MockRouter) -> dict[str, Any]:
    failure: dict[str, Any] = json.loads(service["failure"].calls.last.request.content)
    return failure


def test_the_service_hears_sending_before_and_done_after_the_channel(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    channel = RecordingChannel(leased)
    run_job(_deliver_through(channel))
    assert channel.sent == [("4711", "About $380 to $500.")]
    assert channel.calls_before[-1] == "/v1/steps/s1/sending"
    paths = [call.request.url.path for call in leased.calls]
    assert paths == [*channel.calls_before, "/v1/steps/s1/done"]
    assert json.loads(leased["done"].calls.last.request.content) == {"fence": 3}


def test_a_message_whose_first_sending_was_cut_off_is_sent_again(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    again = a_lease("deliver", maybe_done=True)
    leased["lease"].respond(text=again.model_dump_json())
    channel = RecordingChannel(leased)
    run_job(_deliver_through(channel))
    assert len(channel.sent) == 1


def test_nothing_is_sent_once_the_lease_is_lost(leased: respx.MockRouter, run_job: RunJob) -> None:
    leased["sending"].respond(409, json=a_problem(409))
    channel = RecordingChannel(leased)
    run_job(_deliver_through(channel))
    assert channel.sent == []
    assert not leased["failure"].called


def test_a_pause_that_the_channel_asks_for_is_passed_on(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    run_job(_deliver_through(RecordingChannel(leased, NotNow(17))))
    failure = _failure(leased)
    assert (failure["retry"], failure["retry_after_s"]) == (True, 17)
    assert not leased["done"].called


def test_a_chat_that_cannot_be_reached_is_given_up_with_the_reason(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    run_job(_deliver_through(RecordingChannel(leased, NotEver("Telegram: bot was blocked"))))
    failure = _failure(leased)
    assert (failure["retry"], failure["error"]) == (False, "Telegram: bot was blocked")


def test_an_unclear_end_is_tried_again(leased: respx.MockRouter, run_job: RunJob) -> None:
    with pytest.raises(StepFailed, match="ConnectionResetError"):
        run_job(_deliver_through(RecordingChannel(leased, ConnectionResetError("4711"))))
    failure = _failure(leased)
    assert (failure["retry"], failure["error"]) == (True, "ConnectionResetError")


def test_without_a_way_out_the_owner_is_told_why(leased: respx.MockRouter, run_job: RunJob) -> None:
    run_job(partial(deliver, channels={}, step_id="s1"))
    failure = _failure(leased)
    assert failure["retry"] is False
    assert "telegram" in failure["error"]
