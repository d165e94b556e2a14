"""Turns in the owner's chat: the decision goes first, once, and its answer is what is said."""

import asyncio
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime

import pytest

from bot.dialogue.messages import Incoming
from bot.gateway import Gateway
from bot.turns import Turns
from bot.wording import load
from tests.bot.fake_service import FakeService

PHRASEBOOK = load(None)
LEAD = "iSKd9-0_Ofy3Xz7Qa1bcdEFG"
OWNER = "telegram/7"


def with_turns(service: FakeService, use: Callable[[Turns], Awaitable[None]]) -> None:
    async def run() -> None:
        client = service.client()
        try:
            await use(
                Turns(Gateway(client), lambda: datetime(2027, 1, 10, 17, tzinfo=UTC), PHRASEBOOK)
            )
        finally:
            await client.aclose()

    asyncio.run(run())


async def say(turns: Turns, update_id: str, incoming: Incoming, chat: str = "7") -> None:
    received = await turns.receive("telegram", chat, update_id, incoming)
    await turns.take("telegram", chat, received, incoming)


def pressed(value: str) -> Incoming:
    return Incoming(kind="button", text=value)


def typed(text: str) -> Incoming:
    return Incoming(kind="text", text=text)


def texts(service: FakeService, chat: str = OWNER) -> list[str]:
    return [message["text"] for message in service.said.get(chat, [])]


def test_an_invitation_makes_the_chat_the_owners_and_forgets_what_was_said_before() -> None:
    service = FakeService(tokens={"abc"})

    async def use(turns: Turns) -> None:
        await say(turns, "u1", typed("a 6 ft hoop"))
        await say(turns, "u2", Incoming(kind="start", text="owner-abc", sender_name="Odile"))
        assert "connected with Harbor Lane Garlands" in texts(service)[-1]
        assert service.states[OWNER][1] == {}
        await say(turns, "u3", typed("a 6 ft hoop"))

    with_turns(service, use)
    assert "This is your own chat with the shop." in texts(service)[-1]
    assert service.leads == {}


def test_a_used_up_invitation_changes_nothing() -> None:
    service = FakeService(tokens={"abc"})

    async def use(turns: Turns) -> None:
        await say(turns, "u1", Incoming(kind="start", text="owner-abc"))
        await say(turns, "u2", typed("a 6 ft hoop"), chat="8")
        before = service.states["telegram/8"][1]
        await say(turns, "u3", Incoming(kind="start", text="owner-abc"), chat="8")
        assert service.states["telegram/8"][1] == before

    with_turns(service, use)
    assert texts(service, "telegram/8")[-1].startswith("That link has been used")
    assert service.owners == {OWNER}


def test_a_decision_is_made_once_however_often_its_turn_is_taken() -> None:
    service = FakeService(owners={OWNER})

    def crash() -> None:
        raise RuntimeError("the process is gone")

    async def use(turns: Turns) -> None:
        service.before_turn = crash
        with pytest.raises(RuntimeError):
            await say(turns, "u1", pressed(f"lead:{LEAD}:send:G1001-1"))
        service.before_turn = lambda: None
        assert await turns.replay("telegram", 0) == 1

    with_turns(service, use)
    (decision,) = service.decisions.values()
    assert (decision["action"], decision["lead_id"], decision["basis"]) == (
        "send",
        LEAD,
        "G1001-1",
    )
    assert texts(service) == ["G1001: the firm price is on its way to the client."]


def test_why_it_was_not_done_is_said_instead() -> None:
    service = FakeService(owners={OWNER}, refuse_decision="This request has been declined already.")
    with_turns(service, lambda turns: say(turns, "u1", pressed(f"lead:{LEAD}:send:G1001-1")))
    assert texts(service) == ["This request has been declined already."]
    assert service.handled == {1}


def test_a_price_and_words_reach_the_service() -> None:
    service = FakeService(owners={OWNER})

    async def use(turns: Turns) -> None:
        await say(turns, "u1", pressed(f"lead:{LEAD}:price:G1001-1"))
        await say(turns, "u2", typed("480"))
        await say(turns, "u3", pressed(f"lead:{LEAD}:price:G1001-1:480"))
        await say(turns, "u4", pressed("call:7:answer"))
        await say(turns, "u5", typed("Gladly!"))

    with_turns(service, use)
    price, words = service.decisions.values()
    assert (price["price"], price["basis"]) == ("480", "G1001-1")
    assert (words["conversation_id"], words["text"]) == (7, "Gladly!")


def test_what_is_asked_for_is_shown_by_the_service() -> None:
    service = FakeService(owners={OWNER})
    with_turns(service, lambda turns: say(turns, "u1", typed("/waiting")))
    assert texts(service) == ["what is seen of waiting"]


def test_a_decision_that_no_wire_takes_is_answered_all_the_same() -> None:
    service = FakeService(owners={OWNER})
    with_turns(service, lambda turns: say(turns, "u1", pressed(f"lead:{'x' * 40}:send:G1001-1")))
    assert texts(service)[0].startswith("That could not be understood")
    assert service.decisions == {}
