"""Conversations and the inbox, on SQLite and PostgreSQL."""

import threading

from service.leads.messages import Button, Message
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
