"""What did not go through: all of it is listed, and the owner tries it again or puts it away."""

from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.leads import stepping
from service.leads.lead import Client, Lead, LeadState
from service.leads.messages import Message
from service.leads.steps import HELD_BACK, Step, StepState
from service.leads.telling import tell
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import hidden_in, text_of

BLOCKED = "Telegram: Forbidden: bot was blocked by the user"


def asked(shop: BuiltShop) -> Lead:
    client = Client(name="Nora Ålund")
    return shop.quoted(a_brief(), channel="telegram", chat_id="42", client=client)


def say(shop: BuiltShop, text: str, chat_id: str = "42") -> Step:
    with shop.ports.work() as work:
        tell(work, "telegram", chat_id, Message(kind="note", text=text), now=shop.now)
        work.commit()
    return shop.queue.steps[-1]


def fail(shop: BuiltShop, step: Step, error: str, **how: Any) -> Step:
    """The step is tried, and comes back so."""
    outcome: dict[str, Any] = {"retry": False, "retry_after": None, **how}
    with shop.ports.work() as work:
        leased = stepping.lease(work, step.id, shop.now)
        stepping.fail(work, step.id, leased.fence, error=error, now=shop.now, **outcome)
        work.commit()
    return kept(shop, step)


def kept(shop: BuiltShop, step: Step) -> Step:
    with shop.ports.read() as work:
        return work.outbox.get(step.id)


def deliveries(shop: BuiltShop) -> list[Step]:
    """The messages that are owed, oldest first."""
    with shop.ports.read() as work:
        return [each for each in work.outbox.due(shop.now, limit=99) if each.kind == "deliver"]


def said_of(shop: BuiltShop, lead: Lead) -> list[tuple[str, str]]:
    with shop.ports.read() as work:
        return [(each.who, each.what) for each in work.leads.history(lead.id)]


def test_it_says_whose_it_is_and_why_in_words(shop: BuiltShop, owner: TestClient) -> None:
    lead = asked(shop)
    fail(shop, deliveries(shop)[0], BLOCKED)
    for path in ("/desk", "/desk/stuck"):
        page = owner.get(path).text
        assert f"Nora Ålund, {lead.number}" in text_of(page)
        assert "Tried once: the client has blocked the bot." in text_of(page)
        assert 'href="/desk/conversations/telegram/42"' in page
    for path in (f"/desk/leads/{lead.id}", "/desk/conversations/telegram/42"):
        page = text_of(owner.get(path).text)
        assert "Did not go through" in page
        assert "the client has blocked the bot" in page


@pytest.mark.parametrize(
    ("verdict", "noted"),
    [
        ("arrived", "noted that a message did arrive"),
        ("unwanted", "let go of a message that did not go through"),
    ],
)
def test_it_is_put_away_once_however_often_it_is_pressed(
    shop: BuiltShop, owner: TestClient, verdict: str, noted: str
) -> None:
    lead = asked(shop)
    step = fail(shop, deliveries(shop)[0], BLOCKED)
    path = f"/desk/steps/{step.id}/away"
    form = hidden_in(owner.get(f"/desk/leads/{lead.id}").text)
    form = {"csrf": form["csrf"], "seen": str(step.fence), "to": f"/desk/leads/{lead.id}"}
    for _ in range(2):
        pressed = owner.post(path, data=form | {"verdict": verdict})
        assert (pressed.status_code, pressed.headers["location"]) == (303, form["to"])
    assert kept(shop, step).state is StepState.DONE
    assert said_of(shop, lead).count(("owner", noted)) == 1
    page = text_of(owner.get("/desk").text)
    assert "Stuck: needs you" not in page
    assert "Every client has an answer." in page


def test_what_was_tried_since_is_not_put_away_by_an_old_page(
    shop: BuiltShop, owner: TestClient
) -> None:
    asked(shop)
    step = fail(shop, deliveries(shop)[0], BLOCKED)
    form = hidden_in(owner.get("/desk/stuck").text) | {"verdict": "unwanted"}
    owner.post(f"/desk/steps/{step.id}/again", data=form)
    fail(shop, step, "the sending took too long")
    pressed = owner.post(f"/desk/steps/{step.id}/away", data=form)
    assert pressed.status_code == 409
    assert "this is how it stands" in text_of(pressed.text)
    assert kept(shop, step).state is StepState.DEAD
    owner.post(f"/desk/steps/{step.id}/again", data=form)
    assert kept(shop, step).state is StepState.DEAD


def test_a_message_in_doubt_that_did_arrive_goes_out_no_more(
    shop: BuiltShop, owner: TestClient
) -> None:
    asked(shop)
    step = fail(shop, deliveries(shop)[0], "no answer", retry=True, unclear=True)
    page = owner.get("/desk").text
    assert "Nothing else." in text_of(page)
    form = hidden_in(page) | {"verdict": "arrived"}
    owner.post(f"/desk/steps/{step.id}/away", data=form)
    shop.now += timedelta(hours=1)
    assert deliveries(shop) == []
    with shop.ports.read() as work:
        assert work.outbox.unclear(shop.now).settled == 1


def test_a_request_that_cannot_be_priced_is_left_to_the_owner(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.take_lead(a_brief())
    step = fail(shop, shop.queue.steps[-1], "ConnectError")
    page = owner.get("/desk").text
    assert "take it over, the client is told that you look at it first." in text_of(page)
    form = hidden_in(page) | {"verdict": "unwanted"}
    for _ in range(2):
        owner.post(f"/desk/steps/{step.id}/away", data=form)
    assert shop.lead(lead.id).state is LeadState.REVIEW
    assert said_of(shop, lead).count(("owner", "took over what could not be priced")) == 1
    assert "No price could be worked out." in text_of(owner.get("/desk").text)


def test_what_a_restore_held_back_is_not_said_to_have_been_tried(
    shop: BuiltShop, owner: TestClient
) -> None:
    step = say(shop, "Ready.")
    with shop.ports.work() as work:
        work.outbox.save(Step(**{**_values(step), "state": StepState.DEAD, "maybe_done": True}))
        work.commit()
    page = text_of(owner.get("/desk").text)
    assert "Not sent yet through Telegram: “Ready.”" in page
    assert "Held back when the shop was restored from a backup" in page
    for untrue in ("Tried", "Sent once", "several"):
        assert untrue not in page


def _values(step: Step) -> dict[str, Any]:
    return {name: getattr(step, name) for name in Step.__slots__} | {"last_error": HELD_BACK}


def test_all_of_them_are_listed(shop: BuiltShop, owner: TestClient) -> None:
    for n in range(27):
        fail(shop, say(shop, f"Word {n:02}.", chat_id=f"{n}"), BLOCKED)
    page = owner.get("/desk").text
    assert 'href="/desk/stuck"' in page
    first = owner.get("/desk/stuck").text
    second = owner.get(first.split('class="button quiet" href="')[1].split('"')[0]).text
    assert [f"Word {n:02}." in first for n in range(27)] == [False] * 2 + [True] * 25
    assert [f"Word {n:02}." in second for n in range(27)] == [True] * 2 + [False] * 25
    assert "Older ones" not in second


def test_clients_are_not_said_to_have_an_answer_that_is_on_its_way(
    shop: BuiltShop, owner: TestClient
) -> None:
    asked(shop)
    page = text_of(owner.get("/desk").text)
    assert "What your clients wait for is on its way." in page
    assert "Every client has an answer" not in page
