"""Nobody crowds the others out: by key, by address, by link and by chat; and Redis may be away."""

import asyncio
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import httpx
import pytest

from service.api import visits
from service.leads import limits
from service.leads.limits import Limit, network_of
from tests.bot.webchat.calling import said
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import serving
from tests.service.api.conftest import CANONICAL, Service

Post = Callable[..., dict[str, Any]]
WorkOff = Callable[[], list[dict[str, Any]]]


def at_most(monkeypatch: pytest.MonkeyPatch, name: str, most: int) -> None:
    """The same limit with little room: what is tested is that it is kept, not how wide it is."""
    limit: Limit = getattr(limits, name)
    tight = replace(limit, most=most)
    monkeypatch.setattr(limits, name, tight)
    for room in ("service.pages.quotes", "service.pages.pictures", "service.pages.bookings.routes"):
        monkeypatch.setattr(f"{room}.{name}", tight, raising=False)


def told_to_wait(answer: Any) -> bool:
    """Whether an answer says kindly that it was too much; it then says until when."""
    if answer.status_code != 429:
        assert answer.status_code < 400, answer.text
        return False
    assert int(answer.headers["Retry-After"]) >= 1
    return True


@pytest.mark.parametrize("path", ["/v1/estimates", "/v1/options"])
def test_the_websites_key_has_room_for_people_and_not_for_floods(
    service: Service, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    at_most(monkeypatch, "ESTIMATES", 2)
    website, bot = service.client("website"), service.client("bot")
    answers = [website.post(path, json=CANONICAL) for _ in range(3)]
    assert [told_to_wait(answer) for answer in answers] == [False, False, True]
    assert answers[-1].headers["content-type"] == "application/problem+json"
    assert "again later" in answers[-1].json()["detail"]
    # The shop's own programs are not strangers.
    assert bot.post(path, json=CANONICAL).status_code == 200


def test_all_addresses_together_have_a_limit_too(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_most(monkeypatch, "ESTIMATES_IN_ALL", 2)
    website = service.client("website")
    asked = [website.post("/v1/estimates", json=CANONICAL) for _ in range(3)]
    assert [told_to_wait(answer) for answer in asked] == [False, False, True]


def test_requests_by_the_websites_key_are_counted_by_address(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_most(monkeypatch, "LEADS", 2)
    website = service.client("website")
    answers = [
        website.post("/v1/leads", json={"brief": CANONICAL}, headers={"Idempotency-Key": f"k{n}"})
        for n in range(3)
    ]
    assert [told_to_wait(answer) for answer in answers] == [False, False, True]
    # One that comes again was counted when it came first.
    again = [
        website.post("/v1/leads", json={"brief": CANONICAL}, headers={"Idempotency-Key": "k0"})
        for _ in range(3)
    ]
    assert {answer.text for answer in again} == {answers[0].text}


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("PICTURES", "{quote}/picture.png"),
        ("PAPERS", "{quote}/quote.pdf"),
        ("WINDOWS", "{booking}"),
    ],
)
def test_what_is_drawn_or_worked_out_for_a_link_is_counted_by_link(
    service: Service,
    post_lead: Post,
    work_off: WorkOff,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    path: str,
) -> None:
    post_lead(), post_lead(chat_id="chat-2")
    links = [
        {
            key: quoted["quote"][url].removeprefix("https://garlands.example")
            for key, url in (("quote", "url"), ("booking", "booking_url"))
        }
        for quoted in work_off()
    ]
    at_most(monkeypatch, name, 1)
    client = service.client()
    asked = [client.get(path.format(**links[0])) for _ in range(2)]
    assert [told_to_wait(answer) for answer in asked] == [False, True]
    assert "few minutes" in asked[1].text
    assert not told_to_wait(client.get(path.format(**links[1])))


def test_times_are_held_so_often_and_no_oftener(
    service: Service, post_lead: Post, work_off: WorkOff, monkeypatch: pytest.MonkeyPatch
) -> None:
    post_lead()
    (quoted,) = work_off()
    address = quoted["quote"]["booking_url"].replace("garlands.example/", "garlands.example/v1/")
    client = service.client()
    free = client.get(f"{address}/windows").json()
    at_most(monkeypatch, "HOLDS", 2)
    sent = [
        client.post(
            f"{address}/holds",
            json={"starts_at": window["starts_at"], "name": "Nora", "phone": "+1 617 555 0199"},
        )
        for window in free[:3]
    ]
    assert [told_to_wait(answer) for answer in sent] == [False, False, True]


# The web chat


def visit(service: Service, brings: str = "update", chat: str = "c" * 30, who: str = "a") -> float:
    answer = service.client("bot").post(
        "/v1/visits", json={"visitor": who * 32, "chat_id": chat, "brings": brings}
    )
    assert answer.status_code == 200, answer.text
    return float(answer.json()["seconds"])


@pytest.mark.parametrize(
    ("name", "brings"),
    [("UPDATES", "update"), ("PHOTOS", "photo"), ("NEW_CHATS", "update"), ("NEW_CHATS", "photo")],
)
def test_whoever_throws_the_chats_cookie_away_is_no_other_visitor(
    service: Service, monkeypatch: pytest.MonkeyPatch, name: str, brings: str
) -> None:
    at_most(monkeypatch, name, 2)
    counted = limits.UPDATES if brings == "update" else limits.PHOTOS
    monkeypatch.setitem(visits._BOUNDS, brings, (limits.CHAT_UPDATES, counted))
    waits = [visit(service, brings, chat=f"{n}" * 30) for n in range(3)]
    assert waits[:2] == [0, 0]
    assert waits[2] >= 1
    assert visit(service, brings, who="b") == 0


def test_a_class_in_one_room_is_counted_by_heads_and_not_by_messages(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_most(monkeypatch, "NEW_CHATS", 2)
    hasty = [visit(service, chat=chat * 30) for chat in "ab" for _ in range(3)]
    assert hasty == [0] * 6
    # Whoever was turned away is so as well for trying again.
    assert min(visit(service, chat="c" * 30) for _ in range(2)) >= 1
    assert visit(service, chat="a" * 30) == 0


def test_all_new_chats_together_have_a_limit_too(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_most(monkeypatch, "NEW_CHATS_IN_ALL", 2)
    waits = [visit(service, chat=who * 30, who=who) for who in "abc"]
    assert waits[:2] == [0, 0]
    assert waits[2] >= 1


def test_a_chat_is_counted_wherever_it_is_written_from(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    tight = replace(limits.CHAT_UPDATES, most=2)
    monkeypatch.setitem(visits._BOUNDS, "update", (tight, limits.UPDATES))
    waits = [visit(service, who=who) for who in "abc"]
    assert waits[:2] == [0, 0]
    assert waits[2] >= 1


def test_the_web_chat_asks_before_it_takes_and_says_kindly_when_to_go_on() -> None:
    gateway = MemoryGateway()

    async def scenario() -> None:
        async with serving(gateway) as url, httpx.AsyncClient(base_url=url) as client:
            await client.post("/chat/session")
            # The test stands for a proxy on this machine, which says for whom it asks.
            away = {"X-Forwarded-For": "2001:db8::7"}
            sent = await client.post("/chat/updates", json=said("hello"), headers=away)
            assert sent.status_code == 202
            gateway.waits_s = 41.5
            sent = await client.post("/chat/updates", json=said("again", "u2"), headers=away)
            assert (sent.status_code, sent.headers["Retry-After"]) == (429, "42")
            assert "a lot at once" in sent.json()["detail"]
            photo = await client.post(
                "/chat/photos", content=b"x", headers={**away, "Content-Type": "image/jpeg"}
            )
            assert photo.status_code == 429
            gateway.waits_s = 3488.0
            sent = await client.post("/chat/updates", json=said("later", "u4"), headers=away)
            assert "in 59 minutes" in sent.json()["detail"]
            # From this machine itself all visitors would be one: the chat's own pace is enough.
            assert (await client.post("/chat/updates", json=said("hi", "u3"))).status_code == 202

    asyncio.run(scenario())
    assert [brings for _, _, brings in gateway.visits] == ["update", "update", "photo", "update"]
    assert all("2001" not in visitor and len(visitor) == 32 for visitor, _, _ in gateway.visits)


def test_neighbours_in_one_network_of_the_newer_kind_are_one() -> None:
    assert network_of("2001:db8::1") == network_of("2001:db8::ffff:1") == "2001:db8::/64"
    assert network_of("2001:db8:0:1::1") != network_of("2001:db8::1")
    assert network_of("198.51.100.7") == "198.51.100.7"
    assert network_of("testclient") == "testclient"


def test_a_conversation_holds_so_many_photos(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.storage.talk.MOST_PHOTOS", 2)
    bot = service.client("bot")

    def keep(name: str, chat: str = "c1") -> int:
        return bot.put(
            f"/v1/photos/{name}?channel=webchat&chat_id={chat}",
            content=b"\xff\xd8\xff a boathouse",
            headers={"Content-Type": "image/jpeg"},
        ).status_code

    assert [keep(name) for name in ("p1", "p2", "p2", "p3")] == [204, 204, 204, 409]
    assert keep("p4", chat="c2") == 204
