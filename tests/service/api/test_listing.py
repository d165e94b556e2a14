"""The owner's list, needs, figures and tables over HTTP."""

import io
import zipfile
from collections.abc import Callable
from typing import Any

from service.leads.exports import TABLES
from tests.service.api.conftest import CANONICAL, Service

Post = Callable[..., dict[str, Any]]


def test_the_list_is_searched_narrowed_down_and_paged(service: Service, post_lead: Post) -> None:
    named = {"client": {"name": "Nora Ålund", "phone": "+1 617 555 0110"}}
    numbers = [
        post_lead(chat_id=f"chat-{n}", **(named if n == 1 else {}))["number"] for n in range(5)
    ]
    owner = service.client("owner")

    def listed(**query: Any) -> Any:
        return owner.get("/v1/leads", params=query).json()

    first = listed(limit=3)
    second = listed(limit=3, before=first["next"])
    assert [lead["number"] for lead in first["leads"] + second["leads"]] == numbers[::-1]
    assert second["next"] is None
    (found,) = listed(q="alu")["leads"]
    assert (found["number"], found["client"]["name"]) == (numbers[1], "Nora Ålund")
    assert (found["event_date"], found["price"], found["replaced_by"]) == ("2027-06-06", None, None)
    assert "round-top frame" in found["wanted"]
    assert len(listed(state="new", **{"from": "2027-06-06", "to": "2027-06-06"})["leads"]) == 5
    assert listed(state="quoted")["leads"] == listed(to="2027-06-05")["leads"] == []


def test_a_page_or_day_that_cannot_be_is_refused(service: Service) -> None:
    owner = service.client("owner")
    assert owner.get("/v1/leads?before=G1001").status_code == 404
    assert owner.get("/v1/leads?from=tomorrow").status_code == 422
    assert owner.get("/v1/figures?to=9999-12-31").status_code == 422


def test_what_needs_the_owner_is_told_kind_by_kind(
    service: Service, post_lead: Post, work_off: Callable[[], Any]
) -> None:
    outdoors = CANONICAL | {"site": {"setting": "outdoor", "postal_code": "02139"}}
    waiting, quoted = post_lead(outdoors), post_lead(chat_id="chat-2")
    work_off()
    now = service.ports.clock()
    with service.ports.work() as work:
        work.chats.hear("webchat", "chat-2", "a person", update_id="1", now=now)
        work.chats.call_owner("webchat", "chat-2", now=now)
        work.commit()
    needs = service.client("owner").get("/v1/needs").json()
    assert [lead["number"] for lead in needs["waiting"]] == [waiting["number"]]
    assert needs["waiting"][0]["review_reasons"]
    (fresh,) = needs["unanswered_quotes"]
    assert fresh["number"] == quoted["number"]
    assert fresh["price"]["sent_at"] is not None
    (call,) = needs["calls"]
    assert (call["words"], call["leads"]) == ("a person", [quoted["number"]])
    assert needs["held_dates"] == needs["stuck_steps"] == []


def test_figures_say_what_became_of_the_requests(
    service: Service, post_lead: Post, work_off: Callable[[], Any]
) -> None:
    post_lead(source="library-reopening")
    work_off()
    post_lead(chat_id="chat-2")
    figures = service.client("owner").get("/v1/figures", params={"from": "2027-01-10"}).json()
    assert (figures["answers"]["answered"], figures["answers"]["unanswered"]) == (1, 1)
    assert figures["answers"]["within_5_minutes"] == 1
    assert figures["quotes_sent"] == {"ballpark": 1}
    assert (figures["outcomes"]["asked"], figures["outcomes"]["open"]) == (2, 2)
    assert {each["source"] for each in figures["outcomes"]["sources"]} == {
        None,
        "library-reopening",
    }
    assert figures["jobs"]["count"] == 0
    assert figures["jobs"]["real_margin"] is None
    assert figures["jobs"]["with_actuals"] == 0
    earlier = service.client("owner").get("/v1/figures", params={"to": "2027-01-09"}).json()
    assert earlier["outcomes"]["asked"] == 0


def test_tables_are_taken_out_one_by_one_or_all_at_once(service: Service, post_lead: Post) -> None:
    number = post_lead(client={"name": "=cmd()", "phone": "+1 617 555 0110"})["number"]
    owner = service.client("owner")
    table = owner.get("/v1/export/leads.csv")
    assert table.headers["content-type"] == "text/csv; charset=utf-8"
    assert f"{number},'=cmd(),,'+1 617 555 0110,new,webchat" in table.text
    archive = zipfile.ZipFile(io.BytesIO(owner.get("/v1/export/all.zip").content))
    assert archive.testzip() is None
    assert archive.namelist() == [f"{name}.csv" for name in TABLES]
    assert archive.read("leads.csv") == table.content
    assert owner.get("/v1/export/keys.csv").status_code == 422


def test_a_stuck_step_is_listed_and_put_away_once(service: Service, post_lead: Post) -> None:
    lead, owner = post_lead(), service.client("owner")
    worker = service.client("worker")
    with service.ports.read() as work:
        (step,) = work.outbox.due(service.ports.clock(), limit=5)
    fence = worker.post(f"/v1/steps/{step.id}/lease").json()["fence"]
    failure = {"fence": fence, "error": "ConnectError", "retry": False}
    worker.post(f"/v1/steps/{step.id}/failures", json=failure)
    page = owner.get("/v1/steps/stuck").json()
    (stuck,) = page["steps"]
    assert page["next"] is None
    assert (stuck["number"], stuck["state"]) == (lead["number"], "dead")
    assert stuck["reason"] == "no estimate came back"
    assert owner.get("/v1/needs").json()["stuck_steps"] == [stuck]
    path, unwanted = f"/v1/steps/{step.id}/away", {"verdict": "unwanted", "seen": stuck["fence"]}
    assert owner.post(path, json=unwanted | {"verdict": "arrived"}).status_code == 409
    assert owner.post(path, json=unwanted | {"seen": stuck["fence"] + 1}).status_code == 409
    assert [owner.post(path, json=unwanted).status_code for _ in range(2)] == [204, 409]
    assert owner.get("/v1/steps/stuck").json()["steps"] == []
    assert owner.get(f"/v1/leads/{lead['lead_id']}").json()["state"] == "review"
