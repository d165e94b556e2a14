"""Any text of any length goes out without a request that Telegram would refuse."""

import asyncio
import unicodedata
from collections.abc import Iterator
from io import BytesIO
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from telegram import Bot

from service.contract.talk import Button, OutgoingMessage, Picture, Swatch
from tests.bot_api import BotApiServer
from workers.channels.telegram import Telegram
from workers.pacing import Pacing

chats = count(501)

# All planes, joiners and accents included; half a surrogate pair is no text.
characters = st.characters(exclude_categories=["Cs"])
texts = st.text(characters, min_size=1, max_size=60)
# Long ones are short ones again and again: hypothesis prints its examples.
times = st.one_of(st.just(1), st.integers(1, 4000))
labels = st.text(characters, min_size=1, max_size=64)
values = st.text(characters, min_size=1, max_size=64).filter(lambda v: len(v.encode()) <= 64)
urls = st.one_of(
    st.sampled_from(["https://shop.test/q/1", "http://localhost:8620/q", "http://127.0.0.1/"]),
    st.from_regex(r"https://[a-z]{1,9}\.[a-z]{2,5}/[ -~]{0,30}", fullmatch=True),
    texts,
)
rows = st.one_of(st.none(), st.integers(0, 9))
buttons = st.one_of(
    st.builds(
        lambda label, value, row: Button(label=label, value=value, row=row), labels, values, rows
    ),
    st.builds(lambda label, url, row: Button(label=label, url=url, row=row), labels, urls, rows),
)
shareable = st.builds(
    lambda label, share: Button(label=label, share=share),
    labels,
    st.sampled_from(["location", "contact"]),
)
swatches = st.builds(
    Swatch, name=st.text(characters, min_size=1, max_size=40), hex=st.sampled_from(["#a3b899"])
)
messages = st.builds(
    OutgoingMessage,
    text=texts,
    buttons=st.one_of(
        st.lists(buttons, max_size=10),
        st.lists(st.one_of(buttons, shareable), max_size=5),
    ),
    swatches=st.one_of(st.just([]), st.lists(swatches, max_size=3)),
    edits=st.one_of(st.none(), st.sampled_from(["1", "x"]), st.text(characters, max_size=9)),
)


@pytest.fixture(scope="module")
def api() -> Iterator[BotApiServer]:
    with BotApiServer() as server:
        yield server


@pytest.fixture(scope="module")
def runner() -> Iterator[asyncio.Runner]:
    with asyncio.Runner() as runner:
        yield runner


@pytest.fixture(scope="module")
def bot(api: BotApiServer, runner: asyncio.Runner) -> Iterator[Bot]:
    bot = Bot(api.token, base_url=f"{api.base_url}/bot")
    yield bot
    runner.run(bot.request.shutdown())


def a_picture() -> bytes:
    drawn = BytesIO()
    Image.new("RGB", (8, 6)).save(drawn, "PNG")
    return drawn.getvalue()


PNG = a_picture()


def a_chat(api: BotApiServer) -> int:
    """A chat in which nothing was said yet."""
    chat_id = next(chats)
    api.say(chat_id, "hello")
    return chat_id


def seen(text: str) -> str:
    """What can be seen of it, which is what may not be lost."""
    return "".join(
        c for c in text if unicodedata.category(c)[0] in "LNPS" and c not in "\u2800…\ufffc"
    )


@settings(max_examples=80, deadline=None)
@given(
    message=messages,
    after_share=st.booleans(),
    times=times,
    many=st.sampled_from([1, 1, 8]),
    alt=st.one_of(st.none(), texts),
)
def test_no_message_makes_a_request_that_is_refused(
    api: BotApiServer,
    runner: asyncio.Runner,
    bot: Bot,
    message: OutgoingMessage,
    after_share: bool,
    times: int,
    many: int,
    alt: str | None,
) -> None:
    long: dict[str, object] = {
        "text": (message.text * times)[:16_000],
        "buttons": message.buttons * many,
    }
    if alt:
        shown = "https://shop.example/quotes/1/picture.png"
        long["picture"] = Picture(url=shown, page_url=shown, alt=alt)
    chat_id, calls = a_chat(api), len(api.calls)
    sending = Telegram(bot, Pacing(None)).send(
        str(chat_id), message.model_copy(update=long), after_share=after_share, picture=PNG
    )
    runner.run(sending)
    refused = [call for call in api.calls[calls:] if call.status != 200]
    # An edit that is refused is how it shows that there is nothing to edit.
    assert [call for call in refused if call.method != "editMessageText"] == []
    assert refused == [] or message.edits
    assert api.sent(chat_id)


@settings(max_examples=60, deadline=None)
@given(text=texts, times=times, pictured=st.booleans())
def test_everything_that_can_be_seen_arrives(
    api: BotApiServer, runner: asyncio.Runner, bot: Bot, text: str, times: int, pictured: bool
) -> None:
    chat_id = a_chat(api)
    colours = [Swatch(name="Sage", hex="#a3b899")] if pictured else []
    message = OutgoingMessage(text=(text * times)[:16_000], swatches=colours)
    runner.run(Telegram(bot, Pacing(None)).send(str(chat_id), message))
    arrived = "".join(sent.text for sent in api.sent(chat_id))
    assert seen(arrived) == seen(message.text)
