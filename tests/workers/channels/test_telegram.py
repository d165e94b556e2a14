"""Sending through Telegram's Bot API, at the HTTP level."""

import asyncio
import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs

import httpx
import pytest
import respx

from service.contract.talk import Button, OutgoingMessage
from workers.channels import NotEver, NotNow, NotSent, Unclear
from workers.channels.telegram import telegram
from workers.pacing import Pacing

API = "https://bot-api.test"
TOKEN = "123456:canary"
SENT = {
    "ok": True,
    "result": {"message_id": 1, "date": 0, "chat": {"id": 4711, "type": "private"}},
}


@pytest.fixture
def send_message() -> Iterator[respx.Route]:
    with respx.mock(base_url=API) as router:
        yield router.post(f"/bot{TOKEN}/sendMessage").respond(json=SENT)


def _send(message: OutgoingMessage) -> None:
    async def send() -> None:
        await telegram(TOKEN, API, Pacing(None)).send("4711", message)

    asyncio.run(send())


def _form(route: respx.Route, call: int = -1) -> dict[str, str]:
    fields = parse_qs(route.calls[call].request.content.decode())
    return {name: values[0] for name, values in fields.items()}


def _rows(route: respx.Route) -> list[list[str]]:
    keyboard: dict[str, Any] = json.loads(_form(route)["reply_markup"])
    return [[key["text"] for key in row] for row in keyboard["inline_keyboard"]]


def _say(*labels: str) -> OutgoingMessage:
    buttons = [Button(label=label, value=f"v{i}") for i, label in enumerate(labels)]
    return OutgoingMessage(text="Where will it be?", buttons=buttons)


def test_text_goes_out_plain_and_without_a_link_preview(send_message: respx.Route) -> None:
    _send(OutgoingMessage(text="*Stars* & <b>brackets</b> stay_as_they_are"))
    form = _form(send_message)
    assert form["text"] == "*Stars* & <b>brackets</b> stay_as_they_are"
    assert form["chat_id"] == "4711"
    assert "parse_mode" not in form
    assert json.loads(form["link_preview_options"]) == {"is_disabled": True}
    assert "reply_markup" not in form


def test_short_labels_stand_two_a_row_and_long_ones_alone(send_message: respx.Route) -> None:
    _send(_say("Indoors", "Outdoors", "Not sure", "It depends on the weather that day", "Skip"))
    assert _rows(send_message) == [
        ["Indoors", "Outdoors"],
        ["Not sure"],
        ["It depends on the weather that day"],
        ["Skip"],
    ]


def test_a_button_carries_its_answer_or_its_address(send_message: respx.Route) -> None:
    answer = Button(label="Yes", value="confirm")
    link = Button(label="Book", url="https://shop.test/b/1")
    _send(OutgoingMessage(text="Right?", buttons=[answer, link]))
    [[yes, book]] = json.loads(_form(send_message)["reply_markup"])["inline_keyboard"]
    assert yes == {"text": "Yes", "callback_data": "confirm"}
    assert book == {"text": "Book", "url": "https://shop.test/b/1"}


def test_a_long_text_goes_out_in_parts_with_the_buttons_last(send_message: respx.Route) -> None:
    paragraphs = "\n\n".join(f"{n} " + "balloon " * 100 for n in range(10))
    _send(OutgoingMessage(text=paragraphs, buttons=[Button(label="Book", value="book")]))
    assert send_message.call_count == 2  # 10 paragraphs of 804 characters, 5 to a message
    assert "reply_markup" not in _form(send_message, 0)
    assert "reply_markup" in _form(send_message)


def test_a_pause_asked_for_by_the_bot_api_is_told(send_message: respx.Route) -> None:
    send_message.respond(
        429,
        json={
            "ok": False,
            "error_code": 429,
            "description": "Too Many Requests: retry after 17",
            "parameters": {"retry_after": 17},
        },
    )
    with pytest.raises(NotNow) as told:
        _send(_say())
    assert told.value.seconds == 17


@pytest.mark.parametrize(
    ("status", "description", "reason"),
    [
        (403, "Forbidden: bot was blocked by the user", "blocked"),
        (400, "Bad Request: chat not found", "hat not found"),
    ],
)
def test_a_refusal_for_good_is_told_with_its_reason(
    send_message: respx.Route, status: int, description: str, reason: str
) -> None:
    answer = {"ok": False, "error_code": status, "description": description}
    send_message.respond(status, json=answer)
    with pytest.raises(NotEver, match=reason) as told:
        _send(_say())
    assert TOKEN not in str(told.value)


def test_an_address_that_telegram_refuses_as_a_button_is_written_out(
    send_message: respx.Route,
) -> None:
    refusal = {
        "ok": False,
        "error_code": 400,
        "description": "Bad Request: inline keyboard button URL is invalid: Wrong HTTP URL",
    }
    send_message.mock(
        side_effect=[httpx.Response(400, json=refusal), httpx.Response(200, json=SENT)]
    )
    link = Button(label="Book", url="https://shop.test/b/1")
    _send(OutgoingMessage(text="About $400.", buttons=[Button(label="No", value="no"), link]))
    assert _form(send_message)["text"] == "About $400.\n\nBook: https://shop.test/b/1"
    assert _rows(send_message) == [["No"]]


@pytest.mark.parametrize(
    "url",
    [
        "http://127.0.0.1:8620/b/1",
        "http://localhost:8620/b/1",
        "http://192.168.0.12/b/1",
        "http://[::1]/b/1",
        "http://shop.local/b/1",
        "mailto:ida@shop.test",
        "http://[broken/b/1",
        "http://.0",
        "https://shop.test:99999/b/1",
        "https://shop.test/b 1",
        "https://shöp.test/b/1",
    ],
)
def test_an_address_that_only_this_machine_can_open_is_written_out_at_once(
    send_message: respx.Route, url: str
) -> None:
    _send(OutgoingMessage(text="About $400.", buttons=[Button(label="Book", url=url)]))
    assert send_message.call_count == 1
    assert _form(send_message)["text"] == f"About $400.\n\nBook: {url}"


@pytest.mark.parametrize("status", [401, 404])
def test_a_token_that_telegram_does_not_know_is_waited_for(
    send_message: respx.Route, status: int
) -> None:
    answer = {"ok": False, "error_code": status, "description": "Unauthorized"}
    send_message.respond(status, json=answer)
    with pytest.raises(NotNow, match="check GARLANDRY_TELEGRAM_TOKEN") as told:
        _send(_say())
    assert told.value.seconds == 60
    assert TOKEN not in str(told.value)


@pytest.mark.parametrize(
    "trouble",
    [httpx.ReadTimeout, httpx.ReadError, httpx.RemoteProtocolError, httpx.WriteTimeout],
)
def test_a_request_that_left_and_was_not_answered_is_unclear(
    send_message: respx.Route, trouble: type[httpx.HTTPError]
) -> None:
    send_message.mock(side_effect=trouble)
    with pytest.raises(Unclear, match=trouble.__name__) as told:
        _send(_say())
    assert send_message.call_count == 1
    assert TOKEN not in str(told.value)


def test_an_answer_that_cannot_be_read_is_unclear(send_message: respx.Route) -> None:
    send_message.respond(200, html="<p>Welcome to the library's network</p>")
    with pytest.raises(Unclear):
        _send(_say())


@pytest.mark.parametrize("trouble", [httpx.ConnectError, httpx.ConnectTimeout, httpx.PoolTimeout])
def test_a_request_that_never_left_was_not_sent(
    send_message: respx.Route, trouble: type[httpx.HTTPError]
) -> None:
    send_message.mock(side_effect=trouble)
    with pytest.raises(NotSent, match=trouble.__name__):
        _send(_say())


@pytest.mark.parametrize(
    "answer",
    [
        httpx.Response(500, json={"ok": False, "error_code": 500, "description": "Internal"}),
        httpx.Response(502, html="<p>Bad Gateway</p>"),
    ],
)
def test_an_answered_fault_of_the_bot_api_was_not_sent(
    send_message: respx.Route, answer: httpx.Response
) -> None:
    send_message.mock(return_value=answer)
    with pytest.raises(NotSent):
        _send(_say())


TWO_PARTS = OutgoingMessage(text="balloon " * 600 + "garland")


@pytest.mark.parametrize(
    "second",
    [
        httpx.ConnectError("gone"),
        httpx.Response(502, json={"ok": False, "error_code": 502, "description": "Bad Gateway"}),
        httpx.Response(
            429,
            json={
                "ok": False,
                "error_code": 429,
                "description": "Too Many Requests",
                "parameters": {"retry_after": 3},
            },
        ),
    ],
)
def test_a_message_of_which_only_the_beginning_is_out_is_unclear(
    send_message: respx.Route, second: httpx.Response | httpx.HTTPError
) -> None:
    send_message.mock(side_effect=[httpx.Response(200, json=SENT), second])
    with pytest.raises(Unclear, match="beginning"):
        _send(TWO_PARTS)
    assert send_message.call_count == 2


def test_a_refused_address_sends_no_part_twice(send_message: respx.Route) -> None:
    refusal = {"ok": False, "error_code": 400, "description": "Bad Request: BUTTON_URL_INVALID"}
    send_message.mock(
        side_effect=[
            httpx.Response(200, json=SENT),
            httpx.Response(400, json=refusal),
            httpx.Response(200, json=SENT),
        ]
    )
    link = Button(label="Book", url="https://shop.test/b/1")
    _send(TWO_PARTS.model_copy(update={"buttons": [link]}))
    first, refused, last = (_form(send_message, call)["text"] for call in range(3))
    assert first not in (refused, last)
    assert last == f"{refused.rstrip()}\n\nBook: https://shop.test/b/1"
