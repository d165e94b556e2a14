"""The job that turns a lead into a quote."""

import logging
from functools import partial

import httpx
import pytest
import respx

from tests.workers.conftest import RunJob
from tests.workers.wire import a_problem, quoted
from workers.quoting import quote_lead
from workers.steps import StepFailed

_quote = partial(quote_lead, step_id="s1")


def test_a_lead_is_quoted_in_one_call(
    service: respx.MockRouter, run_job: RunJob, caplog: pytest.LogCaptureFixture
) -> None:
    service.post("/v1/steps/s1/quote").respond(text=quoted(attempt=2).model_dump_json())
    with caplog.at_level(logging.INFO, "workers.quoting"):
        run_job(_quote)
    assert service.calls.call_count == 1
    assert "step s1: quote, attempt 2" in caplog.text


@pytest.mark.parametrize("status", [404, 409])
def test_a_step_that_is_not_ours_ends_quietly(
    service: respx.MockRouter, run_job: RunJob, status: int
) -> None:
    service.post("/v1/steps/s1/quote").respond(status, json=a_problem(status))
    run_job(_quote)
    assert service.calls.call_count == 1


def test_a_service_that_refuses_the_key_is_trouble_not_silence(
    service: respx.MockRouter, run_job: RunJob
) -> None:
    service.post("/v1/steps/s1/quote").respond(401, json=a_problem(401))
    with pytest.raises(StepFailed, match="401"):
        run_job(_quote)


def test_a_step_that_the_service_gave_back_is_asked_for_again_and_left(
    service: respx.MockRouter, run_job: RunJob
) -> None:
    """Its own trouble is on record there, and the step is not due yet."""
    refused = httpx.Response(409, json=a_problem(409))
    service.post("/v1/steps/s1/quote").side_effect = [httpx.Response(500), refused]
    run_job(_quote)
    assert service.calls.call_count == 2


def test_a_service_gone_for_good_leaves_the_step_to_the_sweep(
    service: respx.MockRouter, run_job: RunJob
) -> None:
    service.post("/v1/steps/s1/quote").mock(side_effect=httpx.ConnectError("gone"))
    with pytest.raises(StepFailed, match="does not answer") as raised:
        run_job(_quote)
    assert raised.value.__suppress_context__
