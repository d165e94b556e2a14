"""Clients who ask for the owner: the list, one conversation, the owner's answer."""

from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from service.leads import stepping
from service.leads.lead import Client, Lead
from service.leads.messages import Message
from service.leads.steps import StepKind
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of

WORDS = "Can you hang it from a rope between two trees?"


def ask(shop: BuiltShop, channel: str = "webchat", chat_id: str = "abc", text: str = WORDS) -> str:
    """A client asks for the owner; gives the path of the conversation's page."""
    with shop.ports.work() as work:
        work.chats.hear(channel, chat_id, text, update_id=text, now=shop.now)
        said = Message(kind="say", text="That's one for Ida Marsh, who sees this conversation.")
        work.chats.say(channel, chat_id, said, now=shop.now)
        work.chats.call_owner(channel, chat_id, now=shop.now)
        work.commit()
    return f"/desk/conversations/{channel}/{chat_id}"


def calling(shop: BuiltShop) -> list[str]:
    with shop.ports.read() as work:
        return [one.chat_id for one in work.chats.calling(limit=99)]


def notes(shop: BuiltShop, channel: str = "webchat", chat_id: str = "abc") -> list[str]:
    with shop.ports.read() as work:
        stored = [one.message for one in work.chats.messages(channel, chat_id)]
    return [message.text for message in stored if message.kind == "note"]


def test_a_client_without_a_request_stands_first_at_the_desk(
    shop: BuiltShop, owner: TestClient
) -> None:
    path = ask(shop, text=f"{WORDS} {'Really. ' * 40}")
    shop.now += timedelta(minutes=12)
    html = owner.get("/desk").text
    text = text_of(html)
    assert text.index("Asks for you") < text.index("Waits for you")
    assert f"A client 12 min ago “{WORDS} Really." in text
    assert "…” by the web chat" in text
    assert "Every client has an answer" not in text
    assert {"href": path} in elements_of(html, "a")
    assert "Asks for you" not in owner.get("/desk?state=review").text


def test_a_client_with_a_request_is_called_by_name(shop: BuiltShop, owner: TestClient) -> None:
    lead = _lead_of_chat(shop)
    ask(shop, "telegram")
    text = text_of(owner.get("/desk").text)
    assert f"Nora Ålund just now “{WORDS}” by Telegram, with {lead.number}" in text


def test_more_calls_than_the_desk_shows_are_told_of(shop: BuiltShop, owner: TestClient) -> None:
    for number in range(51):
        ask(shop, chat_id=f"c{number}")
    html = owner.get("/desk").text
    assert html.count("/desk/conversations/webchat/") == 50
    assert "There are more" in html


def test_the_page_shows_the_whole_conversation_and_its_requests(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = _lead_of_chat(shop)
    path = ask(shop, "telegram")
    html = owner.get(path).text
    text = text_of(html)
    assert "Asks for you since Sunday, January 10, 2027, 12:00 PM" in text
    assert WORDS in text
    assert "That's one for Ida Marsh" in text
    assert "they read it in Telegram" in text
    assert {"href": f"/desk/leads/{lead.id}"} in elements_of(html, "a")


def test_an_answer_is_in_the_web_chat_and_the_call_is_over(
    shop: BuiltShop, owner: TestClient
) -> None:
    path = ask(shop)
    entered = hidden_in(owner.get(path).text) | {"answer": " Gladly!\r\nFrom a rope, no. "}
    shop.woken.clear()
    posted = owner.post(f"{path}/answer", data=entered)
    assert posted.status_code == 303
    page = text_of(owner.get(posted.headers["location"]).text)
    assert "Your words are on their way" in page
    assert "Gladly!" in page
    assert "Nothing to answer" not in page
    assert notes(shop) == ["Gladly!\nFrom a rope, no."]
    assert shop.woken == [("webchat", "abc")]  # a client who is looking sees it at once
    assert shop.queue.steps == []
    assert calling(shop) == []
    assert "Asks for you" not in owner.get("/desk").text


def test_an_answer_to_telegram_is_owed(shop: BuiltShop, owner: TestClient) -> None:
    path = ask(shop, "telegram", "-42")
    entered = hidden_in(owner.get(path).text) | {"answer": "Gladly!"}
    assert owner.post(f"{path}/answer", data=entered).status_code == 303
    (step,) = shop.queue.steps
    assert step.kind is StepKind.DELIVER
    with shop.ports.read() as work:
        delivery = work.chats.delivery(step.subject_id)
    assert (delivery.chat_id, delivery.stored.message.text) == ("-42", "Gladly!")


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "Write a few words first"), (" \n ", "Write a few words"), ("a" * 2001, "has 2,001 now")],
)
def test_an_answer_that_cannot_be_sent_says_why_and_is_kept(
    text: str, said: str, shop: BuiltShop, owner: TestClient
) -> None:
    path = ask(shop)
    entered = hidden_in(owner.get(path).text) | {"answer": text}
    posted = owner.post(f"{path}/answer", data=entered)
    assert posted.status_code == 422
    assert said in text_of(posted.text)
    assert text.strip() in posted.text
    assert notes(shop) == []
    assert calling(shop) == ["abc"]


def test_two_thousand_characters_are_not_too_many(shop: BuiltShop, owner: TestClient) -> None:
    path = ask(shop)
    entered = hidden_in(owner.get(path).text) | {"answer": "🎈" * 2000}
    assert owner.post(f"{path}/answer", data=entered).status_code == 303
    assert notes(shop) == ["🎈" * 2000]


def test_a_second_press_sends_nothing_twice(shop: BuiltShop, owner: TestClient) -> None:
    path = ask(shop)
    entered = hidden_in(owner.get(path).text) | {"answer": "Gladly!"}
    assert owner.post(f"{path}/answer", data=entered).status_code == 303
    again = owner.post(f"{path}/answer", data=entered)
    assert again.status_code == 409
    assert "More has been said" in text_of(again.text)
    assert notes(shop) == ["Gladly!"]


def test_words_that_came_in_the_meantime_are_not_passed_over(
    shop: BuiltShop, owner: TestClient
) -> None:
    path = ask(shop)
    entered = hidden_in(owner.get(path).text) | {"answer": "Gladly!"}
    ask(shop, text="And on Saturday instead?")
    for action in ("answer", "settle"):
        refused = owner.post(f"{path}/{action}", data=entered)
        assert refused.status_code == 409
        assert "And on Saturday instead?" in refused.text
        assert "Gladly!" in refused.text
    assert calling(shop) == ["abc"]
    now_seen = hidden_in(refused.text) | {"answer": "Gladly!"}
    assert owner.post(f"{path}/answer", data=now_seen).status_code == 303
    assert notes(shop) == ["Gladly!"]


def test_nothing_to_answer_ends_the_call_without_a_word(shop: BuiltShop, owner: TestClient) -> None:
    path = ask(shop)
    posted = owner.post(f"{path}/settle", data=hidden_in(owner.get(path).text))
    assert posted.status_code == 303
    assert posted.headers["location"] == "/desk"
    assert calling(shop) == []
    assert notes(shop) == []
    assert WORDS in owner.get(path).text  # the conversation stays


@pytest.mark.parametrize("action", ["answer", "settle"])
@pytest.mark.parametrize("csrf", [None, "", "made up"])
def test_a_form_of_another_site_does_nothing(
    action: str, csrf: str | None, shop: BuiltShop, owner: TestClient
) -> None:
    path = ask(shop)
    entered = hidden_in(owner.get(path).text) | {"answer": "Gladly!"}
    del entered["csrf"]
    if csrf is not None:
        entered["csrf"] = csrf
    assert owner.post(f"{path}/{action}", data=entered).status_code == 403
    assert calling(shop) == ["abc"]
    assert notes(shop) == []


def test_nobody_else_sees_a_conversation(shop: BuiltShop, client: TestClient) -> None:
    path = ask(shop)
    for answer in (client.get(path), client.post(f"{path}/answer"), client.post(f"{path}/settle")):
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/desk/sign-in")
    assert calling(shop) == ["abc"]


@pytest.mark.parametrize(
    "name", ["webchat/nobody", "pigeon/abc", "webchat/a%00b", "webchat/a b", f"webchat/{'a' * 129}"]
)
def test_a_conversation_that_is_not_there_is_not_found_and_not_made(
    name: str, shop: BuiltShop, owner: TestClient
) -> None:
    path = f"/desk/conversations/{name}"
    assert owner.get(path).status_code == 404
    entered = hidden_in(owner.get(ask(shop)).text) | {"answer": "Gladly!"}
    posted = owner.post(f"{path}/answer", data=entered)
    assert posted.status_code == 404
    assert "There is no such conversation" in posted.text
    assert shop.woken == [("webchat", "abc")]  # by `ask`, and by nothing else


def test_a_request_page_has_the_answer_and_the_other_requests_of_its_chat(
    shop: BuiltShop, owner: TestClient
) -> None:
    earlier, lead = _lead_of_chat(shop), _lead_of_chat(shop)
    ask(shop, "telegram")
    path = f"/desk/leads/{lead.id}"
    html = owner.get(path).text
    text = text_of(html)
    assert f"also asked: {earlier.number}" in text
    assert {"href": f"/desk/leads/{earlier.id}"} in elements_of(html, "a")
    assert "Asks for you since" in text
    entered = _fields_of(html, "answer") | {"answer": "Gladly!"}
    posted = owner.post("/desk/conversations/telegram/abc/answer", data=entered)
    assert posted.headers["location"] == f"{path}?done=answered"
    page = text_of(owner.get(posted.headers["location"]).text)
    assert "Your words are on their way" in page
    assert "Asks for you" not in page
    assert notes(shop, "telegram")[-1] == "Gladly!"


def test_a_made_up_request_leads_back_to_the_conversation(
    shop: BuiltShop, owner: TestClient
) -> None:
    stranger = shop.quoted(a_brief())
    path = ask(shop)
    for lead in (stranger.id, "//elsewhere.example"):
        entered = hidden_in(owner.get(path).text) | {"answer": "Gladly!", "lead": lead}
        posted = owner.post(f"{path}/answer", data=entered)
        assert posted.headers["location"] == f"{path}?done=answered"


def test_a_request_from_the_form_can_be_answered_before_anything_was_said(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.take_lead(a_brief())
    entered = _fields_of(owner.get(f"/desk/leads/{lead.id}").text, "answer")
    posted = owner.post(
        f"/desk/conversations/form/{lead.id}/answer", data=entered | {"answer": "One moment."}
    )
    assert posted.status_code == 303
    assert notes(shop, "form", lead.id) == ["One moment."]


def test_what_a_client_wrote_is_only_text(shop: BuiltShop, owner: TestClient) -> None:
    evil = "<script>alert(1)</script>"
    path = ask(shop, text=evil)
    for page in ("/desk", path):
        html = owner.get(page).text
        assert evil in text_of(html)
        assert "<script" not in html


def test_a_message_that_was_not_delivered_leads_to_its_conversation(
    shop: BuiltShop, owner: TestClient
) -> None:
    path = ask(shop, "telegram")
    entered = hidden_in(owner.get(path).text) | {"answer": "Gladly!"}
    owner.post(f"{path}/answer", data=entered)
    (step,) = shop.queue.steps
    with shop.ports.work() as work:
        leased = stepping.lease(work, step.id, shop.now)
        stepping.fail(
            work, step.id, leased.fence, error="Forbidden", retry=False, retry_after=None,
            now=shop.now,
        )  # fmt: skip
        work.commit()
    html = owner.get("/desk").text
    assert "Not delivered through Telegram" in text_of(html)
    assert {"href": path} in elements_of(html, "a")


def _lead_of_chat(shop: BuiltShop) -> Lead:
    client = Client(name="Nora Ålund")
    return shop.quoted(a_brief(), channel="telegram", chat_id="abc", client=client)


def _fields_of(html: str, field: str) -> dict[str, str]:
    """The hidden fields of the form that `field` stands in."""
    (form,) = [part for part in html.split("<form")[1:] if f'name="{field}"' in part]
    return hidden_in("<form" + form.split("</form>")[0])


def test_a_conversation_can_be_opened_by_its_number(shop: BuiltShop, owner: TestClient) -> None:
    with shop.ports.work() as work:
        work.chats.call_owner("webchat", "a", now=shop.now)
        number = work.chats.attention("webchat", "a").conversation_id
        work.commit()
    answer = owner.get(f"/desk/conversations/{number}")
    assert (answer.status_code, answer.headers["location"]) == (
        303,
        "/desk/conversations/webchat/a",
    )
    for unknown in ("999", "1" * 10, "a"):
        assert owner.get(f"/desk/conversations/{unknown}").status_code == 404
