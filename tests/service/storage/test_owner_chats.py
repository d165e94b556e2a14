"""The owner's own chats and links that work once, on SQLite and PostgreSQL."""

import threading
from dataclasses import replace
from datetime import date, timedelta

import pytest

from service.leads.lead import LinkExpired, NotFound
from service.leads.messages import OwnerChat
from tests.service.storage.conftest import NOON, Shop

TODAY = date(2027, 1, 10)
IDA = OwnerChat(channel="telegram", chat_id="7", name="Ida Marsh", paired_at=NOON, digest_on=TODAY)


def test_a_chat_is_the_owners_from_pairing_to_unpairing(shop: Shop) -> None:
    with shop.work() as work:
        assert not work.owner_chats.has("telegram", "7")
        work.owner_chats.pair(IDA)
        work.owner_chats.pair(replace(IDA, name="somebody later"))
        assert work.owner_chats.has("telegram", "7")
        assert not work.owner_chats.has("webchat", "7")
        assert work.owner_chats.every() == [IDA]
        work.owner_chats.unpair("telegram", "7")
        assert work.owner_chats.every() == []
        work.commit()


def test_a_days_digest_is_one_callers_to_send(shop: Shop) -> None:
    with shop.work() as work:
        work.owner_chats.pair(IDA)
        work.commit()
    tomorrow = TODAY + timedelta(days=1)
    start = threading.Barrier(6)
    taken: list[bool] = []

    def take() -> None:
        start.wait()
        with shop.work() as work:
            taken.append(work.owner_chats.take_digest("telegram", "7", tomorrow))
            work.commit()

    threads = [threading.Thread(target=take) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(taken) == [False] * 5 + [True]
    with shop.work() as work:
        assert not work.owner_chats.take_digest("telegram", "7", TODAY)  # a day that is over


def test_a_link_can_be_made_to_work_once(shop: Shop) -> None:
    later = NOON + timedelta(minutes=15)
    with shop.work() as work:
        link = work.links.add(purpose="pairing", subject_id="owner", expires_at=later)
        with pytest.raises(NotFound):
            work.links.use(link, purpose="quote", now=NOON)
        assert work.links.use(link, purpose="pairing", now=NOON) == "owner"
        with pytest.raises(LinkExpired):
            work.links.use(link, purpose="pairing", now=NOON)
        other = work.links.add(purpose="pairing", subject_id="owner", expires_at=later)
        with pytest.raises(LinkExpired):
            work.links.use(other, purpose="pairing", now=later)
