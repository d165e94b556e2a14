"""One turn of the owner: (state, incoming, now) → (state, messages, perhaps one decision)."""

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from babel.numbers import format_currency

from bot.dialogue.messages import Button, Incoming, Message, ShopCard
from bot.owner.values import Decision, Open, OwnerOutcome, Pressed, View, read_value

_INVITATION = "owner-"

_AMOUNT = re.compile(
    r"[$€£]?\s*((?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]{1,2})?)\s*(?:[$€£]|[a-zA-Z]{3,7})?"
)
_MOST = Decimal(1_000_000)
_LONGEST_WORDS = 2000

_VIEWS: Mapping[str, View] = {"/waiting": "waiting", "/today": "today"}

_HELP = (
    "This is your own chat with the shop.\n\n"
    "/waiting: what waits for you\n"
    "/today: set-ups of today and tomorrow, and holds that run out\n"
    "/cancel: leave a question as it is\n"
    "/help: this\n\n"
    "When a request waits, somebody asks for you or a date is held, you are told here."
)
_NOT_A_CLIENT = (
    "This chat is your own, so it takes no requests. To see what clients see, use the web chat, "
    "or disconnect this chat on your desk.\n\n/help says what you can do here."
)
_USED_UP = (
    "That link has been used, or its quarter of an hour is over. Make a new one on your desk, "
    "under “Your Telegram”."
)
_STALE = "That button is of no use any more. /waiting shows what waits for you now."
_STUMBLED = "Something went wrong here with that. /waiting shows how things stand now."
_WRITE_A_PRICE = "Write the price as 480, 480.50 or 1,480; /cancel leaves it as it is."


def is_invitation(incoming: Incoming) -> bool:
    """Whether a chat brings an invitation from the desk."""
    return incoming.kind == "start" and incoming.text.startswith(_INVITATION)


def token_of(incoming: Incoming) -> str:
    """The token of an invitation."""
    return incoming.text.removeprefix(_INVITATION)


def paired(shop: ShopCard) -> OwnerOutcome:
    """The chat has become the owner's. Nothing of what was said in it before counts any more."""
    greeting = f"Hello! This chat is now connected with {shop.name}.\n\n{_HELP}"
    return OwnerOutcome(state={}, messages=(_say(greeting),))


def unpaired(state: Mapping[str, Any]) -> OwnerOutcome:
    """The invitation was no good; the conversation goes on as it was."""
    return OwnerOutcome(state=dict(state), messages=(_say(_USED_UP),))


def stumbled(state: Mapping[str, Any]) -> OwnerOutcome:
    """What the owner did could not be answered; whether it was done, the shop's lists tell."""
    return OwnerOutcome(state=dict(state), messages=(_say(_STUMBLED),))


def take(
    state: Mapping[str, Any], incoming: Incoming, *, now: datetime, shop: ShopCard
) -> OwnerOutcome:
    """Answer the owner. `state` is what the last turn gave; `now` is aware."""
    if incoming.kind == "button":
        pressed = read_value(incoming.text)
        answer = _VERBS.get(pressed.verb) if pressed else None
        return answer(pressed, now, shop) if answer and pressed else _only(_STALE)
    text = incoming.text.strip()
    if incoming.kind == "start":
        return _only(_HELP)
    if text.startswith("/"):
        return _command(text.split()[0].lower())
    question = Open.from_state(state, now)
    if incoming.kind != "text" or not text:
        kept = question.to_state() if question else {}
        return OwnerOutcome(state=kept, messages=(_say("I can only pass on words here."),))
    if question is None:
        return _only(_HELP)
    return _priced(question, text, shop) if question.wants == "price" else _written(question, text)


def _command(name: str) -> OwnerOutcome:
    if name in _VIEWS:
        return OwnerOutcome(state={}, shows=_VIEWS[name])
    if name == "/cancel":
        return _only("Left as it is.")
    return _only(_HELP if name == "/help" else _NOT_A_CLIENT)


def _send(pressed: Pressed, _now: datetime, _shop: ShopCard) -> OwnerOutcome:
    if pressed.lead_id is None or not pressed.rest:
        return _only(_STALE)
    basis = pressed.rest[0]
    return OwnerOutcome(
        state={},
        decision=Decision(action="send", lead_id=pressed.lead_id, basis=basis),
        done=f"{_number(basis)}: the firm price is on its way to the client.",
    )


def _price(pressed: Pressed, now: datetime, shop: ShopCard) -> OwnerOutcome:
    if pressed.lead_id is None or not pressed.rest:
        return _only(_STALE)
    basis, *amounts = pressed.rest
    if not amounts:
        question = Open(
            wants="price",
            at=now.isoformat(),
            lead_id=pressed.lead_id,
            basis=basis,
            number=_number(basis),
        )
        asked = (
            f"{_number(basis)}: which price shall I send, in {shop.currency}? Tax is in it, or "
            "comes on top, as your price book has it."
        )
        return OwnerOutcome(state=question.to_state(), messages=(_say(asked),))
    price = _amount(amounts[0])
    if price is None:
        return _only(_STALE)
    return OwnerOutcome(
        state={},
        decision=Decision(action="send", lead_id=pressed.lead_id, basis=basis, price=price),
        done=f"{_number(basis)}: {_money(price, shop)} is on its way to the client.",
    )


def _priced(question: Open, text: str, shop: ShopCard) -> OwnerOutcome:
    price = _amount(text)
    if price is None:
        return OwnerOutcome(state=question.to_state(), messages=(_say(_WRITE_A_PRICE),))
    value = f"lead:{question.lead_id}:price:{question.basis}"
    buttons = (
        Button(label=f"Yes, send {_money(price, shop)}", value=f"{value}:{price}", row=0),
        Button(label="Another price", value=value, row=1),
        Button(label="Leave it", value=f"lead:{question.lead_id}:keep", row=1),
    )
    sure = f"{question.number}: send {_money(price, shop)} to the client as the firm price?"
    return OwnerOutcome(state={}, messages=(_say(sure, *buttons),))


def _ask(pressed: Pressed, now: datetime, _shop: ShopCard) -> OwnerOutcome:
    number = pressed.rest[0] if pressed.rest else None
    question = Open(
        wants="words",
        at=now.isoformat(),
        lead_id=pressed.lead_id,
        conversation_id=pressed.conversation_id,
        number=number,
    )
    named = f"{number}: write" if number else "Write"
    asked = (
        f"{named} here what the client should read. It goes to them as your own words, just as you "
        "write it; /cancel leaves it."
    )
    return OwnerOutcome(state=question.to_state(), messages=(_say(asked),))


def _written(question: Open, text: str) -> OwnerOutcome:
    if len(text) > _LONGEST_WORDS:
        said = f"Keep it to {_LONGEST_WORDS:,} characters, please; it has {len(text):,} now."
        return OwnerOutcome(state=question.to_state(), messages=(_say(said),))
    decision = Decision(
        action="ask",
        lead_id=question.lead_id,
        conversation_id=question.conversation_id,
        text=text,
    )
    return OwnerOutcome(
        state={},
        decision=decision,
        done="Your words are on their way. What the client answers, you are told here.",
    )


def _decline(pressed: Pressed, _now: datetime, _shop: ShopCard) -> OwnerOutcome:
    number = pressed.rest[0] if pressed.rest else "This request"
    # Anybody can send any value: one that is longer than ours could not be sent back on a button.
    if pressed.lead_id is None or len(pressed.lead_id) > 32 or len(number.encode()) > 13:
        return _only(_STALE)
    if pressed.rest[1:] == ("sure",):
        return OwnerOutcome(
            state={},
            decision=Decision(action="decline", lead_id=pressed.lead_id),
            done=f"{number} is declined, and the client has been told, kindly.",
        )
    buttons = (
        Button(label="Yes, decline", value=f"lead:{pressed.lead_id}:decline:{number}:sure", row=0),
        Button(label="No, keep it", value=f"lead:{pressed.lead_id}:keep", row=0),
    )
    sure = f"Are you sure? {number} is then declined, and the client reads our usual kind no."
    return OwnerOutcome(state={}, messages=(_say(sure, *buttons),))


def _settle(pressed: Pressed, _now: datetime, _shop: ShopCard) -> OwnerOutcome:
    decision = Decision(
        action="settle", lead_id=pressed.lead_id, conversation_id=pressed.conversation_id
    )
    return OwnerOutcome(state={}, decision=decision, done="Noted: nothing to answer.")


def _keep(_pressed: Pressed, _now: datetime, _shop: ShopCard) -> OwnerOutcome:
    return _only("Left as it is.")


_VERBS: Mapping[str, Callable[[Pressed, datetime, ShopCard], OwnerOutcome]] = {
    "send": _send,
    "price": _price,
    "ask": _ask,
    "answer": _ask,
    "decline": _decline,
    "settle": _settle,
    "keep": _keep,
}


def _amount(text: str) -> Decimal | None:
    """An amount such as 480.50, $1,480 or 1480; None where it could mean two things."""
    written = _AMOUNT.fullmatch(text)
    amount = Decimal(written[1].replace(",", "")) if written else None
    return amount if amount is not None and 0 < amount <= _MOST else None


def _money(amount: Decimal, shop: ShopCard) -> str:
    whole = amount == amount.to_integral_value()
    return format_currency(
        amount,
        shop.currency,
        "¤#,##0" if whole else None,
        locale="en_US",
        currency_digits=not whole,
    )


def _number(basis: str) -> str:
    """What the request of a quote is called: G1001 for G1001-2."""
    return basis.partition("-")[0]


def _only(text: str) -> OwnerOutcome:
    """Say something, with no question open any more."""
    return OwnerOutcome(state={}, messages=(_say(text),))


def _say(text: str, *buttons: Button) -> Message:
    return Message(kind="owner", text=text, buttons=buttons)
