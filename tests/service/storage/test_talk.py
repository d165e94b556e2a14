"""Conversations and the inbox, on SQLite and PostgreSQL."""

import threading
from datetime import timedelta

from service.leads.messages import Attention, Button, Calling, Message
from tests.service.storage.conftest import NOON, Shop


def test_an_update_is_stored_once_however_often_it_comes(shop: Shop) -> None:
    with shop.work() as work:
        first, seen = work.inbox.receive("telegram", "7", "901", {"text": "hi"}, NOON)
        again, seen_again = work.inbox.receive("telegram", "7", "901", {"text": "hi"}, NOON)
        work.commit()
    assert (seen, seen_again) == (False, True)
    assert again == first


def test_twins_arriving_together_become_one_update(shop: Shop) -> None:
    ids: list[int] = []
    start = threading.Barrier(8)

    def arrive() -> None:
        start.wait()
        with shop.work() as work:
            row, _ = work.inbox.receive("telegram", "7", "902", {}, NOON)
            work.commit()
        ids.append(row.id)

    threads = [threading.Thread(target=arrive) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(ids) == 8
    assert len(set(ids)) == 1


def test_pending_updates_are_those_without_a_turn(shop: Shop) -> None:
    with shop.work() as work:
        one, _ = work.inbox.receive("webchat", "a", "1", {}, NOON)
        two, _ = work.inbox.receive("webchat", "a", "2", {}, NOON)
        work.inbox.mark_handled(one.id, NOON)
        work.commit()
    with shop.read() as work:
        assert [row.id for row in work.inbox.pending("webchat", received_before=NOON)] == [two.id]


def test_a_conversation_moves_on_from_the_version_it_was_read_at(shop: Shop) -> None:
    with shop.work() as work:
        assert work.chats.state("webchat", "a") == (0, {})
        assert work.chats.advance("webchat", "a", version=0, state={"n": 1}, now=NOON)
        assert not work.chats.advance("webchat", "a", version=0, state={"n": 9}, now=NOON)
        assert work.chats.state("webchat", "a") == (1, {"n": 1})
        work.commit()


def test_messages_keep_their_order_text_and_buttons(shop: Shop) -> None:
    emoji = Message(
        kind="ask", text="¿Qué tamaño? 🎈\n<b>", buttons=(Button(label="7 ft", value="h7"),)
    )
    with shop.work() as work:
        work.chats.hear("webchat", "a", "hola", update_id="1", now=NOON)
        work.chats.say("webchat", "a", emoji, now=NOON)
        work.commit()
    with shop.read() as work:
        heard, said = work.chats.messages("webchat", "a")
        assert work.chats.messages("webchat", "a", after=1) == [said]
        assert work.chats.delivery(said.id).chat_id == "a"
    assert (heard.seq, heard.direction, heard.message.text) == (1, "in", "hola")
    assert (said.seq, said.message) == (2, emoji)
    assert shop.woken == [("webchat", "a")]


def test_whoever_calls_the_owner_is_listed_longest_wait_first(shop: Shop) -> None:
    later = NOON + timedelta(minutes=5)
    with shop.work() as work:
        work.chats.call_owner("webchat", "b", now=later)
        work.chats.hear("telegram", "7", "a person, please", update_id="1", now=NOON)
        work.chats.say("telegram", "7", Message(kind="say", text="Of course."), now=NOON)
        work.chats.call_owner("telegram", "7", now=NOON)
        work.chats.hear("telegram", "7", "still there?", update_id="2", now=later)
        work.chats.say("telegram", "7", Message(kind="say", text="Yes."), now=later)
        work.chats.call_owner("telegram", "7", now=later)  # the earliest time stays
        work.chats.say("form", "c", Message(kind="note", text="x"), now=NOON)
        work.commit()
    with shop.read() as work:
        assert work.chats.calling(limit=9) == [
            Calling(id=2, channel="telegram", chat_id="7", since=NOON, words="a person, please"),
            Calling(id=1, channel="webchat", chat_id="b", since=later, words=""),
        ]
        assert [one.chat_id for one in work.chats.calling(limit=1)] == ["7"]


def test_an_answered_call_is_over_and_a_new_one_begins_afresh(shop: Shop) -> None:
    later = NOON + timedelta(hours=2)
    with shop.work() as work:
        work.chats.call_owner("webchat", "a", now=NOON)
        work.chats.answered("webchat", "a", in_words=True)
        assert work.chats.calling(limit=9) == []
        spoke = Attention(conversation_id=1, owner_spoke=True)
        assert work.chats.attention("webchat", "a", lock=True) == spoke
        work.chats.call_owner("webchat", "a", now=later)
        calls = Attention(conversation_id=1, calls_since=later)
        assert work.chats.attention("webchat", "a") == calls
        work.chats.answered("webchat", "a", in_words=False)
        assert work.chats.attention("webchat", "a") == Attention(conversation_id=1)
        work.commit()


def test_a_conversation_that_never_was_wants_nothing(shop: Shop) -> None:
    with shop.work() as work:
        assert work.chats.attention("webchat", "nobody", lock=True) == Attention()
        work.chats.answered("webchat", "nobody", in_words=True)
        assert work.chats.messages("webchat", "nobody") == []
        work.commit()


def test_writers_of_one_conversation_never_share_a_place(shop: Shop) -> None:
    start = threading.Barrier(8)

    def write() -> None:
        start.wait()
        with shop.work() as work:
            work.chats.say("webchat", "busy", Message(kind="say", text="x"), now=NOON)
            work.commit()

    threads = [threading.Thread(target=write) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with shop.read() as work:
        assert [m.seq for m in work.chats.messages("webchat", "busy")] == list(range(1, 9))
