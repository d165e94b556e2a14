"""The job that turns a lead into a quote."""

import json
from functools import partial

import httpx
import pytest
import respx

from service.contract.client import ServiceClient
from tests.workers.conftest import RunJob
from tests.workers.wire import a_lead, a_lease, a_problem, an_estimate, an_outcome
from workers.quoting import quote_lead
from workers.steps import StepFailed


async def _quote(service: ServiceClient) -> None:
    await quote_lead(service, "s1")


@pytest.fixture
def leased(service: respx.MockRouter) -> respx.MockRouter:
    service.post("/v1/steps/s1/lease").respond(text=a_lease().model_dump_json())
    outcome = an_outcome().model_dump_json()
    service.post("/v1/leads/L1/quotes", name="quote").respond(text=outcome)
    service.post("/v1/leads/L1/reviews", name="review").respond(text=outcome)
    service.post("/v1/steps/s1/failures", name="failure").respond(204)
    return service


def test_an_estimate_is_handed_in_under_the_lease(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    estimates = leased.post("/v1/estimates").respond(text=an_estimate().model_dump_json())
    run_job(_quote)
    asked = json.loads(estimates.calls.last.request.content)
    assert asked["pieces"][0]["width_m"] == 1.2192
    handed_in = json.loads(leased["quote"].calls.last.request.content)
    assert (handed_in["step_id"], handed_in["fence"]) == ("s1", 3)
    assert handed_in["estimate"]["price"]["low"] == str(an_estimate().price.low)
    assert leased["quote"].calls.last.request.headers["Content-Type"] == "application/json"
    assert not leased["failure"].called
    assert leased.calls.call_count == 3  # lease, estimate, quote


def test_a_service_that_leases_without_the_brief_is_asked_for_it(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    bare = a_lease().model_dump_json(exclude={"brief"})
    leased.post("/v1/steps/s1/lease").respond(text=bare)
    lead = leased.get("/v1/leads/L1").respond(text=a_lead().model_dump_json())
    leased.post("/v1/estimates").respond(text=an_estimate().model_dump_json())
    run_job(_quote)
    assert lead.called
    assert leased["quote"].called


def test_a_brief_that_cannot_be_estimated_goes_to_the_owner_with_the_reasons(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    problem = a_problem(422, ("pieces.0.width_m", "at most 30 m"), ("palette", "too many"))
    leased.post("/v1/estimates").respond(422, json=problem)
    run_job(_quote)
    review = json.loads(leased["review"].calls.last.request.content)
    assert review == {
        "step_id": "s1",
        "fence": 3,
        "reasons": ["pieces.0.width_m: at most 30 m", "palette: too many"],
    }
    assert not leased["quote"].called
    assert not leased["failure"].called


def test_a_refusal_without_field_errors_still_gives_the_owner_a_reason(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    leased.post("/v1/estimates").respond(422, json=a_problem(422))
    run_job(_quote)
    assert json.loads(leased["review"].calls.last.request.content)["reasons"] == ["No"]


@pytest.mark.parametrize("status", [404, 409])
def test_a_step_that_is_not_ours_ends_quietly(
    service: respx.MockRouter, run_job: RunJob, status: int
) -> None:
    lease = service.post("/v1/steps/s1/lease").respond(status, json=a_problem(status))
    run_job(_quote)
    assert lease.call_count == 1
    assert service.calls.call_count == 1


def test_a_lease_lost_on_the_way_ends_quietly(leased: respx.MockRouter, run_job: RunJob) -> None:
    leased.post("/v1/estimates").respond(text=an_estimate().model_dump_json())
    leased["quote"].respond(409, json=a_problem(409))
    run_job(_quote)
    assert not leased["failure"].called


def test_trouble_is_told_by_its_kind_only_and_raised_for_a_retry(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    leased.post("/v1/estimates").mock(side_effect=LookupError("our silver wedding"))
    with pytest.raises(StepFailed) as raised:
        run_job(_quote)
    assert json.loads(leased["failure"].calls.last.request.content) == {
        "fence": 3,
        "error": "LookupError",
        "retry": True,
        "retry_after_s": None,
        "unclear": False,
        "attempted": True,
    }
    assert "silver wedding" not in str(raised.value)
    assert raised.value.__suppress_context__


def test_a_service_that_refuses_the_key_is_trouble_not_silence(
    service: respx.MockRouter, run_job: RunJob
) -> None:
    service.post("/v1/steps/s1/lease").respond(401, json=a_problem(401))
    with pytest.raises(StepFailed, match="401"):
        run_job(_quote)


def test_a_service_gone_for_good_leaves_the_step_to_the_sweep(
    leased: respx.MockRouter, run_job: RunJob
) -> None:
    leased.post("/v1/estimates").mock(side_effect=httpx.ConnectError("gone"))
    leased["failure"].mock(side_effect=httpx.ConnectError("gone"))
    with pytest.raises(StepFailed, match="ServiceUnavailable"):
        run_job(partial(quote_lead, step_id="s1"))
