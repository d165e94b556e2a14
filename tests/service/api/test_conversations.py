"""The inbox, turns and deliveries over HTTP."""

import threading
import time
from typing import Any

from service.leads import talking
from tests.service.api.conftest import Service


def _update(update_id: str, text: str = "hi", chat: str = "77") -> dict[str, Any]:
    return {
        "channel": "telegram",
        "chat_id": chat,
        "update_id": update_id,
        "kind": "text",
        "text": text,
    }


def _turn(inbox_id: int, version: int, *texts: str) -> dict[str, Any]:
    messages = [{"kind": "ask", "text": text} for text in texts]
    return {"inbox_id": inbox_id, "version": version, "state": {"v": 1}, "messages": messages}


CHAT = "/v1/conversations/telegram/77"


def test_an_update_is_pending_until_its_turn_is_stored(service: Service) -> None:
    bot = service.client("bot")
    first = bot.post("/v1/inbox", json=_update("901")).json()
    again = bot.post("/v1/inbox", json=_update("901")).json()
    assert again == {**first, "duplicate": True}
    waiting = bot.get("/v1/inbox", params={"channel": "telegram", "older_than_s": 0}).json()
    assert [row["update"]["update_id"] for row in waiting] == ["901"]
    assert [row["inbox_id"] for row in bot.get(CHAT).json()["pending"]] == [first["inbox_id"]]
    receipt = bot.post(f"{CHAT}/turns", json=_turn(first["inbox_id"], 0, "What size?")).json()
    assert receipt == {"version": 1, "applied": True}
    assert bot.get(CHAT).json()["pending"] == []
    assert bot.post("/v1/inbox", json=_update("901")).json()["handled"] is True


def test_a_turn_is_stored_once_and_an_older_version_is_refused(service: Service) -> None:
    bot = service.client("bot")
    one = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    two = bot.post("/v1/inbox", json=_update("2")).json()["inbox_id"]
    assert bot.post(f"{CHAT}/turns", json=_turn(one, 0, "A")).json()["applied"] is True
    assert bot.post(f"{CHAT}/turns", json=_turn(one, 0, "A")).json()["applied"] is False
    assert bot.post(f"{CHAT}/turns", json=_turn(two, 0, "B")).status_code == 409
    assert bot.post(f"{CHAT}/turns", json=_turn(two, 1, "B")).json()["applied"] is True
    said = bot.get(f"{CHAT}/messages").json()
    assert [(m["direction"], m["text"]) for m in said] == [
        ("in", "hi"),
        ("out", "A"),
        ("in", "hi"),
        ("out", "B"),
    ]


def test_a_turn_can_call_the_owner_and_calls_nobody_by_itself(service: Service) -> None:
    bot = service.client("bot")
    for number, calls in enumerate((False, True, True)):
        update = _update(str(number), text=f"words {number}")
        inbox_id = bot.post("/v1/inbox", json=update).json()["inbox_id"]
        turn = _turn(inbox_id, number, "Ida Marsh sees this conversation.")
        body = turn | {"calls_owner": True} if calls else turn
        assert bot.post(f"{CHAT}/turns", json=body).json()["applied"] is True
        with service.ports.read() as work:
            assert len(work.chats.calling(limit=9)) == calls
    with service.ports.read() as work:
        (call,) = work.chats.calling(limit=9)
    assert (call.channel, call.chat_id, call.words) == ("telegram", "77", "words 1")


def test_a_turn_that_comes_too_late_calls_nobody(service: Service) -> None:
    bot = service.client("bot")
    inbox_id = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    late = _turn(inbox_id, 3, "A") | {"calls_owner": True}
    assert bot.post(f"{CHAT}/turns", json=late).status_code == 409
    with service.ports.read() as work:
        assert work.chats.calling(limit=9) == []


def test_the_owners_words_reach_the_web_chat_and_are_owed_to_telegram(service: Service) -> None:
    bot, worker = service.client("bot"), service.client("worker")
    for channel in ("webchat", "telegram"):
        with service.ports.work() as work:
            now = service.ports.clock()
            work.chats.call_owner(channel, "77", now=now)
            talking.answer_as_owner(work, channel, "77", "We can, gladly.", seen=0, now=now)
            work.commit()
        (shown,) = bot.get(f"/v1/conversations/{channel}/77/messages").json()
        assert (shown["direction"], shown["kind"]) == ("out", "note")
        assert shown["text"] == "We can, gladly."
        assert bot.get(f"/v1/conversations/{channel}/77").json()["owner_spoke"] is True
    with service.ports.read() as work:
        assert work.chats.calling(limit=9) == []
        (step,) = work.outbox.due(service.ports.clock(), limit=9)
    lease = worker.post(f"/v1/steps/{step.id}/lease").json()
    delivery = worker.get(f"/v1/messages/{lease['subject_id']}").json()
    assert (delivery["channel"], delivery["chat_id"]) == ("telegram", "77")
    assert delivery["message"]["text"] == "We can, gladly."


def test_a_turn_for_another_conversation_is_refused(service: Service) -> None:
    bot = service.client("bot")
    theirs = bot.post("/v1/inbox", json=_update("1", chat="78")).json()["inbox_id"]
    assert bot.post(f"{CHAT}/turns", json=_turn(theirs, 0, "A")).status_code == 409
    assert bot.get(f"{CHAT}/messages").json() == []


def test_each_message_to_telegram_is_owed_and_delivered_in_order(service: Service) -> None:
    bot, worker = service.client("bot"), service.client("worker")
    inbox_id = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    bot.post(f"{CHAT}/turns", json=_turn(inbox_id, 0, "first", "second"))
    with service.ports.read() as work:
        first, second = work.outbox.due(service.ports.clock(), limit=9)
    assert worker.post(f"/v1/steps/{second.id}/lease").status_code == 409
    for step, text in ((first, "first"), (second, "second")):
        lease = worker.post(f"/v1/steps/{step.id}/lease").json()
        delivery = worker.get(f"/v1/messages/{lease['subject_id']}").json()
        assert (delivery["chat_id"], delivery["message"]["text"]) == ("77", text)
        fence = {"fence": lease["fence"]}
        assert worker.post(f"/v1/steps/{step.id}/sending", json=fence).status_code == 204
        assert worker.post(f"/v1/steps/{step.id}/done", json=fence).status_code == 204
    with service.ports.read() as work:
        assert work.outbox.count_open(service.ports.clock()) == {}


def test_a_failed_delivery_is_owed_again_or_the_owners_to_see(service: Service) -> None:
    bot, worker = service.client("bot"), service.client("worker")
    inbox_id = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    bot.post(f"{CHAT}/turns", json=_turn(inbox_id, 0, "first"))
    with service.ports.read() as work:
        (step,) = work.outbox.due(service.ports.clock(), limit=9)
    fence = worker.post(f"/v1/steps/{step.id}/lease").json()["fence"]
    failure = {"fence": fence, "error": "blocked by the client", "retry": False}
    assert worker.post(f"/v1/steps/{step.id}/failures", json=failure).status_code == 204
    with service.ports.read() as work:
        (dead,) = work.outbox.dead(limit=9)
    assert dead.last_error == "blocked by the client"
    figures = service.client("metrics").get("/metrics").text
    assert 'garlandry_steps{kind="deliver",state="dead"} 1.0' in figures


def test_a_waiting_reader_hears_of_a_message_at_once(service: Service) -> None:
    bot = service.client("bot")
    inbox_id = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    heard: list[tuple[float, list[Any]]] = []

    def listen() -> None:
        began = time.monotonic()
        found = bot.get(f"{CHAT}/messages", params={"wait_s": 20}).json()
        heard.append((time.monotonic() - began, found))

    listener = threading.Thread(target=listen)
    listener.start()
    time.sleep(0.3)
    service.client("bot").post(f"{CHAT}/turns", json=_turn(inbox_id, 0, "What size?"))
    listener.join(timeout=25)
    ((waited, found),) = heard
    assert 0.2 < waited < 5
    assert [m["text"] for m in found] == ["hi", "What size?"]


def test_a_chat_that_is_only_asked_to_wait_is_not_given_up(service: Service) -> None:
    bot, worker = service.client("bot"), service.client("worker")
    inbox_id = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    bot.post(f"{CHAT}/turns", json=_turn(inbox_id, 0, "first"))
    with service.ports.read() as work:
        (step,) = work.outbox.due(service.ports.clock(), limit=9)
    for _ in range(12):
        lease = worker.post(f"/v1/steps/{step.id}/lease").json()
        assert lease["attempt"] == 1
        pause = {"error": "enough for now", "retry": True, "retry_after_s": 0, "attempted": False}
        failure = pause | {"fence": lease["fence"]}
        assert worker.post(f"/v1/steps/{step.id}/failures", json=failure).status_code == 204
    with service.ports.read() as work:
        assert work.outbox.dead(limit=9) == []
        (owed,) = work.outbox.due(service.ports.clock(), limit=9)
    assert (owed.attempts, owed.maybe_done, owed.last_error) == (0, False, "enough for now")


def test_messages_carry_colours_rows_and_edits_to_web_chat_and_telegram(service: Service) -> None:
    bot, worker = service.client("bot"), service.client("worker")
    inbox_id = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    share = {"label": "Where I am", "share": "location", "row": 1}
    message = {
        "kind": "ask",
        "text": "Which day?",
        "buttons": [{"label": "5", "value": "answer:1:date:2027-06-05", "row": 0}, share],
        "swatches": [{"name": "sage", "hex": "#a9b79a"}],
        "edits": "41",
    }
    plain = {"text": "And where?"}
    turn = {"inbox_id": inbox_id, "version": 0, "state": {}, "messages": [message, plain]}
    assert bot.post(f"{CHAT}/turns", json=turn).json()["applied"] is True
    _heard, shown, _ = bot.get(f"{CHAT}/messages").json()
    with service.ports.read() as work:
        first, second = work.outbox.due(service.ports.clock(), limit=9)
    deliveries = [worker.get(f"/v1/messages/{s.subject_id}").json() for s in (first, second)]
    for seen in (shown, deliveries[0]["message"]):
        assert seen["edits"] == "41"
        assert seen["swatches"] == message["swatches"]
        assert [(b["row"], b["share"]) for b in seen["buttons"]] == [(0, None), (1, "location")]
    assert [delivery["after_share"] for delivery in deliveries] == [False, True]


def test_that_it_is_working_is_not_said_after_the_price(service: Service) -> None:
    bot = service.client("bot")
    one = bot.post("/v1/inbox", json=_update("1")).json()["inbox_id"]
    two = bot.post("/v1/inbox", json=_update("2", text="yes")).json()["inbox_id"]
    price = {**_turn(one, 0), "messages": [{"kind": "ballpark", "text": "$340 to $460"}]}
    bot.post(f"{CHAT}/turns", json=price).raise_for_status()
    working = {**_turn(two, 1), "messages": [{"kind": "working", "text": "Working it out."}]}
    assert bot.post(f"{CHAT}/turns", json=working).json()["applied"] is True
    three = bot.post("/v1/inbox", json=_update("3", text="yes")).json()["inbox_id"]
    another = {**_turn(three, 2), "messages": [{"kind": "working", "text": "Working again."}]}
    bot.post(f"{CHAT}/turns", json=another).raise_for_status()
    shown = bot.get(f"{CHAT}/messages").json()
    said = [message["text"] for message in shown if message["direction"] == "out"]
    assert said == ["$340 to $460", "Working again."]
