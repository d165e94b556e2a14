"""The job that has a reminder written once it is due."""

import json

import httpx
import pytest
import respx

from service.contract.client import ServiceClient
from tests.workers.conftest import RunJob
from tests.workers.wire import a_lease, a_problem
from workers.reminding import remind
from workers.steps import StepFailed


async def _remind(service: ServiceClient) -> None:
    await remind(service, "s1")


@pytest.fixture
def leased(service: respx.MockRouter) -> respx.MockRouter:
    service.post("/v1/steps/s1/lease").respond(text=a_lease("remind").model_dump_json())
    outcome = {"state": "sent", "due_at": None}
    service.post("/v1/reminders/7/due", name="due").respond(json=outcome)
    service.post("/v1/steps/s1/failures", name="failure").respond(204)
    return service


def test_the_service_is_told_that_a_reminder_is_due(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    run_job(_remind)
    assert json.loads(leased["due"].calls.last.request.content) == {"step_id": "s1", "fence": 3}
    assert not leased["failure"].called


@pytest.mark.parametrize("status", [404, 409])
def test_a_step_that_is_settled_already_ends_quietly(
    service: respx.MockRouter, run_job: RunJob, status: int
) -> None:
    service.post("/v1/steps/s1/lease").respond(status, json=a_problem(status))
    run_job(_remind)
    assert service.calls.call_count == 1


def test_an_old_fence_ends_quietly(leased: respx.MockRouter, run_job: RunJob) -> None:
    leased["due"].respond(409, json=a_problem(409))
    run_job(_remind)
    assert not leased["failure"].called


def test_trouble_gives_the_step_back(leased: respx.MockRouter, run_job: RunJob) -> None:
    leased["due"].mock(side_effect=httpx.ConnectError("gone"))
    with pytest.raises(StepFailed):
        run_job(_remind)
    told = json.loads(leased["failure"].calls.last.request.content)
    assert (told["fence"], told["retry"], told["unclear"]) == (3, True, False)
