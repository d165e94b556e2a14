"""Who waits for the owner, and what the owner's answer does."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from service.leads import talking
from service.leads.lead import StaleDecision
from service.leads.messages import Message
from service.leads.steps import StepKind
from tests.service.building import BuiltShop, a_brief, build_shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


def turn(shop: BuiltShop, text: str, *, calls_owner: bool = False, **payload: Any) -> None:
    """The client says something, and the dialogue answers."""
    with shop.ports.work() as work:
        version, state = work.chats.state("webchat", "a")
        update = {"kind": "text", "text": text} | payload
        row, _ = work.inbox.receive("webchat", "a", f"u{version}", update, shop.now)
        talking.take_turn(
            work,
            shop.ports,
            "webchat",
            "a",
            inbox_id=row.id,
            version=version,
            state=state,
            messages=[Message(kind="say", text="Hm.")],
            now=shop.now,
            calls_owner=calls_owner,
        )
        work.commit()


def answer(
    shop: BuiltShop, text: str, *, channel: str = "webchat", seen: int | None = None
) -> None:
    with shop.ports.work() as work:
        seen = work.chats.attention(channel, "a").last_seq if seen is None else seen
        talking.answer_as_owner(work, channel, "a", text, seen=seen, now=shop.now)
        work.commit()


def calling(shop: BuiltShop) -> list[str]:
    with shop.ports.read() as work:
        return [one.words for one in work.chats.calling(limit=9)]


def test_a_call_stands_until_the_owner_answers(shop: BuiltShop) -> None:
    turn(shop, "a person, please", calls_owner=True)
    asked_at = shop.now
    shop.now += timedelta(hours=1)
    turn(shop, "a hoop")
    turn(shop, "anybody?", calls_owner=True)
    with shop.ports.read() as work:
        (call,) = work.chats.calling(limit=9)
    assert (call.since, call.words) == (asked_at, "a person, please")
    answer(shop, "Here I am.")
    assert calling(shop) == []


def test_what_a_client_answers_to_the_owner_calls_the_owner_again(shop: BuiltShop) -> None:
    turn(shop, "a person, please", calls_owner=True)
    answer(shop, "Which door is it?")
    turn(shop, "the blue one on the left")
    assert calling(shop) == ["the blue one on the left"]
    with shop.ports.work() as work:
        talking.settle(work, "webchat", "a", seen=work.chats.attention("webchat", "a").last_seq)
        work.commit()
    turn(shop, "a 6 ft hoop")
    assert calling(shop) == []


def test_a_pressed_button_answers_the_dialogue_and_not_the_owner(shop: BuiltShop) -> None:
    turn(shop, "a person, please", calls_owner=True)
    answer(shop, "Pick any.")
    turn(shop, "answer:1:setting:indoor", kind="button", label="Indoors")
    assert calling(shop) == []


def test_an_answer_to_what_has_moved_on_is_refused(shop: BuiltShop) -> None:
    turn(shop, "a person, please", calls_owner=True)
    with shop.ports.read() as work:
        seen = work.chats.attention("webchat", "a").last_seq
    turn(shop, "it is about Sunday")
    with pytest.raises(StaleDecision):
        answer(shop, "Yes?", seen=seen)
    with pytest.raises(StaleDecision), shop.ports.work() as work:
        talking.settle(work, "webchat", "a", seen=seen)
    assert calling(shop) == ["it is about Sunday"]


def test_an_answer_is_a_note_that_only_push_channels_owe(shop: BuiltShop) -> None:
    for channel in ("webchat", "telegram"):
        answer(shop, "Gladly!", channel=channel)
        with shop.ports.read() as work:
            (said,) = work.chats.messages(channel, "a")
        assert said.message == Message(kind="note", text="Gladly!")
    (step,) = shop.queue.steps
    assert (step.kind, step.subject_id) == (StepKind.DELIVER, said.id)


def test_the_owners_own_words_are_a_first_answer(shop: BuiltShop) -> None:
    lead = shop.take_lead(a_brief(), channel="webchat", chat_id="a")
    turn(shop, "a person, please", calls_owner=True)
    shop.now += timedelta(minutes=2)
    answer(shop, "Here I am.")
    answered_at = shop.now
    shop.now += timedelta(minutes=2)
    answer(shop, "Still here.")
    assert shop.lead(lead.id).answered_at == answered_at
