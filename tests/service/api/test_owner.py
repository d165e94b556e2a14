"""The owner's own chat: paired once from the desk, told what waits, obeyed, and nobody else is."""

import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from service.leads import owning
from service.leads.lead import LinkExpired
from tests.service.api.conftest import CANONICAL, Service

OUTDOORS = CANONICAL | {"site": {"setting": "outdoor", "postal_code": "02139"}}
HERE = "/v1/owner/chats/telegram/7"

Taken = Callable[..., dict[str, Any]]
WorkedOff = Callable[[], list[dict[str, Any]]]


def invitation(service: Service) -> str:
    with service.ports.work() as work:
        token = owning.open_pairing(work, now=service.ports.clock())
        work.commit()
    return token


def pair(service: Service, token: str | None = None, chat_id: str = "7", **more: str) -> int:
    body = {"channel": "telegram", "chat_id": chat_id, "token": token or invitation(service)}
    return service.client("bot").post("/v1/owner/pairings", json=body | more).status_code


def told(service: Service, chat_id: str = "7") -> list[dict[str, Any]]:
    path = f"/v1/conversations/telegram/{chat_id}/messages"
    found: list[dict[str, Any]] = service.client("bot").get(path).json()
    return found


def decide(service: Service, key: str | None = None, chat: str = HERE, **decision: Any) -> Any:
    headers = {"Idempotency-Key": f'"{key or uuid.uuid4()}"'}
    return service.client("bot").post(f"{chat}/decisions", json=decision, headers=headers)


def waiting_lead(service: Service, post_lead: Taken, work_off: WorkedOff, **more: Any) -> str:
    """A lead that waits for the owner, who has been told."""
    receipt = post_lead(OUTDOORS, client={"name": "Nora"}, **more)
    (lead,) = work_off()
    assert lead["state"] == "review"
    return str(receipt["lead_id"])


def state_of(service: Service, lead_id: str) -> str:
    return str(service.client("owner").get(f"/v1/leads/{lead_id}").json()["state"])


def test_an_invitation_pairs_one_chat_once(service: Service) -> None:
    token = invitation(service)
    assert pair(service, token, name="Ida Marsh") == 204
    assert pair(service, token) == 204  # its first answer may have been lost
    assert pair(service, token, chat_id="8") == 410
    assert pair(service, "made-up") == 204  # paired already
    assert pair(service, "made-up", chat_id="8") == 404
    bot = service.client("bot")
    assert bot.get("/v1/conversations/telegram/7").json()["owner"] is True
    assert bot.get("/v1/conversations/telegram/8").json()["owner"] is False
    assert bot.get("/v1/owner/chats").json() == [{"channel": "telegram", "chat_id": "7"}]


def test_an_invitation_runs_out(service: Service) -> None:
    token = invitation(service)
    late = service.ports.clock() + timedelta(minutes=15)
    with service.ports.work() as work, pytest.raises(LinkExpired):
        owning.pair(work, service.ports, "telegram", "7", token=token, name=None, now=late)


def test_a_web_chat_is_nobodys_own(service: Service) -> None:
    assert pair(service, channel="webchat") == 404


def test_a_request_that_waits_is_told_with_everything_needed_to_decide(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    lead = service.client("owner").get(f"/v1/leads/{lead_id}").json()
    (message,) = told(service)
    assert message["kind"] == "owner"
    for part in (
        f"{lead['number']} waits for you: Nora",
        "round-top frame",
        "Sunday, June 6, 2027, 3:00\N{NO-BREAK SPACE}PM",
        "02139, outdoors",
        "Colors: sage, cream and gold",
        "It is outdoors",
        "Price: $",
        "Came by the web chat",
    ):
        assert part in message["text"], part
    values = [button["value"] for button in message["buttons"] if button["value"]]
    basis = f"{lead['number']}-1"
    assert values == [
        f"lead:{lead_id}:send:{basis}",
        f"lead:{lead_id}:price:{basis}",
        f"lead:{lead_id}:ask:{lead['number']}",
        f"lead:{lead_id}:decline:{lead['number']}",
    ]
    assert message["buttons"][-1]["url"] == f"https://garlands.example/desk/leads/{lead_id}"


def test_telling_the_owner_is_owed_like_any_message(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    waiting_lead(service, post_lead, work_off)
    with service.ports.read() as work:
        (step,) = work.outbox.due(service.ports.clock(), limit=9)
    assert (step.kind, step.lane) == ("deliver", "telegram:7")


def test_without_a_paired_chat_nobody_is_told(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    waiting_lead(service, post_lead, work_off)
    with service.ports.read() as work:
        assert work.outbox.due(service.ports.clock(), limit=9) == []
    assert told(service) == []


def test_sending_makes_the_firm_quote_and_a_second_press_is_refused(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    number = service.client("owner").get(f"/v1/leads/{lead_id}").json()["number"]
    press = {"action": "send", "lead_id": lead_id, "basis": f"{number}-1"}
    assert decide(service, "turn-1", **press).status_code == 204
    assert decide(service, "turn-1", **press).status_code == 204  # the same press, sent again
    again = decide(service, "turn-2", **press)
    assert again.status_code == 409
    assert again.json()["detail"] == (
        f"Quote {number}-2 has gone out already. Look again. Nothing was changed just now."
    )
    lead = service.client("owner").get(f"/v1/leads/{lead_id}").json()
    assert (lead["state"], lead["quote"]["kind"]) == ("quoted", "firm")
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert [message["kind"] for message in said] == ["review", "firm"]


def test_a_changed_price_goes_out_as_it_was_typed(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    number = service.client("owner").get(f"/v1/leads/{lead_id}").json()["number"]
    press = {"action": "send", "lead_id": lead_id, "basis": f"{number}-1", "price": "444.50"}
    assert decide(service, **press).status_code == 204
    assert service.client("owner").get(f"/v1/leads/{lead_id}").json()["quote"]["likely"] == "444.50"


def test_what_was_decided_at_the_desk_meanwhile_is_said(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    number = service.client("owner").get(f"/v1/leads/{lead_id}").json()["number"]
    service.client("owner").post(f"/v1/leads/{lead_id}/decisions", json={"action": "decline"})
    press = {"action": "send", "lead_id": lead_id, "basis": f"{number}-1"}
    for pressed in (press, {"action": "decline", "lead_id": lead_id}):
        answer = decide(service, **pressed)
        assert answer.status_code == 409
        assert "declined already" in answer.json()["detail"]
    assert state_of(service, lead_id) == "declined"


def test_a_request_that_its_client_replaced_is_not_priced_any_more(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    newer = post_lead(OUTDOORS, revises=True)
    number = service.client("owner").get(f"/v1/leads/{lead_id}").json()["number"]
    answer = decide(service, action="send", lead_id=lead_id, basis=f"{number}-1")
    assert answer.status_code == 409
    assert f"{newer['number']} has taken its place" in answer.json()["detail"]
    assert state_of(service, lead_id) == "lapsed"


def test_asking_the_client_reaches_them_and_their_answer_comes_back(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    text = "Is there a power outlet?"
    assert decide(service, action="ask", lead_id=lead_id, text=text).status_code == 204
    bot, chat = service.client("bot"), "/v1/conversations/webchat/chat-1"
    said = bot.get(f"{chat}/messages").json()[-1]
    assert (said["kind"], said["text"]) == ("note", text)
    assert bot.get(chat).json()["owner_spoke"] is True
    update = {"channel": "webchat", "chat_id": "chat-1", "update_id": "u1", "kind": "text"}
    inbox_id = bot.post("/v1/inbox", json=update | {"text": "By the door"}).json()["inbox_id"]
    bot.post(f"{chat}/turns", json={"inbox_id": inbox_id, "version": 0, "state": {}})
    call = told(service)[-1]
    assert call["text"].startswith("Nora asks for you, by the web chat")
    assert "“By the door”" in call["text"]
    value = call["buttons"][0]["value"]
    assert value.startswith("call:")
    number = int(value.split(":")[1])
    assert decide(service, action="ask", conversation_id=number, text="Good!").status_code == 204
    assert bot.get(f"{chat}/messages").json()[-1]["text"] == "Good!"
    assert decide(service, action="settle", conversation_id=number).status_code == 204
    assert bot.get(chat).json()["owner_spoke"] is False


def test_a_client_who_asks_for_the_owner_is_told_once(service: Service) -> None:
    pair(service)
    bot, chat = service.client("bot"), "/v1/conversations/webchat/chat-2"
    for version, text in enumerate(("a person, please", "hello?")):
        update = {"channel": "webchat", "chat_id": "chat-2", "update_id": text, "kind": "text"}
        inbox_id = bot.post("/v1/inbox", json=update | {"text": text}).json()["inbox_id"]
        turn = {"inbox_id": inbox_id, "version": version, "state": {}, "calls_owner": True}
        assert bot.post(f"{chat}/turns", json=turn).json()["applied"] is True
    (call,) = told(service)
    assert call["text"] == "A client asks for you, by the web chat.\n\n“a person, please”"
    number = call["buttons"][0]["value"].split(":")[1]
    # The id of a web chat is the key to it: it stays out of other people's servers.
    assert call["buttons"][-1]["url"].endswith(f"/desk/conversations/{number}")
    assert "chat-2" not in str(call)


def test_a_new_hold_is_told(service: Service, post_lead: Taken, work_off: WorkedOff) -> None:
    pair(service)
    receipt = post_lead(client={"name": "Nora"})
    (lead,) = work_off()
    token = lead["quote"]["booking_url"].rsplit("/", 1)[1]
    stranger = service.client()
    first, *_, last = stranger.get(f"/v1/bookings/{token}/windows").json()
    who = {"name": "Nora", "phone": "+1 617 555 0100"}
    for window in (first, first, last):
        body = who | {"starts_at": window["starts_at"]}
        assert stranger.post(f"/v1/bookings/{token}/holds", json=body).status_code == 201
    held, moved = told(service)
    assert f"{receipt['number']}: Nora holds Sunday, June 6, 2027" in held["text"]
    assert "the deposit of $" in held["text"]
    assert "has moved the held time to" in moved["text"]


def test_nobody_elses_chat_decides_or_sees_anything(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    strange = "/v1/owner/chats/telegram/8"
    assert decide(service, chat=strange, action="decline", lead_id=lead_id).status_code == 403
    bot = service.client("bot")
    assert bot.get(f"{strange}/waiting").status_code == 403
    assert bot.get(f"{strange}/today").status_code == 403
    for role in ("website", "worker", "owner", None):
        assert service.client(role).get(f"{HERE}/waiting").status_code in (401, 403)
    assert state_of(service, lead_id) == "review"
    assert told(service, "8") == []


def test_a_chat_that_was_disconnected_decides_nothing(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    lead_id = waiting_lead(service, post_lead, work_off)
    with service.ports.work() as work:
        work.owner_chats.unpair("telegram", "7")
        work.commit()
    assert decide(service, action="decline", lead_id=lead_id).status_code == 403
    assert state_of(service, lead_id) == "review"


@pytest.mark.parametrize(
    "decision",
    [
        {"action": "send"},
        {"action": "send", "conversation_id": 1},
        {"action": "ask", "lead_id": "x"},
        {"action": "ask", "lead_id": "x", "conversation_id": 1, "text": "hm"},
        {"action": "send", "lead_id": "x", "price": "0"},
    ],
)
def test_half_a_decision_is_refused(decision: dict[str, Any], service: Service) -> None:
    pair(service)
    assert decide(service, **decision).status_code == 422


def test_a_decision_on_nothing_we_know_is_refused(service: Service) -> None:
    pair(service)
    assert decide(service, action="decline", lead_id="nothing").status_code == 409
    assert decide(service, action="settle", conversation_id=999).status_code == 409


def test_what_waits_can_be_asked_for(
    service: Service, post_lead: Taken, work_off: WorkedOff
) -> None:
    pair(service)
    bot = service.client("bot")
    (nothing,) = bot.get(f"{HERE}/waiting").json()
    assert nothing["text"] == "Nothing waits for you. Every client has an answer."
    waiting_lead(service, post_lead, work_off)
    (waits,) = bot.get(f"{HERE}/waiting").json()
    (was_told,) = told(service)
    assert (waits["text"], waits["buttons"]) == (was_told["text"], was_told["buttons"])
    (day,) = bot.get(f"{HERE}/today").json()
    assert day["text"].startswith("No set-up today or tomorrow")


def test_a_turn_in_the_owners_chat_calls_nobody(service: Service) -> None:
    pair(service)
    bot, chat = service.client("bot"), "/v1/conversations/telegram/7"
    update = {"channel": "telegram", "chat_id": "7", "update_id": "1", "kind": "text", "text": "hi"}
    inbox_id = bot.post("/v1/inbox", json=update).json()["inbox_id"]
    turn = {"inbox_id": inbox_id, "version": 0, "state": {}, "calls_owner": True}
    assert bot.post(f"{chat}/turns", json=turn).json()["applied"] is True
    with service.ports.read() as work:
        assert work.chats.calling(limit=9) == []
