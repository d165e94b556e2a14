"""What a finished job took, as JSON: read, told, corrected; photos; figures and the table."""

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from service.leads.lead import LeadState
from tests.service.api.conftest import Service


@pytest.fixture
def job(
    service: Service, post_lead: Callable[..., dict[str, Any]], work_off: Callable[[], Any]
) -> str:
    """The path of a job that is done."""
    lead_id = post_lead()["lead_id"]
    work_off()
    with service.ports.work() as work:
        work.leads.save(replace(work.leads.get(lead_id), state=LeadState.DONE))
        work.commit()
    return f"/v1/leads/{lead_id}/actuals"


def picture() -> bytes:
    made = BytesIO()
    Image.new("RGB", (40, 30), "teal").save(made, "PNG")
    return made.getvalue()


def test_a_job_is_told_of_corrected_and_taken_out_as_a_table(service: Service, job: str) -> None:
    owner = service.client("owner")
    before = owner.get(job).json()
    assert (before["told"], before["revision"]) == (None, 0)
    assert before["comparison"]["real_cost"] == before["comparison"]["planned_cost"]
    body = {
        "basis": before["basis"],
        "revision": 0,
        "hours": {"tying": 1.5},
        "burst": {"10": 2},
        "used": 300,
        "used_by": [{"size_class": 5, "colour": "sage", "count": 40}],
        "extras": [{"what": "=cmd()", "amount": "7.25"}],
        "went_wrong": "the lift was out of order",
    }
    asked = owner.put(job, json=body)
    assert asked.status_code == 422
    assert [each["field"] for each in asked.json()["errors"]] == ["hours.tying"]
    body["sure"] = ["hours.tying"]
    told = owner.put(job, json=body)
    assert told.status_code == 200, told.text
    assert owner.get(job).json() == told.json()
    kept = told.json()["told"]
    said = {name: body[name] for name in body if name not in ("basis", "revision", "sure")}
    assert {name: kept[name] for name in said} == said
    assert told.json()["comparison"]["lines"][-1] == {
        "label": "=cmd()",
        "planned": "0",
        "real": "7.25",
        "told": True,
    }
    # The same again is the same; something else needs to have seen it.
    assert owner.put(job, json=body).json()["revision"] == 1
    assert owner.put(job, json=body | {"used": 301}).status_code == 409
    assert owner.put(job, json=body | {"used": 301, "revision": 1}).json()["revision"] == 2
    jobs = owner.get("/v1/figures").json()["jobs"]
    assert jobs["with_actuals"] == 1
    margin = told.json()["comparison"]["real_margin"]
    assert jobs["real_margin"]["amount"] != jobs["planned_margin_of_those"]["amount"]
    assert float(jobs["real_margin"]["amount"]) == pytest.approx(float(margin), abs=1)
    table = owner.get("/v1/export/actuals.csv").text
    head, row = table.splitlines()
    assert head.startswith("number,done_on,quote,before_tax,currency,planned_cost,real_cost")
    assert before["basis"] in row
    assert "the lift was out of order" in row


def test_what_cannot_be_is_a_problem_with_its_field(service: Service, job: str) -> None:
    owner = service.client("owner")
    body = {"basis": owner.get(job).json()["basis"], "revision": 0}
    answer = owner.put(job, json=body | {"hours": {"dancing": 1}, "burst": {"3": 1}})
    assert answer.status_code == 422
    assert {each["field"] for each in answer.json()["errors"]} == {"hours.dancing", "burst.3"}
    assert owner.put(job, json=body).status_code == 422
    (untold,) = owner.get("/v1/needs").json()["untold_jobs"]
    assert untold["lead_id"] in job
    assert owner.get("/v1/leads/nothing/actuals").status_code == 404


def test_photos_come_and_go(service: Service, job: str) -> None:
    owner = service.client("owner")
    kept = owner.post(f"{job}/photos", content=picture())
    assert kept.status_code == 201
    (name,) = owner.post(f"{job}/photos", content=picture()).json()["photos"]
    shown = owner.get(f"{job}/photos/{name}")
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.content.startswith(b"\xff\xd8\xff")
    assert owner.post(f"{job}/photos", content=b"no picture").status_code == 422
    assert owner.delete(f"{job}/photos/{name}").json()["photos"] == []
    assert owner.get(f"{job}/photos/{name}").status_code == 404


def test_a_large_form_with_photos_is_not_read_before_it_is_known_who_sends_it(
    service: Service,
) -> None:
    large = {"photo": ("a.jpg", bytes(3 * 1024 * 1024))}
    stranger = service.client()
    answer = stranger.post("/desk/leads/any/actuals", files=large, follow_redirects=False)
    assert answer.headers["location"].startswith("/desk/sign-in")
    assert stranger.post("/desk/leads/any/notes", files=large).status_code == 413
