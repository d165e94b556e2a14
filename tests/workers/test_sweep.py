"""The job that has owed steps queued again."""

import logging
from collections.abc import Iterator

import httpx
import pytest
import respx

from tests.workers.conftest import RunJob
from workers.sweep import sweep


@pytest.fixture
def told(caplog: pytest.LogCaptureFixture) -> Iterator[pytest.LogCaptureFixture]:
    with caplog.at_level(logging.INFO, logger="workers"):
        yield caplog


def test_a_sweep_tells_how_many_steps_were_owed(
    service: respx.MockRouter, run_job: RunJob, told: pytest.LogCaptureFixture
) -> None:
    route = service.post("/v1/outbox/sweep").respond(json={"queued": 2})
    run_job(sweep)
    assert route.call_count == 1
    assert "2 owed steps" in told.text


def test_a_sweep_that_fails_waits_for_the_next(
    service: respx.MockRouter, run_job: RunJob, told: pytest.LogCaptureFixture
) -> None:
    service.post("/v1/outbox/sweep").mock(side_effect=httpx.ConnectError("gone"))
    run_job(sweep)
    assert "does not answer" in told.text
