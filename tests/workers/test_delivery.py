"""The job that sends one message through a push channel."""

import asyncio
import json
from functools import partial
from typing import Any

import httpx
import pytest
import respx

from service.contract.client import ServiceClient
from service.contract.talk import OutgoingMessage, Picture
from tests.workers.conftest import RunJob
from tests.workers.wire import a_delivery, a_lease, a_problem
from workers import delivery, queues, steps
from workers.channels import NotEver, NotNow, NotSent, Unclear
from workers.channels.telegram import TIMEOUT
from workers.delivery import deliver
from workers.steps import StepFailed

PICTURE = Picture(
    url="https://shop.test/quotes/t.oken/picture.png?of=G1001-1",
    page_url="https://shop.test/quotes/t.oken/picture.webp?of=G1001-1",
    alt="A drawing of your balloons.",
)


class RecordingChannel:
    """Keeps what was sent; raises what the test wants."""

    def __init__(
        self,
        service: respx.MockRouter,
        trouble: Exception | None = None,
        *,
        lasts_s: float = 0,
    ) -> None:
        self.sent: list[tuple[str, str]] = []
        self.after_share: list[bool] = []
        self.pictures: list[bytes | None] = []
        self.calls_before: list[str] = []
        self._service = service
        self._trouble = trouble
        self._lasts_s = lasts_s

    async def send(
        self,
        chat_id: str,
        message: OutgoingMessage,
        *,
        after_share: bool = False,
        picture: bytes | None = None,
    ) -> None:
        self.calls_before = [call.request.url.path for call in self._service.calls]
        await asyncio.sleep(self._lasts_s)
        if self._trouble:
            raise self._trouble
        self.sent.append((chat_id, message.text))
        self.after_share.append(after_share)
        self.pictures.append(picture)


@pytest.fixture
def leased(service: respx.MockRouter) -> respx.MockRouter:
    service.post("/v1/steps/s1/lease", name="lease").respond(
        text=a_lease("deliver").model_dump_json()
    )
    service.get("/v1/messages/7", name="message").respond(text=a_delivery().model_dump_json())
    service.post("/v1/steps/s1/renewals", name="renewal").respond(204)
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


def test_a_picture_is_asked_for_at_the_service_before_the_channel_is_touched(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    leased["message"].respond(text=a_delivery(PICTURE).model_dump_json())
    png = leased.get("/quotes/t.oken/picture.png", params={"of": "G1001-1"}).respond(content=b"PNG")
    channel = RecordingChannel(leased)
    run_job(_deliver_through(channel))
    assert channel.pictures == [b"PNG"]
    assert png.call_count == 1
    assert channel.calls_before[-2:] == ["/quotes/t.oken/picture.png", "/v1/steps/s1/sending"]


@pytest.mark.parametrize("answer", [404, 410, 500, httpx.ConnectError("away"), "too late"])
def test_a_price_goes_out_without_a_picture_that_does_not_come(
    leased: respx.MockRouter,
    run_job: RunJob,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    answer: int | str | Exception,
) -> None:
    monkeypatch.setattr(delivery, "_PICTURE_LIMIT_S", 0.05)
    leased["message"].respond(text=a_delivery(PICTURE).model_dump_json())
    png = leased.get("/quotes/t.oken/picture.png")
    if isinstance(answer, int):
        png.respond(answer)
    elif isinstance(answer, Exception):
        png.mock(side_effect=answer)
    else:
        png.mock(side_effect=_never)
    channel = RecordingChannel(leased)
    run_job(_deliver_through(channel))
    assert (channel.sent, channel.pictures) == ([("4711", "About $380 to $500.")], [None])
    assert leased["done"].called
    assert "goes without its picture" in caplog.text
    assert "t.oken" not in caplog.text


async def _never(request: httpx.Request) -> httpx.Response:
    await asyncio.sleep(30)
    return httpx.Response(200)


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


@pytest.mark.parametrize(
    ("asked_s", "passed_on_s"),
    [(0.35, 0.35), (17, 17), (35_000, 35_000), (900_000, 86_400)],
    ids=["a moment", "some seconds", "most of a day", "longer than the ledger takes"],
)
def test_a_pause_that_the_channel_asks_for_is_passed_on(
    leased: respx.MockRouter, run_job: RunJob, asked_s: float, passed_on_s: float
) -> None:
    run_job(_deliver_through(RecordingChannel(leased, NotNow(asked_s))))
    failure = _failure(leased)
    assert (failure["retry"], failure["retry_after_s"]) == (True, passed_on_s)
    assert failure["attempted"] is False
    assert not leased["done"].called


@pytest.mark.parametrize("after_share", [True, False])
def test_the_channel_hears_whether_keys_are_to_be_taken_away(
    leased: respx.MockRouter, run_job: RunJob, after_share: bool
) -> None:
    delivery = a_delivery().model_copy(update={"after_share": after_share})
    leased["message"].respond(text=delivery.model_dump_json())
    channel = RecordingChannel(leased)
    run_job(_deliver_through(channel))
    assert channel.after_share == [after_share]


def test_a_chat_that_cannot_be_reached_is_given_up_with_the_reason(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    run_job(_deliver_through(RecordingChannel(leased, NotEver("Telegram: bot was blocked"))))
    failure = _failure(leased)
    assert (failure["retry"], failure["error"]) == (False, "Telegram: bot was blocked")


def test_what_was_not_sent_is_tried_again_soon(leased: respx.MockRouter, run_job: RunJob) -> None:
    trouble = NotSent("Telegram cannot be reached (ConnectError)")
    run_job(_deliver_through(RecordingChannel(leased, trouble)))
    assert leased["failure"].call_count == 1
    failure = _failure(leased)
    assert failure["error"] == "Telegram cannot be reached (ConnectError)"
    assert (failure["retry"], failure["retry_after_s"], failure["unclear"]) == (True, None, False)


def test_what_may_be_out_is_told_and_left_to_the_sweep(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    run_job(_deliver_through(RecordingChannel(leased, Unclear("no answer"))))
    assert leased["failure"].call_count == 1
    failure = _failure(leased)
    assert (failure["retry"], failure["unclear"], failure["error"]) == (True, True, "no answer")


def test_trouble_that_no_channel_should_make_counts_as_unclear_and_tells_no_words(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    with pytest.raises(StepFailed, match="ConnectionResetError"):
        run_job(_deliver_through(RecordingChannel(leased, ConnectionResetError("4711"))))
    failure = _failure(leased)
    assert (failure["unclear"], failure["error"]) == (True, "ConnectionResetError")


def test_trouble_before_the_channel_is_touched_is_not_unclear(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    leased["message"].respond(403, json=a_problem(403))
    with pytest.raises(StepFailed, match="403"):
        run_job(_deliver_through(RecordingChannel(leased)))
    assert _failure(leased)["unclear"] is False


def test_a_sent_message_that_cannot_be_confirmed_is_unclear(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    leased["done"].respond(400, json=a_problem(400))
    with pytest.raises(StepFailed):
        run_job(_deliver_through(RecordingChannel(leased)))
    assert _failure(leased)["unclear"] is True


def test_a_send_that_never_ends_is_cut_off_as_unclear(
    leased: respx.MockRouter, run_job: RunJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(delivery, "SEND_LIMIT_S", 0.05)
    channel = RecordingChannel(leased, lasts_s=30)
    run_job(_deliver_through(channel))
    assert channel.sent == []
    assert _failure(leased)["unclear"] is True


def _paths(service: respx.MockRouter) -> list[str]:
    return [call.request.url.path.rpartition("/")[2] for call in service.calls]


def test_the_lease_is_renewed_while_a_send_is_under_way_and_not_afterwards(
    leased: respx.MockRouter, run_job: RunJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(steps, "RENEW_LEASE_EVERY_S", 0.1)

    async def job(service: ServiceClient) -> None:
        await _deliver_through(RecordingChannel(leased, lasts_s=0.35))(service)
        await asyncio.sleep(0.25)

    run_job(job)
    paths = _paths(leased)
    renewals = paths.count("renewals")
    assert 2 <= renewals <= 3
    assert paths == ["lease", "7", "sending", *["renewals"] * renewals, "done"]
    assert json.loads(leased["renewal"].calls.last.request.content) == {"fence": 3}


def test_a_lease_lost_during_a_send_does_not_stop_it_and_its_outcome_is_refused_quietly(
    leased: respx.MockRouter, run_job: RunJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(steps, "RENEW_LEASE_EVERY_S", 0.05)
    leased["renewal"].respond(409, json=a_problem(409))
    leased["done"].respond(409, json=a_problem(409))
    channel = RecordingChannel(leased, lasts_s=0.2)
    run_job(_deliver_through(channel))
    assert leased["renewal"].call_count > 1
    assert leased["sending"].call_count == 1
    assert len(channel.sent) == 1
    assert leased["done"].called
    assert not leased["failure"].called


def test_a_bot_without_its_token_is_waited_for_and_told_in_the_log(
    leased: respx.MockRouter, run_job: RunJob, caplog: pytest.LogCaptureFixture
) -> None:
    run_job(partial(deliver, channels={}, step_id="s1"))
    failure = _failure(leased)
    assert (failure["retry"], failure["retry_after_s"]) == (True, 60)
    assert (failure["unclear"], "telegram" in failure["error"]) == (False, True)
    assert failure["attempted"] is True  # it has to come to the desk one day
    assert "is the bot's token set?" in caplog.text


def test_each_limit_leaves_room_for_the_one_inside_it() -> None:
    assert sum(filter(None, TIMEOUT.as_dict().values())) < queues.SEND_LIMIT_S
    assert queues.SEND_LIMIT_S < queues.JOB_LIMIT_S < queues.ABANDONED_AFTER_S
