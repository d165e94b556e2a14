"""The life of a lead over HTTP: taken once, quoted, reviewed, held."""

import threading
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

import pytest

from service.leads import handling
from tests.service.api.conftest import CANONICAL, Service

Post = Callable[..., dict[str, Any]]
WorkOff = Callable[[], list[dict[str, Any]]]


def _api_path(url: str) -> str:
    return "/v1" + urlsplit(url).path


def _body(**more: Any) -> dict[str, Any]:
    return {"brief": CANONICAL, **more}


def test_without_just_one_idempotency_key_it_is_400(service: Service) -> None:
    answer = service.client("website").post("/v1/leads", json=_body())
    assert answer.status_code == 400
    assert "Idempotency-Key" in answer.json()["detail"]
    two = [("Idempotency-Key", '"one"'), ("Idempotency-Key", '"two"')]
    assert service.client("bot").post("/v1/leads", json=_body(), headers=two).status_code == 400


def test_the_same_request_gets_the_same_answer_byte_for_byte(service: Service) -> None:
    client = service.client("website")
    headers = {"Idempotency-Key": '"8e03978e-40d5-43e8-bc93-6894a57f9324"'}
    first = client.post("/v1/leads", json=_body(), headers=headers)
    again = client.post("/v1/leads", json=_body(), headers=headers)
    other = client.post("/v1/leads", json=_body(language="es"), headers=headers)
    assert (first.status_code, again.status_code, other.status_code) == (202, 202, 422)
    assert again.content == first.content
    assert len(service.client("owner").get("/v1/leads").json()["leads"]) == 1


def test_the_key_that_anybody_can_read_takes_so_many_leads_of_one_place(service: Service) -> None:
    def post(role: str, number: int) -> Any:
        headers = {"Idempotency-Key": f'"{role}-{number}"'}
        return service.client(role).post("/v1/leads", json=_body(), headers=headers)

    answers = [post("website", number) for number in range(31)]
    assert [answer.status_code for answer in answers] == [202] * 30 + [429]
    assert 0 < int(answers[-1].headers["Retry-After"]) <= 3600
    assert answers[-1].headers["content-type"] == "application/problem+json"
    assert post("owner", 1).status_code == 202


def test_twins_of_a_request_make_one_lead(service: Service) -> None:
    answers: list[bytes] = []

    def post() -> None:
        response = service.client("website").post(
            "/v1/leads", json=_body(), headers={"Idempotency-Key": '"twin"'}
        )
        answers.append(response.content)

    threads = [threading.Thread(target=post) for _ in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 12
    assert len(set(answers)) == 1
    assert len(service.client("owner").get("/v1/leads").json()["leads"]) == 1


def test_a_lead_is_owed_its_ballpark_even_while_the_queue_is_down(
    service: Service, post_lead: Post
) -> None:
    receipt = post_lead()
    assert receipt["state"] == "new"
    assert service.client().get("/readyz").json()["queue"] == "down"
    with service.ports.read() as work:
        owed = work.outbox.due(service.ports.clock(), limit=5)
    assert [step.subject_id for step in owed] == [receipt["lead_id"]]


def test_the_ballpark_reaches_the_chat_once_with_range_and_links(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    receipt = post_lead()
    (lead,) = work_off()
    assert lead["state"] == "quoted"
    assert Decimal(lead["quote"]["low"]) < Decimal(lead["quote"]["high"])
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert [message["kind"] for message in said] == ["ballpark"]
    assert said[0]["buttons"][1]["url"] == lead["quote"]["booking_url"]
    assert said[0]["picture"]["url"].startswith(f"{lead['quote']['url']}/picture.png")
    assert "balloons" in said[0]["picture"]["alt"]
    with service.ports.read() as work:
        assert work.outbox.due(service.ports.clock() + timedelta(hours=1), limit=5) == []
    assert receipt["lead_id"] == lead["lead_id"]


def test_a_worker_that_lost_its_lease_changes_nothing(service: Service, post_lead: Post) -> None:
    lead_id = post_lead()["lead_id"]
    worker = service.client("worker")
    with service.ports.read() as work:
        (step,) = work.outbox.due(service.ports.clock(), limit=5)
    estimate = worker.post("/v1/estimates", json=CANONICAL).json()
    late = worker.post(f"/v1/steps/{step.id}/lease").json()
    with service.ports.work() as work:
        taken = work.outbox.get(step.id)
        work.outbox.save(replace(taken, lease_until=None))
        work.commit()
    newer = worker.post(f"/v1/steps/{step.id}/lease").json()
    for lease, status in ((late, 409), (newer, 200), (newer, 200)):
        outcome = {"step_id": step.id, "fence": lease["fence"], "estimate": estimate}
        assert worker.post(f"/v1/leads/{lead_id}/quotes", json=outcome).status_code == status
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert len(said) == 1


def test_outdoors_waits_for_the_owner_who_changes_the_price_once(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    brief = deepcopy(CANONICAL)
    brief["site"]["setting"] = "outdoor"
    lead_id = post_lead(brief)["lead_id"]
    (lead,) = work_off()
    assert lead["state"] == "review"
    assert any("outdoors" in reason for reason in lead["review_reasons"])
    assert lead["quote"] is None
    owner = service.client("owner")
    decision = {"action": "send", "price": "512.50", "reason": "wind", "basis": "G1001-1"}
    first = owner.post(f"/v1/leads/{lead_id}/decisions", json=decision)
    again = owner.post(f"/v1/leads/{lead_id}/decisions", json=decision)
    assert (first.status_code, again.status_code) == (200, 409)
    quote = first.json()["quote"]
    assert (quote["kind"], quote["low"], quote["high"]) == ("firm", "512.50", "512.50")
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert [message["kind"] for message in said] == ["review", "firm"]
    assert "$512.50" in said[1]["text"]


def test_a_conversation_tells_whether_the_owner_looks_at_its_newest_request(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    def waits() -> bool:
        standing = service.client("bot").get("/v1/conversations/webchat/chat-1").json()
        return bool(standing["under_review"])

    assert not waits()
    brief = deepcopy(CANONICAL)
    brief["site"]["setting"] = "outdoor"
    lead_id = post_lead(brief)["lead_id"]
    work_off()
    assert waits()
    decision = {"action": "send", "price": "512.50", "reason": "wind", "basis": "G1001-1"}
    service.client("owner").post(f"/v1/leads/{lead_id}/decisions", json=decision)
    assert not waits()


def test_the_website_learns_nothing_personal(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    nora = {"name": "Nora Ålund", "phone": "555-0100"}
    lead_id = post_lead(client=nora, channel="form", chat_id=None)["lead_id"]
    work_off()
    answer = service.client("website").get(f"/v1/leads/{lead_id}")
    assert set(answer.json()) == {"lead_id", "number", "state", "quote"}
    assert "Nora" not in answer.text


def test_the_same_brief_has_one_price_by_chat_form_and_api(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    post_lead(channel="form", chat_id=None)
    post_lead(channel="api", chat_id=None)
    quotes = [lead["quote"] for lead in work_off()]
    direct = service.client("website").post("/v1/estimates", json=CANONICAL).json()["price"]
    prices = {(quote["low"], quote["likely"], quote["high"]) for quote in quotes}
    assert len(quotes) == 3
    assert prices == {(direct["low"], direct["likely"], direct["high"])}


def test_a_hold_is_placed_once_and_its_window_is_gone_for_others(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    post_lead(chat_id="chat-2")
    mine, theirs = (_api_path(lead["quote"]["booking_url"]) for lead in work_off())
    anyone = service.client()
    windows = anyone.get(f"{mine}/windows").json()
    assert windows
    wish = {"starts_at": windows[0]["starts_at"], "name": "Nora Ålund", "phone": "555-0100"}
    first = anyone.post(f"{mine}/holds", json=wish)
    assert first.status_code == 201
    assert anyone.post(f"{mine}/holds", json=wish).json() == first.json()
    refused = anyone.post(f"{theirs}/holds", json=wish)
    assert refused.status_code == 409
    assert windows[0] not in anyone.get(f"{theirs}/windows").json()
    moved = anyone.post(f"{mine}/holds", json={**wish, "starts_at": windows[-1]["starts_at"]})
    assert moved.status_code == 201
    # There is one such frame, and it is out all day: the next weekend it is not.
    assert anyone.get(f"{theirs}/windows").json() == []
    (nearest, *_rest) = refused.json()["next_free"]
    assert nearest["starts_at"].startswith("2027-06-12T")
    assert anyone.post(f"{theirs}/holds", json={**wish, **nearest}).status_code == 422
    wish["starts_at"] = nearest["starts_at"]
    assert anyone.post(f"{theirs}/holds", json=wish).status_code == 409
    assert anyone.post(f"{theirs}/holds", json={**wish, "another_day": True}).status_code == 201


def test_a_window_that_is_no_longer_needed_is_given_back(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    (lead,) = work_off()
    path, anyone = _api_path(lead["quote"]["booking_url"]), service.client()
    terms = anyone.get(f"{path}/terms").json()
    assert terms["version"]
    assert terms["terms"]
    assert terms["weather"] == ""
    (first, *_rest) = anyone.get(f"{path}/windows").json()
    stale = _wish(first) | {"accepted_terms": "0123456789abcdef"}
    assert anyone.post(f"{path}/holds", json=stale).status_code == 409
    agreed = _wish(first) | {"accepted_terms": terms["version"]}
    assert anyone.post(f"{path}/holds", json=agreed).status_code == 201
    with service.ports.read() as work:
        accepted = work.agreements.accepted(lead_id)
    assert accepted is not None
    assert accepted.version == terms["version"]
    for _ in range(2):
        given = anyone.post(f"{path}/give-back", json={"because": "the event is off"})
        assert given.json()["state"] == "quoted"
    assert first in anyone.get(f"{path}/windows").json()


def test_a_hold_that_runs_out_is_free_again_and_the_client_is_told(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    (lead,) = work_off()
    path = _api_path(lead["quote"]["booking_url"])
    (first, *_rest) = service.client().get(f"{path}/windows").json()
    wish = {"starts_at": first["starts_at"], "name": "Nora", "email": "nora@rowing.example"}
    hold = service.client().post(f"{path}/holds", json=wish).json()
    assert service.client("bot").get(f"/v1/leads/{lead_id}").json()["state"] == "held"
    _advance(service, timedelta(days=7))
    assert hold["expires_at"] < service.ports.clock().isoformat()
    service.client("worker").post("/v1/outbox/sweep")
    assert service.client("bot").get(f"/v1/leads/{lead_id}").json()["state"] == "quoted"
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert "free again" in said[-1]["text"]


def _wish(window: dict[str, str]) -> dict[str, str]:
    return {"starts_at": window["starts_at"], "name": "Nora", "phone": "555-0100"}


def test_a_hold_needs_a_way_to_reach_the_client_and_a_time_of_our_times(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    (lead,) = work_off()
    path = _api_path(lead["quote"]["booking_url"])
    (first, *_rest) = service.client().get(f"{path}/windows").json()
    nameless = {"starts_at": first["starts_at"], "name": "Nora"}
    assert service.client().post(f"{path}/holds", json=nameless).status_code == 422
    for moment in ("0001-01-01T00:00:00+00:00", "9999-12-31T23:59:59-14:00", "2027-06-06T09:00"):
        wish = _wish({"starts_at": moment})
        assert service.client().post(f"{path}/holds", json=wish).status_code == 422


def test_moving_a_hold_buys_no_more_time_and_ends_somewhere(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    (lead,) = work_off()
    path = _api_path(lead["quote"]["booking_url"])
    first, second, *_rest = service.client().get(f"{path}/windows").json()
    held = service.client().post(f"{path}/holds", json=_wish(first)).json()
    _advance(service, timedelta(hours=20))
    moved = service.client().post(f"{path}/holds", json=_wish(second)).json()
    assert moved["expires_at"] == held["expires_at"]
    statuses = [
        service.client().post(f"{path}/holds", json=_wish(window)).status_code
        for window in (first, second) * 8
    ]
    assert statuses[0] == 201
    assert 409 in statuses


def test_what_has_run_out_is_free_before_any_sweep(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    post_lead(chat_id="chat-2")
    mine, theirs = (_api_path(lead["quote"]["booking_url"]) for lead in work_off())
    (first, *_rest) = service.client().get(f"{mine}/windows").json()
    held = service.client().post(f"{mine}/holds", json=_wish(first)).json()
    _advance(service, timedelta(days=4))
    assert held["expires_at"] < service.ports.clock().isoformat()
    assert first in service.client().get(f"{theirs}/windows").json()
    again = service.client().post(f"{mine}/holds", json=_wish(first)).json()
    assert again["expires_at"] > held["expires_at"]


def test_a_deposit_books_the_date_for_good(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    (lead,) = work_off()
    owner = service.client("owner")
    too_early = owner.post(f"/v1/leads/{lead_id}/decisions", json={"action": "deposit"})
    assert too_early.status_code == 409
    path = _api_path(lead["quote"]["booking_url"])
    (first, *_rest) = service.client().get(f"{path}/windows").json()
    service.client().post(f"{path}/holds", json=_wish(first))
    booked = owner.post(f"/v1/leads/{lead_id}/decisions", json={"action": "deposit"})
    assert booked.json()["state"] == "booked"
    _advance(service, timedelta(days=10))
    service.client("worker").post("/v1/outbox/sweep")
    assert owner.get(f"/v1/leads/{lead_id}").json()["state"] == "booked"
    said = service.client("bot").get("/v1/conversations/webchat/chat-1/messages").json()
    assert "is booked" in said[-1]["text"]


def test_a_request_that_is_revised_replaces_the_one_before(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    first = post_lead()["lead_id"]
    work_off()
    second = post_lead(revises=True)["lead_id"]
    work_off()
    states = {
        lead["lead_id"]: lead["state"]
        for lead in service.client("owner").get("/v1/leads").json()["leads"]
    }
    assert states == {first: "lapsed", second: "quoted"}
    with service.ports.read() as work:
        replaced = handling.replaced_by(work, work.leads.get(first))
    assert replaced is not None
    assert replaced.id == second


def test_a_price_is_good_until_the_end_of_a_day_and_then_the_lead_lapses(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    (lead,) = work_off()
    expires = datetime.fromisoformat(lead["quote"]["expires_at"])
    local = expires.astimezone(ZoneInfo("America/New_York"))
    assert (local.hour, local.minute, local.second) == (23, 59, 59)
    _advance(service, timedelta(days=40))
    service.client("worker").post("/v1/outbox/sweep")
    assert service.client("owner").get(f"/v1/leads/{lead_id}").json()["state"] == "lapsed"


def test_a_step_that_was_given_up_can_be_tried_again(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    worker = service.client("worker")
    with service.ports.read() as work:
        (step,) = work.outbox.due(service.ports.clock(), limit=5)
    fence = worker.post(f"/v1/steps/{step.id}/lease").json()["fence"]
    failure = {"fence": fence, "error": "KeyError", "retry": False}
    worker.post(f"/v1/steps/{step.id}/failures", json=failure)
    assert work_off() == []
    owner = service.client("owner")
    assert owner.post(f"/v1/steps/{step.id}/again").status_code == 204
    assert owner.post(f"/v1/steps/{step.id}/again").status_code == 409
    assert [lead["lead_id"] for lead in work_off()] == [lead_id]


def test_a_firm_price_leaves_a_held_date_held(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    (lead,) = work_off()
    path = _api_path(lead["quote"]["booking_url"])
    first, *_rest, last = service.client().get(f"{path}/windows").json()
    wish = {"starts_at": first["starts_at"], "name": "Nora", "phone": "555-0100"}
    assert service.client().post(f"{path}/holds", json=wish).status_code == 201
    decision = {"action": "send", "price": "400"}
    sent = service.client("owner").post(f"/v1/leads/{lead_id}/decisions", json=decision)
    assert sent.json()["state"] == "held"
    moved = service.client().post(f"{path}/holds", json={**wish, "starts_at": last["starts_at"]})
    assert moved.json()["deposit"] == "200.00"
    with service.ports.read() as work:
        hold = work.holds.of_lead(lead_id)
    assert hold is not None
    assert hold.window.starts_at == datetime.fromisoformat(last["starts_at"])
    assert first in service.client().get(f"{path}/windows").json()


def test_an_address_that_is_not_there_gets_a_problem(service: Service) -> None:
    answer = service.client().get("/v1/leeds")
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"
    assert service.client("owner").get("/v1/leads?before=G99999999999999999999").status_code == 404


def test_altered_foreign_and_expired_links_are_told_apart(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    (lead,) = work_off()
    quote = _api_path(lead["quote"]["url"])
    anyone = service.client()
    assert anyone.get(quote).status_code == 200
    assert anyone.get(quote[:-2] + ("AA" if quote[-2:] != "AA" else "BB")).status_code == 404
    swapped = quote.replace("/quotes/", "/bookings/") + "/windows"
    assert anyone.get(swapped).status_code == 404
    _advance(service, timedelta(days=400))
    gone = anyone.get(quote)
    assert gone.status_code == 410
    assert gone.headers["content-type"] == "application/problem+json"


def _advance(service: Service, ahead: timedelta) -> None:
    before = service.ports
    now = before.clock() + ahead
    service.app.state.ports = replace(before, clock=lambda: now)


def test_a_brief_that_cannot_be_built_is_refused_before_it_is_taken(service: Service) -> None:
    brief = deepcopy(CANONICAL)
    del brief["pieces"][0]["height_m"]
    answer = service.client("website").post(
        "/v1/leads", json={"brief": brief}, headers={"Idempotency-Key": '"x"'}
    )
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"].endswith("pieces[0].height_m")


def test_declining_is_kind_and_final(service: Service, post_lead: Post, work_off: WorkOff) -> None:
    lead_id = post_lead()["lead_id"]
    work_off()
    owner = service.client("owner")
    decided = owner.post(f"/v1/leads/{lead_id}/decisions", json={"action": "decline"})
    assert decided.json()["state"] == "declined"
    refused = owner.post(f"/v1/leads/{lead_id}/decisions", json={"action": "send"})
    assert refused.status_code == 409


@pytest.mark.parametrize(
    ("method", "path", "roles"),
    [
        ("POST", "/v1/estimates", {"bot", "worker", "website", "owner"}),
        ("GET", "/v1/shop", {"bot", "worker", "website", "owner"}),
        ("POST", "/v1/leads", {"bot", "website", "owner"}),
        ("GET", "/v1/leads", {"owner"}),
        ("GET", "/v1/leads/x", {"bot", "worker", "website", "owner"}),
        ("POST", "/v1/leads/x/quotes", {"worker"}),
        ("POST", "/v1/leads/x/reviews", {"worker"}),
        ("POST", "/v1/leads/x/decisions", {"owner"}),
        ("POST", "/v1/inbox", {"bot"}),
        ("GET", "/v1/inbox", {"bot"}),
        ("GET", "/v1/conversations/webchat/x", {"bot"}),
        ("POST", "/v1/conversations/webchat/x/turns", {"bot"}),
        ("GET", "/v1/conversations/webchat/x/messages", {"bot"}),
        ("POST", "/v1/steps/x/lease", {"worker"}),
        ("POST", "/v1/steps/x/quote", {"worker"}),
        ("POST", "/v1/steps/x/sending", {"worker"}),
        ("POST", "/v1/steps/x/done", {"worker"}),
        ("POST", "/v1/steps/x/failures", {"worker"}),
        ("POST", "/v1/steps/x/again", {"owner"}),
        ("GET", "/v1/messages/x", {"worker"}),
        ("POST", "/v1/outbox/sweep", {"worker"}),
    ],
)
def test_each_route_is_open_to_its_roles_only(
    service: Service, method: str, path: str, roles: set[str]
) -> None:
    assert service.client().request(method, path).status_code == 401
    for role in ("bot", "worker", "website", "owner"):
        status = service.client(role).request(method, path).status_code
        assert (status not in (401, 403)) == (role in roles), (role, status)


def test_a_ballpark_over_the_budget_says_what_would_fit(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> None:
    post_lead(CANONICAL | {"budget": {"max": "350"}}, chat_id="tight")
    post_lead(CANONICAL | {"budget": {"max": "5000"}}, chat_id="ample")
    quoted = work_off()
    likely = {lead["chat_id"]: Decimal(lead["quote"]["likely"]) for lead in quoted}
    assert 350 < likely["tight"] < 5000
    bot = service.client("bot")
    said = {
        chat: bot.get(f"/v1/conversations/webchat/{chat}/messages").json()[-1] for chat in likely
    }
    values = {chat: [b["value"] for b in message["buttons"]] for chat, message in said.items()}
    assert "options" in values["tight"]
    assert "options" not in values["ample"]
    fitting = bot.post("/v1/options", json=CANONICAL | {"budget": {"max": "350"}}).json()
    assert any(option["fits"] for option in fitting)
    shown = [f"${Decimal(option['price']['low']):,.0f} to" for option in fitting if option["fits"]]
    assert all(price in said["tight"]["text"] for price in shown)


def test_a_lead_keeps_what_led_to_it_for_the_owner(
    service: Service, post_lead: Callable[..., dict[str, Any]]
) -> None:
    receipt = post_lead(source="library-reopening")
    lead = service.client("owner").get(f"/v1/leads/{receipt['lead_id']}").json()
    assert lead["source"] == "library-reopening"
