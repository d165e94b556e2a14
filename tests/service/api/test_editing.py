"""What the owner does with one lead, over the API."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.service.api.conftest import CANONICAL, Service

Post = Callable[..., dict[str, Any]]
WorkOff = Callable[[], list[dict[str, Any]]]

WIDER = CANONICAL | {
    "pieces": [{"support": "round_top_frame", "width_m": 1.524, "height_m": 2.1336}]
}


@pytest.fixture
def owner(service: Service) -> TestClient:
    return service.client("owner")


@pytest.fixture
def lead(post_lead: Post, work_off: WorkOff) -> dict[str, Any]:
    """A lead whose ballpark is out."""
    post_lead()
    (quoted,) = work_off()
    return quoted


def path(lead: dict[str, Any], what: str) -> str:
    return f"/v1/leads/{lead['lead_id']}/{what}"


def decide(owner: TestClient, lead: dict[str, Any], **body: Any) -> Any:
    return owner.post(path(lead, "decisions"), json=body)


def test_a_brief_is_changed_once_and_on_the_newest_revision_only(
    owner: TestClient, lead: dict[str, Any]
) -> None:
    body = {"revision": lead["revision"], "brief": WIDER}
    changed = owner.put(path(lead, "brief"), json=body)
    assert changed.status_code == 200
    now = changed.json()
    assert (now["revision"], now["basis"]) == (1, f"{lead['number']}-2")
    assert now["brief"]["pieces"][0]["width_m"] == 1.524
    assert now["quote"] == lead["quote"]  # what the client sees
    assert now["estimate"]["price"]["likely"] != lead["estimate"]["price"]["likely"]
    stale = owner.put(path(lead, "brief"), json=body)
    assert stale.status_code == 409
    assert "width 4 ft → 5 ft" in stale.json()["detail"]
    history = owner.get(path(lead, "history")).json()
    assert history[-1]["what"] == "changed the brief"
    assert history[-1]["detail"]["changes"] == ["round top frame: width 4 ft → 5 ft"]
    assert history[0]["who"] == "client"


def test_a_preview_says_what_it_would_come_to_and_stores_nothing(
    owner: TestClient, lead: dict[str, Any]
) -> None:
    seen = owner.post(path(lead, "estimate-preview"), json=WIDER).json()
    assert seen["changes"] == ["round top frame: width 4 ft → 5 ft"]
    assert seen["revision"] == 0
    assert seen["estimate"] == owner.post("/v1/estimates", json=WIDER).json()
    assert owner.get(f"/v1/leads/{lead['lead_id']}").json()["basis"] == lead["basis"]
    unfit = WIDER | {"pieces": [{"support": "hoop"}]}
    assert owner.post(path(lead, "estimate-preview"), json=unfit).status_code == 422


def test_lines_make_the_price_and_need_a_reason(owner: TestClient, lead: dict[str, Any]) -> None:
    found = owner.get(path(lead, "lines")).json()
    assert found["basis"] == lead["basis"]
    assert sum(float(line["amount"]) for line in found["lines"]) == float(found["total"])
    lines = [{"label": line["label"], "amount": line["amount"]} for line in found["lines"]]
    more = [*lines, {"label": "Early access on Sunday", "amount": "40"}]
    sent = {"action": "send", "basis": found["basis"], "lines": more, "reason": "they open late"}
    unfits: list[dict[str, Any]] = [
        {"reason": None},
        {"price": "400"},
        {"lines": [{"label": "one", "amount": "-5"}]},
        {"lines": [more[0], more[0]]},
        {"lines": []},
    ]
    for unfit in unfits:
        assert decide(owner, lead, **(sent | unfit)).status_code == 422, unfit
    assert decide(owner, lead, **sent).status_code == 200
    assert decide(owner, lead, **sent).status_code == 409
    after = owner.get(path(lead, "lines")).json()
    assert float(after["total"]) == float(found["total"]) + 40
    assert after["lines"][-1] == {"label": "Early access on Sunday", "amount": "40", "was": None}


def test_declining_says_why_and_refuses_an_old_basis(
    owner: TestClient, lead: dict[str, Any]
) -> None:
    no = {"action": "decline", "because": "date taken", "reason": "the fair"}
    assert decide(owner, lead, **no, basis=f"{lead['number']}-9").status_code == 409
    answer = decide(owner, lead, **no, basis=lead["basis"])
    assert answer.status_code == 200
    assert (answer.json()["state"], answer.json()["lost_because"]) == ("declined", "date taken")
    assert decide(owner, lead, **(no | {"because": "a whim"})).status_code == 422


def test_notes_are_kept_once(owner: TestClient, lead: dict[str, Any]) -> None:
    for text in ("She called.", "She called.", "Key at the lock."):
        assert owner.post(path(lead, "notes"), json={"text": text}).status_code == 204
    notes = owner.get(path(lead, "notes")).json()
    assert [(note["who"], note["text"]) for note in notes] == [
        ("owner", "She called."),
        ("owner", "Key at the lock."),
    ]
    assert owner.post(path(lead, "notes"), json={"text": ""}).status_code == 422


def test_a_question_is_sent_where_the_client_wrote_from(
    service: Service, owner: TestClient, lead: dict[str, Any]
) -> None:
    found = owner.get(path(lead, "questions")).json()
    texts = {each["about"]: each["text"] for each in found["questions"]}
    assert texts["budget"] == "Is there a budget that we should keep to?"
    body = {"text": texts["budget"], "seen": found["seen"]}
    asked = owner.post(path(lead, "ask"), json=body)
    assert asked.json()["seq"] > found["seen"]
    assert owner.post(path(lead, "ask"), json=body).status_code == 409
    with service.ports.read() as work:
        said = work.chats.messages("webchat", "chat-1")
    assert said[-1].message.text == texts["budget"]


def test_other_ways_to_build_it(owner: TestClient, lead: dict[str, Any]) -> None:
    found = owner.get(path(lead, "options")).json()
    assert [way["brief"]["pieces"][0]["fullness"] for way in found] == ["airy", "full", "lush"]
    assert found[1]["price"]["likely"] == lead["estimate"]["price"]["likely"]


def test_twins_become_one(
    owner: TestClient, lead: dict[str, Any], post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    (twin,) = work_off()
    found = owner.get(path(lead, "twins")).json()
    (likely,) = found["likely"]
    assert (likely["lead_id"], likely["because"]) == (twin["lead_id"], "same conversation")
    body = {
        "other_id": twin["lead_id"],
        "seen": found["seen"],
        "other_seen": likely["seen"],
    }
    assert owner.post(path(lead, "merge"), json=body | {"seen": "older"}).status_code == 409
    assert owner.post(path(lead, "merge"), json=body).json()["lead_id"] == lead["lead_id"]
    assert owner.post(path(lead, "merge"), json=body).status_code == 409
    merged = owner.get(f"/v1/leads/{twin['lead_id']}").json()
    assert (merged["state"], merged["merged_into"]) == ("lapsed", lead["lead_id"])
    link = twin["quote"]["url"].rsplit("/", 1)[-1]
    assert owner.get(f"/v1/quotes/{link}").json()["lead_id"] == lead["lead_id"]


def test_a_lead_that_is_not_there_is_not_found(owner: TestClient) -> None:
    for what in ("history", "notes", "options", "lines", "questions", "twins"):
        assert owner.get(f"/v1/leads/nothing/{what}").status_code == 404
    brief = {"revision": 0, "brief": CANONICAL}
    assert owner.put("/v1/leads/nothing/brief", json=brief).status_code == 404
    assert owner.post("/v1/leads/nothing/notes", json={"text": "Hello."}).status_code == 404
