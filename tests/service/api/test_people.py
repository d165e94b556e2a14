"""Helpers by the owner's key: invited, listed, let out again; and the set-ups that they see."""

from typing import Any

from service.leads import booking, letting_in
from service.leads.lead import Client
from tests.service.api.conftest import CANONICAL, Service

SOON = CANONICAL | {"event": {"date": "2027-02-14", "start_time": "15:00"}}


def invite(service: Service, name: str = "Sam Okoye") -> dict[str, Any]:
    answer = service.client("owner").post("/v1/people", json={"name": name})
    assert answer.status_code == 201, answer.text
    made: dict[str, Any] = answer.json()
    return made


def choose(service: Service, url: str) -> None:
    with service.ports.work() as work:
        token = url.rpartition("/")[2]
        letting_in.choose_password(work, service.ports, token, "a hash", now=service.ports.clock())
        work.commit()


def state_of(service: Service, person_id: str) -> str:
    people = service.client("owner").get("/v1/people").json()
    return next(str(each["state"]) for each in people if each["id"] == person_id)


def test_a_helper_is_invited_let_in_and_out_again(service: Service) -> None:
    welcome = invite(service)
    person = welcome["person"]["id"]
    assert welcome["url"].startswith("https://garlands.example/desk/welcome/")
    assert state_of(service, person) == "invited"
    choose(service, welcome["url"])
    assert state_of(service, person) == "active"
    owner = service.client("owner")
    for _ in range(2):  # again, nothing changes
        ended = owner.post(f"/v1/people/{person}/end")
        assert (ended.status_code, ended.json()["state"]) == (200, "ended")
    again = owner.post(f"/v1/people/{person}/invitations")
    assert again.status_code == 201
    assert again.json()["url"] != welcome["url"]
    assert state_of(service, person) == "invited"


def test_a_name_is_taken_once(service: Service) -> None:
    invite(service)
    refused = service.client("owner").post("/v1/people", json={"name": "sam  okoye"})
    assert refused.status_code == 409
    assert "of that name already" in refused.json()["detail"]
    for name in ("", "x" * 61):
        answer = service.client("owner").post("/v1/people", json={"name": name})
        assert answer.status_code == 422


def test_nobody_but_a_helper_is_invited_again_or_ended(service: Service) -> None:
    owner = service.client("owner")
    for person in ("owner", "nobody"):
        assert owner.post(f"/v1/people/{person}/end").status_code == 404
        assert owner.post(f"/v1/people/{person}/invitations").status_code == 404


def test_coming_set_ups_are_listed_and_told_without_a_price(
    service: Service, post_lead: Any, work_off: Any
) -> None:
    lead_id = post_lead(SOON)["lead_id"]
    work_off()
    client = Client(name="Nora Ålund", phone="+1 617 555 0199", email="nora@rowing.example")
    with service.ports.work() as work:
        lead = work.leads.get(lead_id)
        quote = work.quotes.latest(lead_id, sent=True)
        assert quote is not None
        book, now = service.ports.price_books.current(), service.ports.clock()
        day = lead.brief.event.date
        assert day is not None
        window = booking.offered(work, lead, quote, book, day=day, now=now)[0]
        hold = booking.place_hold(
            work, service.ports, lead_id, starts_at=window.starts_at, client=client, now=now
        )
        work.commit()
    owner = service.client("owner")
    (job,) = owner.get("/v1/jobs").json()
    assert (job["hold_id"], job["lead_id"], job["booked"]) == (hold.id, lead_id, False)
    answer = owner.get(f"/v1/jobs/{hold.id}")
    sheet = answer.json()
    assert sheet["job"] == job
    counted = {
        (line["size"], line["colour"]): line["count"] for line in sheet["builds"][0]["balloons"]
    }
    assert counted == {
        (f"{line.size_class} in", line.colour): line.count
        for line in quote.estimate.pieces[0].balloons
    }
    assert sheet["contact"] is None  # not before the day
    for private in ("$", "Nora", "555 0199", "rowing.example", str(quote.likely)):
        assert private not in answer.text
    assert owner.get("/v1/jobs/nothing").status_code == 404
