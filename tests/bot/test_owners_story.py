"""The owner's chat as a whole story, from the desk's invitation to the next morning's digest.

The real service behind the real gateway and the real dialogue; the test plays the worker, moves
the shop's clock, and starts the bot anew at every turn.
"""

import asyncio
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import httpx
import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from bot.dialogue.messages import Incoming
from bot.gateway import Channel, Gateway, ServiceClient
from bot.turns import Turns
from bot.wording import load
from service.api import routing
from service.api.access import KeyRing, Role
from service.api.answers import RecentAnswers
from service.leads import owning
from service.storage.places import Places
from tests.service.building import BuiltShop, build_shop

ZONE = ZoneInfo("America/New_York")
PHRASEBOOK = load(None)
KEYS = {role: f"the {role} key" for role in Role}
WISH = (
    "how much for a garland on a 4 ft wide 7 ft tall arch frame, sage cream and gold,"
    " june 6 at 3pm, outdoors at the boathouse in 02472"
)


class Story:
    """A shop with its owner's phone and a client's web chat."""

    def __init__(self, shop: BuiltShop) -> None:
        self.shop = shop
        self.app = FastAPI()
        self.app.state.ports = shop.ports
        self.app.state.key_ring = KeyRing(KEYS)
        self.app.state.places = Places()
        self.app.state.recent_answers = RecentAnswers()
        routing.install(self.app)
        self._update_ids = count(1)

    def owner_says(self, text: str) -> list[dict[str, Any]]:
        start = text.startswith("/start ")
        kind, said = ("start", text.removeprefix("/start ")) if start else ("text", text)
        return self._take("telegram", "7", Incoming(kind=kind, text=said, sender_name="Ida"))  # type: ignore[arg-type]

    def owner_presses(self, label: str, message: dict[str, Any]) -> list[dict[str, Any]]:
        (value,) = (b["value"] for b in message["buttons"] if b["label"] == label)
        return self._take("telegram", "7", Incoming(kind="button", text=value, label=label))

    def client_says(self, text: str) -> list[dict[str, Any]]:
        return self._take("webchat", "nora", Incoming(kind="text", text=text, sender_name="Nora"))

    def worker_quotes(self) -> None:
        self.shop.work_off()

    def sweep(self) -> None:
        self.api(Role.WORKER).post("/v1/outbox/sweep")

    def api(self, role: Role | None = None) -> TestClient:
        headers = {} if role is None else {"Authorization": f"Bearer {KEYS[role]}"}
        return TestClient(self.app, headers=headers)

    def owner_reads(self) -> list[dict[str, Any]]:
        return self._said("telegram", "7")

    def client_reads(self) -> list[dict[str, Any]]:
        return self._said("webchat", "nora")

    def owed(self) -> set[str]:
        """Lanes in which a message waits for its way out."""
        with self.shop.ports.read() as work:
            return {step.lane for step in work.outbox.due(self.shop.now, limit=99)}

    def _said(self, channel: str, chat_id: str) -> list[dict[str, Any]]:
        path = f"/v1/conversations/{channel}/{chat_id}/messages"
        found = self.api(Role.BOT).get(path).json()
        return [message for message in found if message["direction"] == "out"]

    def _take(self, channel: Channel, chat_id: str, incoming: Incoming) -> list[dict[str, Any]]:
        """What is said in answer."""
        before = len(self._said(channel, chat_id))
        update_id = f"u{next(self._update_ids)}"

        async def run() -> None:
            client = ServiceClient(
                "http://service.test",
                KEYS[Role.BOT],
                transport=httpx.ASGITransport(app=self.app),
            )
            turns = Turns(Gateway(client), lambda: self.shop.now, PHRASEBOOK)
            received = await turns.receive(channel, chat_id, update_id, incoming)
            await turns.take(channel, chat_id, received, incoming)
            await client.aclose()

        asyncio.run(run())
        return self._said(channel, chat_id)[before:]


@pytest.fixture
def story(tmp_path: Path) -> Iterator[Story]:
    built = build_shop(tmp_path)
    yield Story(built)
    built.engine.dispose()


def connect(story: Story) -> None:
    with story.shop.ports.work() as work:
        token = owning.open_pairing(work, now=story.shop.now)
        work.commit()
    (greeting,) = story.owner_says(f"/start owner-{token}")
    assert "connected with Harbor Lane Balloons" in greeting["text"]


def wish(story: Story) -> dict[str, Any]:
    """The client asks and says yes; what the owner is told then."""
    story.client_says(WISH)
    (working,) = story.client_says("yes")
    assert working["kind"] == "working"
    story.worker_quotes()
    return story.owner_reads()[-1]


def test_from_the_invitation_to_the_next_mornings_digest(story: Story) -> None:
    connect(story)
    card = wish(story)
    assert "waits for you: Nora" in card["text"]
    assert "It is outdoors" in card["text"]
    assert f"Notes: {WISH}" in card["text"]
    assert story.owed() == {"telegram:7"}

    (asks,) = story.owner_presses("Ask the client", card)
    assert "write here what the client should read" in asks["text"]
    (sent,) = story.owner_says("Does it stand on grass?")
    assert sent["text"].startswith("Your words are on their way")
    assert story.client_reads()[-1]["text"] == "Does it stand on grass?"
    story.client_says("yes, on the lawn by the dock")
    call = story.owner_reads()[-1]
    assert "“yes, on the lawn by the dock”" in call["text"]
    (settled,) = story.owner_presses("Nothing to answer", call)
    assert settled["text"] == "Noted: nothing to answer."

    (which,) = story.owner_presses("Change the price", card)
    assert "which price shall I send" in which["text"]
    (sure,) = story.owner_says("480")
    assert "send $480 to the client as the firm price?" in sure["text"]
    (done,) = story.owner_presses("Yes, send $480", sure)
    assert "$480 is on its way to the client" in done["text"]
    firm = story.client_reads()[-1]
    assert firm["kind"] == "firm"
    assert "$480" in firm["text"]

    (twice,) = story.owner_presses("Yes, send $480", sure)
    assert "has gone out already" in twice["text"]
    assert story.client_reads()[-1] == firm

    hold(story, firm)
    held = story.owner_reads()[-1]
    assert "Nora holds Sunday, June 6, 2027" in held["text"]

    (today,) = story.owner_says("/today")
    assert today["text"].startswith("No set-up today or tomorrow")
    (nothing,) = story.owner_says("/waiting")
    assert nothing["text"].startswith("Nothing waits for you")

    before = len(story.owner_reads())
    story.shop.now = datetime(2027, 1, 11, 7, 30, tzinfo=ZONE)
    for _ in range(3):
        story.sweep()
        story = Story(story.shop)  # everything starts anew
    (digest,) = story.owner_reads()[before:]
    assert digest["text"].startswith("Good morning, Ida Marsh.")
    assert "Held without a deposit, and runs out today or tomorrow:" in digest["text"]
    assert all(message["kind"] == "owner" for message in story.owner_reads())
    assert not any(message["kind"] == "owner" for message in story.client_reads())


def hold(story: Story, firm: dict[str, Any]) -> None:
    (url,) = (b["url"] for b in firm["buttons"] if "/bookings/" in (b["url"] or ""))
    token = url.rsplit("/", 1)[1]
    window = story.api().get(f"/v1/bookings/{token}/windows").json()[0]
    who = {"starts_at": window["starts_at"], "name": "Nora", "phone": "+1 617 555 0100"}
    assert story.api().post(f"/v1/bookings/{token}/holds", json=who).status_code == 201


def test_declining_takes_two_presses_and_a_third_is_told_off(story: Story) -> None:
    connect(story)
    card = wish(story)
    (sure,) = story.owner_presses("Decline", card)
    assert story.client_reads()[-1]["kind"] == "review"
    (done,) = story.owner_presses("Yes, decline", sure)
    assert "is declined" in done["text"]
    assert story.client_reads()[-1]["kind"] == "note"
    (again,) = story.owner_presses("Yes, decline", sure)
    assert "declined already" in again["text"]
    (late,) = story.owner_presses(send_label(card), card)
    assert "declined already" in late["text"]


def send_label(card: dict[str, Any]) -> str:
    (label,) = (b["label"] for b in card["buttons"] if b["label"].startswith("Send $"))
    return str(label)


def test_sending_as_it_stands_is_one_press(story: Story) -> None:
    connect(story)
    card = wish(story)
    label = send_label(card)
    (done,) = story.owner_presses(label, card)
    assert "the firm price is on its way" in done["text"]
    assert label.removeprefix("Send ") in story.client_reads()[-1]["text"]


def test_the_owners_chat_begins_no_brief(story: Story) -> None:
    connect(story)
    for text in (WISH, "yes", "/price", "/new"):
        (answer,) = story.owner_says(text)
        assert answer["kind"] == "owner"
    story.worker_quotes()
    with story.shop.ports.read() as work:
        assert work.leads.of_chat("telegram", "7") == []


def test_after_disconnecting_the_chat_is_a_clients_again(story: Story) -> None:
    connect(story)
    card = wish(story)
    with story.shop.ports.work() as work:
        work.owner_chats.unpair("telegram", "7")
        work.commit()
    (answer,) = story.owner_presses(send_label(card), card)
    assert answer["kind"] != "owner"
    (answer,) = story.owner_says(WISH)
    assert answer["kind"] == "readback"
    before = story.owner_reads()
    story.shop.now += timedelta(days=1)
    story.sweep()
    assert story.owner_reads() == before
