"""Reminders and texts over HTTP: a worker's, and the owner's."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.app import create_app
from service.assembly import Assembly, prepare
from service.config import Settings
from service.leads.follow_up.texts import FIRM, HOLD
from service.leads.follow_up.wording_anew import word_anew
from service.leads.steps import Step
from tests.service.api.conftest import Service
from tests.workers.ledger import wait_for

Taken = Callable[..., dict[str, Any]]
WorkedOff = Callable[[], list[dict[str, Any]]]

NOON = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)


@pytest.fixture
def lead_id(service: Service, post_lead: Taken, work_off: WorkedOff) -> str:
    """A client in the web chat whose price is out, at noon: no quiet hours."""
    service.app.state.ports = replace(service.ports, clock=lambda: NOON)
    receipt = post_lead()
    work_off()
    return str(receipt["lead_id"])


def owed(service: Service, lead_id: str) -> list[dict[str, Any]]:
    answer = service.client("owner").get("/v1/reminders", params={"lead_id": lead_id})
    found: list[dict[str, Any]] = answer.json()["owed"]
    return found


def step_of(service: Service, reminder_id: str) -> Step:
    with service.ports.read() as work:
        step = work.outbox.first_owed(f"reminder:{reminder_id}")
    assert step is not None
    return step


def test_a_worker_has_a_due_reminder_written_once(service: Service, lead_id: str) -> None:
    (nudge,) = owed(service, lead_id)
    worker = service.client("worker")
    step = step_of(service, nudge["reminder_id"])
    assert worker.post(f"/v1/steps/{step.id}/lease").status_code == 409
    due = datetime.fromisoformat(nudge["due_at"])
    service.app.state.ports = replace(service.ports, clock=lambda: due)
    lease = worker.post(f"/v1/steps/{step.id}/lease").json()
    assert (lease["kind"], lease["subject_id"]) == ("remind", nudge["reminder_id"])
    path = f"/v1/reminders/{nudge['reminder_id']}/due"
    body = {"step_id": step.id, "fence": lease["fence"]}
    for _ in range(2):  # the first answer was lost
        assert worker.post(path, json=body).json() == {"state": "sent", "due_at": None}
    old = {"step_id": step.id, "fence": lease["fence"] - 1}
    assert worker.post(path, json=old).status_code == 409
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert sum("is good until" in each["text"] for each in said if each["kind"] == "note") == 1
    (closed,) = service.client("owner").get("/v1/reminders").json()["closed"]
    assert "is good until" in closed["text"]


def test_one_that_comes_too_early_is_put_off(service: Service, lead_id: str) -> None:
    (nudge,) = owed(service, lead_id)
    step = step_of(service, nudge["reminder_id"])
    with service.ports.work() as work:
        work.outbox.save(replace(step, due_at=NOON - timedelta(seconds=1)))
        work.commit()
    worker = service.client("worker")
    lease = worker.post(f"/v1/steps/{step.id}/lease").json()
    answer = worker.post(
        f"/v1/reminders/{nudge['reminder_id']}/due",
        json={"step_id": step.id, "fence": lease["fence"]},
    )
    assert answer.json() == {"state": "owed", "due_at": nudge["due_at"]}
    assert step_of(service, nudge["reminder_id"]).id != step.id


def test_the_owner_sends_skips_and_stops(service: Service, lead_id: str) -> None:
    owner = service.client("owner")
    (nudge,) = owed(service, lead_id)
    assert owner.post(f"/v1/reminders/{nudge['reminder_id']}/skip").status_code == 204
    for verb in ("skip", "send"):
        assert owner.post(f"/v1/reminders/{nudge['reminder_id']}/{verb}").status_code == 409
        assert owner.post(f"/v1/reminders/nothing/{verb}").status_code == 404
    path = f"/v1/reminders/stops/{lead_id}"
    assert owner.put(path, json={"stopped": True}).status_code == 204
    bot = service.client("bot")
    assert bot.get("/v1/conversations/webchat/chat-1").json()["stopped"] is True
    assert owner.put(path, json={"stopped": False}).status_code == 204
    assert bot.get("/v1/conversations/webchat/chat-1").json()["stopped"] is False
    assert owner.get("/v1/reminders", params={"lead_id": "nobody"}).status_code == 404


def test_a_stop_comes_with_a_turn(service: Service, lead_id: str) -> None:
    bot = service.client("bot")
    update = {
        "channel": "webchat",
        "chat_id": "chat-1",
        "update_id": "1",
        "kind": "text",
        "text": "stop",
    }
    inbox_id = bot.post("/v1/inbox", json=update).json()["inbox_id"]
    turn = {"inbox_id": inbox_id, "version": 0, "state": {}, "stops": True}
    assert bot.post("/v1/conversations/webchat/chat-1/turns", json=turn).json()["applied"]
    assert owed(service, lead_id) == []


def test_texts_are_listed_worded_anew_and_put_back(service: Service) -> None:
    owner = service.client("owner")
    texts = {(t["key"], t["language"]): t for t in owner.get("/v1/texts").json()}
    hold = texts["hold", "es"]
    assert (hold["changed"], hold["text"]) == (False, hold["shipped"])
    assert {"until", "deposit", "pay"} == set(hold["needs"]) < set(hold["placeholders"])
    new = "Hasta {until}: {deposit}. {pay}"
    answer = owner.put("/v1/texts/hold/es", json={"text": new}).json()
    assert (answer["changed"], answer["text"], answer["shipped"]) == (True, new, hold["shipped"])
    words = service.ports.wording.in_language("es")
    said = words.say(HOLD.english, until="junio", deposit="$1", pay="")
    assert said == "Hasta junio: $1. "
    refused = owner.put("/v1/texts/hold/es", json={"text": "Hasta {until} {sum}"})
    assert refused.status_code == 422
    assert [each["field"] for each in refused.json()["errors"]] == ["text"] * 3
    assert owner.put("/v1/texts/nothing/es", json={"text": "x"}).status_code == 404
    assert owner.delete("/v1/texts/hold/es").status_code == 204
    assert owner.get("/v1/texts").json() == list(texts.values())


def test_a_text_changed_through_one_process_is_said_by_the_others(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.app._TEXTS_EVERY_S", 0.05)
    prepare(settings)
    another = Assembly(settings)
    app = create_app(settings)
    with TestClient(app):
        with another.ports.work() as work:
            word_anew(work, another.ports, key="firm", language="en", text="Ida here.", now=NOON)
            work.commit()
        words = app.state.ports.wording.in_language("en")
        wait_for(lambda: words.say(FIRM.english, owner="Ida") == "Ida here.", "it is said")
    another.engine.dispose()
