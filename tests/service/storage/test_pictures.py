"""Photos, colours and edits in conversations, on SQLite and PostgreSQL."""

import threading

import pytest
from sqlalchemy import Engine, insert

from service.leads.lead import NotFound, PhotoTaken
from service.leads.messages import Button, Message, Picture, Swatch
from service.storage import tables
from service.storage.database import migrate, open_engine
from tests.service.storage.conftest import NOON, Shop
from tests.service.storage.test_fuller_estimates import to_revision

JPEG = b"\xff\xd8\xff\xe0 a boathouse at dusk"


def test_a_message_comes_back_with_its_colours_rows_picture_and_what_it_edits(shop: Shop) -> None:
    message = Message(
        kind="ask",
        text="Which day?",
        buttons=(
            Button(label="5", value="answer:1:date:2027-06-05", row=1),
            Button(label="Where I am", share="location", row=2),
            Button(label="The quote", url="https://garlands.example/q"),
        ),
        asks="date",
        swatches=(Swatch(name="sage", hex="#a9b79a"),),
        edits="41",
        picture=Picture(
            url="https://garlands.example/q/picture.png",
            page_url="https://garlands.example/q/picture.webp",
            alt="A drawing of your balloons.",
        ),
    )
    with shop.work() as work:
        said = work.chats.say("telegram", "7", message, now=NOON)
        work.commit()
    with shop.read() as work:
        (stored,) = work.chats.messages("telegram", "7")
        assert stored.message == message
        assert work.chats.delivery(said.id).stored.message == message


def test_a_delivery_knows_of_the_keyboard_that_the_message_before_it_brought(shop: Shop) -> None:
    share = Message(kind="ask", text="Where?", buttons=(Button(label="Here", share="location"),))
    with shop.work() as work:
        first = work.chats.say("telegram", "7", share, now=NOON)
        work.chats.hear("telegram", "7", "in town", update_id="1", now=NOON)
        second = work.chats.say("telegram", "7", Message(kind="say", text="Good."), now=NOON)
        third = work.chats.say("telegram", "7", Message(kind="say", text="And?"), now=NOON)
        work.commit()
    with shop.read() as work:
        after = [work.chats.delivery(each.id).after_share for each in (first, second, third)]
    assert after == [False, True, False]


def test_a_photo_is_kept_once_and_for_its_own_conversation(shop: Shop) -> None:
    with shop.work() as work:
        work.chats.keep_photo("p1", "telegram", "7", JPEG, now=NOON)
        work.chats.keep_photo("p1", "telegram", "7", b"\xff\xd8\xff other", now=NOON)
        with pytest.raises(PhotoTaken):
            work.chats.keep_photo("p1", "telegram", "8", JPEG, now=NOON)
        work.commit()
    with shop.read() as work:
        photo = work.chats.photo("p1")
        assert photo is not None
        assert (photo.channel, photo.chat_id, photo.jpeg) == ("telegram", "7", JPEG)
        assert work.chats.has_photo("p1", "telegram", "7")
        assert not work.chats.has_photo("p1", "telegram", "8")
        assert work.chats.photo("p2") is None


def test_twins_that_keep_one_photo_together_keep_one(shop: Shop) -> None:
    start = threading.Barrier(6)
    troubles: list[Exception] = []

    def keep() -> None:
        start.wait()
        try:
            with shop.work() as work:
                work.chats.keep_photo("p1", "telegram", "7", JPEG, now=NOON)
                work.commit()
        except Exception as error:
            troubles.append(error)

    threads = [threading.Thread(target=keep) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    with shop.read() as work:
        assert work.chats.has_photo("p1", "telegram", "7")


def test_what_was_heard_may_be_a_photo_without_words(shop: Shop) -> None:
    with shop.work() as work:
        work.chats.keep_photo("p1", "webchat", "a", JPEG, now=NOON)
        work.chats.hear("webchat", "a", "", update_id="1", now=NOON, photo_id="p1")
        work.commit()
    with shop.read() as work:
        (heard,) = work.chats.messages("webchat", "a")
    assert (heard.direction, heard.message.text, heard.photo_id) == ("in", "", "p1")


def test_a_conversation_is_found_by_its_number(shop: Shop) -> None:
    with shop.work() as work:
        work.chats.call_owner("webchat", "a", now=NOON)
        number = work.chats.attention("webchat", "a").conversation_id
        assert number is not None
        assert work.chats.chat_of(number) == ("webchat", "a")
        with pytest.raises(NotFound):
            work.chats.chat_of(number + 1)


def test_messages_from_before_colours_are_read_like_new_ones(database_url: str) -> None:
    engine = open_engine(database_url)
    to_revision(engine, "0002")
    _store_as_before(engine)
    migrate(engine)
    shop = Shop(engine)
    with shop.work() as work:
        (stored,) = work.chats.messages("telegram", "7")
        work.chats.say("telegram", "7", Message(kind="say", text="And now?"), now=NOON)
        work.chats.keep_photo("p1", "telegram", "7", JPEG, now=NOON)
        work.chats.hear("telegram", "7", "like this", update_id="9", now=NOON, photo_id="p1")
        work.commit()
    button = Button(label="Yes", value="y")
    assert stored.message == Message(kind="ask", text="Indoors?", buttons=(button,))
    with shop.read() as work:
        said = [one.message.text for one in work.chats.messages("telegram", "7")]
    assert said == ["Indoors?", "And now?", "like this"]
    engine.dispose()


def _store_as_before(engine: Engine) -> None:
    """A conversation with one message, in the columns that there were."""
    chat = {"id": 1, "channel": "telegram", "chat_id": "7", "version": 1, "last_seq": 1}
    message = {"id": "m1", "conversation_id": 1, "seq": 1, "direction": "out", "kind": "ask"}
    old_button = {"label": "Yes", "value": "y", "url": None}
    with engine.begin() as connection:
        connection.execute(
            insert(tables.conversations).values(
                **chat, state={}, updated_at=NOON, owner_spoke=False
            )
        )
        connection.execute(
            insert(tables.messages).values(
                **message, text="Indoors?", buttons=[old_button], at=NOON
            )
        )
