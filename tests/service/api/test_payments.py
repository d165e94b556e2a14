"""Money over the API: the account, entries, canceling, what is due; and the calendar with feeds."""

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
import vobject
from starlette.testclient import TestClient

from service.leads import booking
from service.leads.lead import Client
from tests.service.api.conftest import Service


@pytest.fixture
def owner(service: Service) -> TestClient:
    return service.client("owner")


@pytest.fixture
def lead_id(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> str:
    """A lead with a date that is held."""
    lead_id: str = post_lead()["lead_id"]
    work_off()
    with service.ports.work() as work:
        booking.place_hold(
            work,
            service.ports,
            lead_id,
            starts_at=datetime.fromisoformat("2027-06-06T09:00:00-04:00"),
            client=Client(name="Nora", email="nora@rowing.example"),
            now=service.ports.clock(),
        )
        work.commit()
    return lead_id


def basis(account: dict[str, Any]) -> dict[str, Any]:
    return {"basis": account["basis"], "hold": account["hold"]}


def an_entry(account: dict[str, Any], **parts: Any) -> dict[str, Any]:
    usual = {
        "kind": "deposit",
        "amount": account["deposit"],
        "paid_on": "2027-01-10",
        "method": "check",
    }
    return {**usual, **basis(account), **parts}


def record(owner: TestClient, lead_id: str, body: dict[str, Any], key: str = "") -> Any:
    headers = {"Idempotency-Key": f'"{key or uuid.uuid4()}"'}
    return owner.post(f"/v1/leads/{lead_id}/payments", json=body, headers=headers)


def test_a_deposit_is_recorded_once_per_key_and_books_the_date(
    owner: TestClient, lead_id: str
) -> None:
    account = owner.get(f"/v1/leads/{lead_id}/payments").json()
    assert account["paid"] == "0"
    body = an_entry(account)
    first = record(owner, lead_id, body, key="one")
    again = record(owner, lead_id, body, key="one")
    assert record(owner, "another", body, key="one").status_code == 422
    assert first.status_code == 201
    assert (again.status_code, again.content) == (201, first.content)
    assert [each["kind"] for each in first.json()["payments"]] == ["deposit"]
    assert owner.get(f"/v1/leads/{lead_id}").json()["state"] == "booked"
    (due,) = owner.get("/v1/money").json()
    assert (due["lead_id"], due["due"]) == (lead_id, first.json()["due"])
    assert due["due_on"] == "2027-06-03"


def test_a_doubt_a_wrong_day_and_an_old_basis_are_told_apart(
    owner: TestClient, lead_id: str
) -> None:
    account = owner.get(f"/v1/leads/{lead_id}/payments").json()
    doubted = record(owner, lead_id, an_entry(account, amount="5"))
    assert doubted.status_code == 409
    assert doubted.json()["detail"].endswith("Is $5 right? If so, send it again with sure.")
    wrong = record(owner, lead_id, an_entry(account, paid_on="2027-02-01"))
    assert wrong.status_code == 422
    assert [each["field"] for each in wrong.json()["errors"]] == ["paid_on"]
    assert record(owner, lead_id, an_entry(account, hold="x")).status_code == 409
    unkeyed = owner.post(f"/v1/leads/{lead_id}/payments", json=an_entry(account))
    assert unkeyed.status_code == 400
    assert record(owner, lead_id, an_entry(account, amount="5", sure=True)).status_code == 201


def test_a_booking_is_canceled_by_the_rules_and_its_refund_is_owed(
    owner: TestClient, lead_id: str
) -> None:
    account = owner.get(f"/v1/leads/{lead_id}/payments").json()
    account = record(owner, lead_id, an_entry(account)).json()
    proposed = owner.get(f"/v1/leads/{lead_id}/cancel?by=client").json()
    assert (proposed["share"], proposed["returned"]) == ("1", account["deposit"])
    unreasoned = {"by": "client", "returned": "1", **basis(account)}
    refused = owner.post(f"/v1/leads/{lead_id}/cancel", json=unreasoned)
    assert (refused.status_code, refused.json()["errors"][0]["field"]) == (422, "reason")
    answer = owner.post(f"/v1/leads/{lead_id}/cancel", json={"by": "client", **basis(account)})
    assert answer.status_code == 200
    canceled = answer.json()
    assert canceled["owed_back"] == account["deposit"]
    again = owner.post(f"/v1/leads/{lead_id}/cancel", json={"by": "client", **basis(account)})
    assert again.status_code == 409
    refund = an_entry(canceled, kind="refund", amount=canceled["owed_back"])
    settled = record(owner, lead_id, refund).json()
    assert settled["owed_back"] == "0"
    assert owner.get("/v1/money").json() == []


def test_a_gift_lowers_the_price_and_a_refund_is_owed_again(
    owner: TestClient, lead_id: str
) -> None:
    account = owner.get(f"/v1/leads/{lead_id}/payments").json()
    account = record(owner, lead_id, an_entry(account)).json()
    rest = an_entry(account, kind="balance", amount=account["due"])
    account = record(owner, lead_id, rest).json()
    gift = record(owner, lead_id, an_entry(account, kind="gift", amount="20.00")).json()
    assert (gift["given"], gift["refunded"]) == ("20.00", "20.00")
    assert (float(gift["due"]), float(gift["owed_back"])) == (0, 0)
    assert float(gift["total"]) == float(account["total"]) - 20
    assert owner.get("/v1/money").json() == []
    refund = an_entry(account, kind="refund", amount="20.00")
    doubted = record(owner, lead_id, refund)
    assert (doubted.status_code, "unless it lowers the price" in doubted.text) == (409, True)
    assert record(owner, lead_id, refund | {"sure": True}).json()["due"] == "20.00"


def test_an_entry_is_voided_and_stays(owner: TestClient, lead_id: str) -> None:
    account = owner.get(f"/v1/leads/{lead_id}/payments").json()
    account = record(owner, lead_id, an_entry(account)).json()
    (entry,) = account["payments"]
    path = f"/v1/leads/{lead_id}/payments/{entry['id']}/void"
    voided = owner.post(path).json()
    assert voided["paid"] == "0"
    assert voided["payments"][0]["voided_at"] is not None
    assert owner.post(f"/v1/leads/{lead_id}/payments/none/void").status_code == 404


def test_the_calendar_tells_every_part_of_a_job(owner: TestClient, lead_id: str) -> None:
    found = owner.get("/v1/calendar?from=2027-06-06&to=2027-06-06").json()
    (job,) = found["jobs"]
    assert (job["lead_id"], job["booked"]) == (lead_id, False)
    assert [each["part"] for each in job["blocks"]][-4:] == ["leave", "setup", "event", "strike"]
    assert job["blocks"][-3]["starts_at"] == "2027-06-06T09:00:00-04:00"
    assert found["conflicts"] == []
    assert owner.get("/v1/calendar?from=2027-06-08&to=2027-06-30").json()["jobs"] == []
    for wrong in ("from=2027-06-08&to=2027-06-01", "from=2027-01-01&to=2029-01-01", "from=soon"):
        assert owner.get(f"/v1/calendar?{wrong}").status_code == 422


def test_a_feed_is_made_read_and_revoked(service: Service, owner: TestClient, lead_id: str) -> None:
    made = owner.post("/v1/feeds", json={"role": "helper", "name": "Lena's phone"}).json()
    path = made["url"].removeprefix("https://garlands.example")
    calendar = vobject.readOne(service.client().get(path).text)
    assert {event.status.value for event in calendar.vevent_list} == {"TENTATIVE"}
    assert all(event.uid.value.startswith(lead_id) for event in calendar.vevent_list)
    (listed,) = owner.get("/v1/feeds").json()
    assert set(listed) == {"id", "role", "name", "made_at"}
    assert all(listed[name] == made[name] for name in ("id", "role", "name"))
    assert owner.post(f"/v1/feeds/{made['id']}/revoke").status_code == 204
    assert service.client().get(path).status_code == 404
    assert owner.get("/v1/feeds").json() == []
