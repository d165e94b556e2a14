"""What comes several times at once happens once, on SQLite and PostgreSQL."""

import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import Engine

from service.estimating import Setting, Site
from service.leads import booking, forgetting, handling, owning, stepping, talking
from service.leads.lead import Client, Lead, LeadError, LeadState, LinkExpired
from service.leads.messages import Message
from service.leads.steps import Step
from service.leads.talking import TurnConflict
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import at

OWNER = ("telegram", "7")
AT_ONCE = 6


@pytest.fixture
def shop(engine: Engine) -> BuiltShop:
    return BuiltShop(engine=engine)


def at_once(act: Callable[[int], object]) -> list[object]:
    """What each of several threads that begin together comes to: a value or an error."""
    start = threading.Barrier(AT_ONCE)
    outcomes: list[object] = []

    def run(number: int) -> None:
        start.wait()
        try:
            outcomes.append(act(number))
        except LeadError as error:
            outcomes.append(error)

    threads = [threading.Thread(target=run, args=(number,)) for number in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(outcomes) == AT_ONCE
    return outcomes


def pair(shop: BuiltShop, token: str, chat_id: str = "7") -> None:
    with shop.ports.work() as work:
        owning.pair(work, shop.ports, "telegram", chat_id, token=token, name="Ida", now=shop.now)
        work.commit()


def invitation(shop: BuiltShop) -> str:
    with shop.ports.work() as work:
        token = owning.open_pairing(work, now=shop.now)
        work.commit()
    return token


def paired(shop: BuiltShop) -> list[str]:
    with shop.ports.read() as work:
        return [chat.chat_id for chat in work.owner_chats.every()]


def in_review(shop: BuiltShop) -> tuple[Lead, str]:
    """A lead that waits for the owner, and the number of its price."""
    lead = shop.quoted(a_brief(site=Site(setting=Setting.OUTDOOR, postal_code="02472")))
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    return lead, quote.number


def said(shop: BuiltShop, channel: str, chat_id: str) -> list[str]:
    with shop.ports.read() as work:
        found = work.chats.messages(channel, chat_id)
    return [one.message.kind for one in found if one.direction == "out"]


def test_an_invitation_taken_twice_at_once_by_its_chat_is_good_both_times(shop: BuiltShop) -> None:
    token = invitation(shop)
    assert at_once(lambda _: pair(shop, token)) == [None] * AT_ONCE
    assert paired(shop) == ["7"]


def test_an_invitation_that_several_chats_bring_at_once_pairs_one(shop: BuiltShop) -> None:
    token = invitation(shop)
    outcomes = at_once(lambda number: pair(shop, token, str(number)))
    assert [type(one) for one in outcomes if one is not None] == [LinkExpired] * (AT_ONCE - 1)
    assert len(paired(shop)) == 1


def test_a_decision_made_twice_at_once_sends_one_price(shop: BuiltShop) -> None:
    pair(shop, invitation(shop))
    lead, basis = in_review(shop)

    def decide(number: int) -> None:
        # The desk and the chat decide side by side, and not on the same price.
        with shop.ports.work() as work:
            if number % 2:
                decision = owning.Decision(action="send", lead_id=lead.id, basis=basis)
                owning.decide(work, shop.ports, *OWNER, decision, now=shop.now)
            else:
                handling.send_firm(
                    work,
                    shop.ports,
                    lead_id=lead.id,
                    basis_number=basis,
                    price=None,
                    reason=None,
                    text=None,
                    now=shop.now,
                )
            work.commit()

    assert at_once(decide).count(None) == 1
    assert said(shop, lead.channel, lead.chat_id) == ["review", "firm"]


def test_yes_and_no_at_once_come_to_one_of_them(shop: BuiltShop) -> None:
    pair(shop, invitation(shop))
    lead, basis = in_review(shop)

    def decide(number: int) -> None:
        if number % 2:
            decision = owning.Decision(action="send", lead_id=lead.id, basis=basis)
        else:
            decision = owning.Decision(action="decline", lead_id=lead.id)
        with shop.ports.work() as work:
            owning.decide(work, shop.ports, *OWNER, decision, now=shop.now)
            work.commit()

    assert None in at_once(decide)
    last = shop.lead(lead.id).state
    kinds = said(shop, lead.channel, lead.chat_id)
    # Sent first and declined then may be; declined first and sent then may not.
    assert (last, kinds) in [
        ("declined", ["review", "note"]),
        ("declined", ["review", "firm", "note"]),
    ]


def test_a_digest_that_several_sweeps_come_to_is_told_once(shop: BuiltShop) -> None:
    pair(shop, invitation(shop))
    in_review(shop)
    shop.now += timedelta(hours=21)  # nine in the morning

    def sweep(_: int) -> None:
        with shop.ports.work() as work:
            owning.tell_digests(work, shop.ports, now=shop.now)
            work.commit()

    before = len(said(shop, *OWNER))
    assert at_once(sweep) == [None] * AT_ONCE
    assert len(said(shop, *OWNER)) == before + 1


def test_a_turn_that_several_processes_store_is_stored_once(shop: BuiltShop) -> None:
    with shop.ports.work() as work:
        update = {"kind": "text", "text": "how much for a hoop?"}
        row, _ = work.inbox.receive("telegram", "501", "1", update, shop.now)
        work.commit()

    def store(number: int) -> bool:
        with shop.ports.work() as work:
            applied = talking.take_turn(
                work,
                shop.ports,
                "telegram",
                "501",
                inbox_id=row.id,
                version=0,
                state={"by": number},
                messages=[Message(kind="ask", text="What size?")],
                now=shop.now,
            )
            work.commit()
        return applied

    outcomes = at_once(store)
    assert outcomes.count(True) == 1
    assert all(one in (True, False) or isinstance(one, TurnConflict) for one in outcomes)
    assert said(shop, "telegram", "501") == ["ask"]
    with shop.ports.read() as work:
        assert work.chats.state("telegram", "501")[0] == 1
        assert work.inbox.pending_of("telegram", "501") == []


def test_a_client_is_erased_just_as_their_price_comes_back(
    shop: BuiltShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead = shop.take_lead(a_brief())

    def erase() -> None:
        with shop.ports.work() as work:
            forgetting.erase(work, lead.id, now=shop.now)
            work.commit()

    eraser = threading.Thread(target=erase)
    held = stepping.held

    def held_while_erasing(*asked: Any) -> Step:
        step = held(*asked)
        eraser.start()
        eraser.join(0.2)  # it has to wait for the price
        return step

    monkeypatch.setattr(stepping, "held", held_while_erasing)
    shop.work_off()
    eraser.join()
    assert shop.lead(lead.id).erased_at is not None


def test_a_date_that_is_held_while_its_client_asks_anew_stays_held(shop: BuiltShop) -> None:
    chat = {"channel": "webchat", "chat_id": "501"}
    lead = shop.quoted(a_brief(), **chat)
    asking_anew = threading.Thread(target=lambda: shop.take_lead(a_brief(), revises=True, **chat))
    with shop.ports.work() as work:
        booking.place_hold(
            work, shop.ports, lead.id, starts_at=at(9), client=Client(name="N"), now=shop.now
        )
        asking_anew.start()
        asking_anew.join(0.2)  # it has to wait for the hold
        work.commit()
    asking_anew.join()
    assert shop.lead(lead.id).state is LeadState.HELD
