"""The owner's chat: every button, question and slip comes to one decision or to none."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.dialogue.messages import Incoming, IncomingKind, ShopCard
from bot.owner import Decision, OwnerOutcome, is_invitation, take, token_of

NOW = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)
LEAD = "iSKd9-0_Ofy3Xz7Qa1bcdEFG"
BASIS = "G1001-1"
SHOP = ShopCard(
    name="Harbor Lane Balloons",
    town="Alder Mills",
    owner_name="Ida Marsh",
    contact="hello@harborlane.example",
    time_zone="America/New_York",
    currency="USD",
)


class Chat:
    """The owner at the phone: what is pressed and typed, one after another."""

    def __init__(self) -> None:
        self.last = OwnerOutcome(state={})
        self.now = NOW

    def press(self, value: str) -> OwnerOutcome:
        return self._take(Incoming(kind="button", text=value, label="pressed"))

    def type(self, text: str, kind: IncomingKind = "text") -> OwnerOutcome:
        return self._take(Incoming(kind=kind, text=text))

    def value(self, label: str) -> str:
        """What the button of that label in the last message says."""
        (message,) = self.last.messages
        (value,) = (button.value for button in message.buttons if button.label == label)
        assert value is not None
        return value

    @property
    def text(self) -> str:
        return self.last.messages[-1].text

    def _take(self, incoming: Incoming) -> OwnerOutcome:
        self.last = take(self.last.state, incoming, now=self.now, shop=SHOP)
        return self.last


@pytest.fixture
def chat() -> Chat:
    return Chat()


def test_sending_is_one_press_on_the_quote_that_was_shown(chat: Chat) -> None:
    outcome = chat.press(f"lead:{LEAD}:send:{BASIS}")
    assert outcome.decision == Decision(action="send", lead_id=LEAD, basis=BASIS)
    assert outcome.done == "G1001: the firm price is on its way to the client."
    assert outcome.messages == ()


def test_another_price_is_typed_read_back_and_then_sent(chat: Chat) -> None:
    assert chat.press(f"lead:{LEAD}:price:{BASIS}").decision is None
    assert "which price shall I send, in USD" in chat.text
    assert chat.type("$1,480.50").decision is None
    assert chat.text == "G1001: send $1,480.50 to the client as the firm price?"
    outcome = chat.press(chat.value("Yes, send $1,480.50"))
    assert outcome.decision == Decision(
        action="send", lead_id=LEAD, basis=BASIS, price=Decimal("1480.50")
    )


def test_a_price_can_be_typed_again_or_left(chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:price:{BASIS}")
    chat.type("4800")
    chat.press(chat.value("Another price"))
    chat.type("480")
    assert "$480 to the client" in chat.text
    outcome = chat.press(chat.value("Leave it"))
    assert (outcome.decision, outcome.state, chat.text) == (None, {}, "Left as it is.")


@pytest.mark.parametrize(
    "text", ["480,50", "soon", "0", "-5", "1000001", "4 80", "480 or 500", "٤٨٠"]
)
def test_what_could_mean_two_prices_is_asked_again(text: str, chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:price:{BASIS}")
    assert chat.type(text).decision is None
    assert "Write the price as 480" in chat.text
    chat.type("480")
    assert "$480" in chat.text


@pytest.mark.parametrize("text", ["480", "$480", "480 dollars", "480.00", "$ 480", "480 USD"])
def test_a_price_is_understood_as_people_write_it(text: str, chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:price:{BASIS}")
    chat.type(text)
    assert "send $480 to" in chat.text or "send $480.00 to" in chat.text


def test_what_is_asked_goes_to_the_client_word_for_word(chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:ask:G1001")
    assert chat.text.startswith("G1001: write here what the client should read.")
    outcome = chat.type(" Is there a power outlet?\nAnd stairs? ")
    text = "Is there a power outlet?\nAnd stairs?"
    assert outcome.decision == Decision(action="ask", lead_id=LEAD, text=text)
    assert outcome.state == {}


def test_a_client_who_asks_for_the_owner_is_answered_or_let_be(chat: Chat) -> None:
    chat.press("call:7:answer")
    outcome = chat.type("I'm here!")
    assert outcome.decision == Decision(action="ask", conversation_id=7, text="I'm here!")
    outcome = chat.press("call:7:settle")
    assert outcome.decision == Decision(action="settle", conversation_id=7)


def test_words_that_are_too_many_are_asked_for_again(chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:ask:G1001")
    assert chat.type("x" * 2001).decision is None
    assert "Keep it to 2,000 characters" in chat.text
    assert chat.type("x" * 2000).decision is not None


def test_declining_is_asked_twice(chat: Chat) -> None:
    assert chat.press(f"lead:{LEAD}:decline:G1001").decision is None
    assert chat.text.startswith("Are you sure? G1001 is then declined")
    sure = chat.value("Yes, decline")
    assert chat.press(chat.value("No, keep it")).decision is None
    outcome = chat.press(sure)
    assert outcome.decision == Decision(action="decline", lead_id=LEAD)


def test_cancel_leaves_an_open_question(chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:ask:G1001")
    chat.type("/cancel")
    assert chat.text == "Left as it is."
    assert chat.type("buy ribbon").decision is None
    assert "/waiting" in chat.text


def test_a_question_left_alone_is_not_answered_by_what_is_typed_later(chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:ask:G1001")
    chat.now = NOW + timedelta(minutes=31)
    assert chat.type("buy ribbon").decision is None


def test_another_button_takes_the_place_of_an_open_question(chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:ask:G1001")
    chat.press("call:7:answer")
    assert chat.type("hello").decision == Decision(action="ask", conversation_id=7, text="hello")


@pytest.mark.parametrize("kind", ["photo", "location", "contact", "other"])
def test_what_is_no_words_leaves_the_question_open(kind: IncomingKind, chat: Chat) -> None:
    chat.press(f"lead:{LEAD}:ask:G1001")
    assert chat.type("a caption", kind).decision is None
    assert chat.text == "I can only pass on words here."
    assert chat.type("hello").decision is not None


def test_commands_show_what_the_service_knows(chat: Chat) -> None:
    assert chat.type("/waiting").shows == "waiting"
    assert chat.type("/today ").shows == "today"
    assert chat.type("/help").shows is None
    assert "/today" in chat.text


@pytest.mark.parametrize("text", ["/price", "/new", "/over", "/status"])
def test_no_clients_brief_begins_here(text: str, chat: Chat) -> None:
    outcome = chat.type(text)
    assert (outcome.state, outcome.decision, outcome.shows) == ({}, None, None)
    assert "it takes no requests" in chat.text


def test_what_a_client_would_say_gets_the_help(chat: Chat) -> None:
    chat.type("how much for an arch on the 6th?")
    assert "This is your own chat with the shop." in chat.text
    chat.type("", "start")
    assert "This is your own chat with the shop." in chat.text


@pytest.mark.parametrize(
    "value",
    [
        "confirm:1:2",
        "still",
        "lead:",
        f"lead:{LEAD}",
        f"lead:{LEAD}:fly",
        f"lead:{LEAD}:send",
        f"lead:{LEAD}:price:{BASIS}:much",
        "call:x:answer",
        "call:7:send:G1001-1",
        "call:7:decline",
    ],
)
def test_buttons_that_mean_nothing_here_decide_nothing(value: str, chat: Chat) -> None:
    assert chat.press(value).decision is None
    assert "/waiting shows what waits" in chat.text


@settings(deadline=None)
@given(st.text(max_size=90), st.sampled_from(["button", "text", "start"]))
def test_no_text_breaks_it_and_words_alone_decide_nothing(text: str, kind: IncomingKind) -> None:
    outcome = take({}, Incoming(kind=kind, text=text), now=NOW, shop=SHOP)
    assert outcome.messages or outcome.decision or outcome.shows
    if kind != "button":
        assert outcome.decision is None


@settings(deadline=None)
@given(st.dictionaries(st.text(max_size=5), st.text(max_size=5) | st.none(), max_size=3))
def test_a_state_of_another_kind_is_no_open_question(state: dict[str, str | None]) -> None:
    for kept in (state, {"owner": state}, {"owner": "x"}):
        outcome = take(kept, Incoming(kind="text", text="480"), now=NOW, shop=SHOP)
        assert outcome.decision is None


def test_an_invitation_is_a_start_that_carries_a_token() -> None:
    invitation = Incoming(kind="start", text="owner-a-b_c")
    assert is_invitation(invitation)
    assert token_of(invitation) == "a-b_c"
    assert not is_invitation(Incoming(kind="start", text="library-reopening"))
    assert not is_invitation(Incoming(kind="text", text="owner-a-b_c"))


@pytest.mark.parametrize(
    "value", ["lead:" + "x" * 51 + ":decline", f"lead:{LEAD}:decline:" + "G" * 14]
)
def test_a_value_that_is_none_of_ours_declines_nothing(chat: Chat, value: str) -> None:
    assert chat.press(value[:64]).decision is None
    assert not chat.text.startswith("Are you sure?")
