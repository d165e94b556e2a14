"""Clients who want nothing unasked."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.leads import follow_up, reminding, talking
from service.leads.lead import Lead
from service.leads.messages import Message
from service.leads.reminders import State
from tests.service.building import BuiltShop
from tests.service.leads.follow_up import story

CHAT = ("telegram", "77")


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    with story.a_shop(tmp_path) as built:
        yield built


def turn(shop: BuiltShop, text: str, *, stops: bool | None) -> None:
    with shop.ports.work() as work:
        version, state = work.chats.state(*CHAT)
        payload = {"kind": "text", "text": text}
        row, _ = work.inbox.receive(*CHAT, f"u{version}", payload, shop.now)
        talking.take_turn(
            work,
            shop.ports,
            *CHAT,
            inbox_id=row.id,
            version=version,
            state=state,
            messages=[Message(kind="say", text="As you say.")],
            stops=stops,
            now=shop.now,
        )
        work.commit()


def stopped(shop: BuiltShop) -> bool:
    with shop.ports.read() as work:
        return work.chats.stopped_at(*CHAT) is not None


def history(shop: BuiltShop, lead: Lead) -> list[str]:
    with shop.ports.read() as work:
        return [change.what for change in work.leads.history(lead.id)]


def test_a_stop_drops_what_is_to_come_with_the_turn_itself(shop: BuiltShop) -> None:
    lead, other = story.booked(shop), story.quoted(shop)
    turn(shop, "stop", stops=True)
    assert stopped(shop)
    assert story.owed(shop, lead) == story.owed(shop, other) == {}
    assert "stopped reminders" in history(shop, lead)
    before = story.said(shop)
    assert before[-1] == "As you say."  # a client's own words are answered
    story.at(shop, story.EVENT, 12)
    assert story.work_off(shop) == []
    assert story.said(shop) == before


def test_a_step_on_its_way_when_the_client_stops_says_nothing(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    shop.now = story.owed(shop, lead)["nudge"]
    (step,) = story.due_steps(shop)
    leased = story.lease(shop, step)
    turn(shop, "stop", stops=True)
    before = story.said(shop)
    assert story.fall_due(shop, leased) is State.DROPPED
    assert story.said(shop) == before


def test_a_turn_that_came_too_late_stops_nothing(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    with shop.ports.work() as work:
        row, _ = work.inbox.receive(*CHAT, "u", {"kind": "text", "text": "stop"}, shop.now)
        with pytest.raises(talking.TurnConflict):
            talking.take_turn(
                work,
                shop.ports,
                *CHAT,
                inbox_id=row.id,
                version=7,
                state={},
                messages=[],
                stops=True,
                now=shop.now,
            )
    assert not stopped(shop)
    assert "nudge" in story.owed(shop, lead)


def test_what_happens_after_a_stop_plans_nothing_for_the_client(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    turn(shop, "stop", stops=True)
    story.held_of(shop, lead)
    # The owner still wants to know.
    assert set(story.owed(shop, lead)) == {"owners_hold"}
    assert "is held for you" in story.said(shop)[-1]  # an answer to what they did


def test_starting_again_plans_what_is_still_to_come(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    before = story.owed(shop, lead)
    turn(shop, "stop", stops=True)
    turn(shop, "what time is it?", stops=None)
    assert stopped(shop)
    turn(shop, "start", stops=False)
    assert not stopped(shop)
    assert story.owed(shop, lead) == before
    assert "wants reminders again" in history(shop, lead)


def test_what_was_sent_or_taken_out_does_not_come_again_with_a_start(shop: BuiltShop) -> None:
    lead = story.booked(shop)
    ids = {each.kind.value: each.id for each in story.reminders(shop, lead)}
    with shop.ports.work() as work:
        reminding.skip(work, ids["thanks"], who="owner", now=shop.now)
        work.commit()
    story.wait_until(shop, story.owed(shop, lead)["balance"])
    turn(shop, "stop", stops=True)
    shop.now += timedelta(hours=1)
    turn(shop, "start", stops=False)
    assert set(story.owed(shop, lead)) == {"day_before"}


def test_stopping_twice_is_stopping_once(shop: BuiltShop) -> None:
    lead = story.quoted(shop)
    for _ in range(2):
        with shop.ports.work() as work:
            follow_up.stop(work, *CHAT, now=shop.now)
            work.commit()
    assert history(shop, lead).count("stopped reminders") == 1


def test_a_stranger_may_stop_before_there_is_any_request(shop: BuiltShop) -> None:
    turn(shop, "stop", stops=True)
    assert stopped(shop)
    assert story.owed(shop, story.quoted(shop)) == {}
