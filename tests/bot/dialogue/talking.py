"""A client at the other end of the dialogue, for tests."""

import json
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from bot.dialogue import Button, Incoming, Message, Outcome, ShopCard, Submission, take_turn
from bot.dialogue.messages import Found, MessageKind, Offer, Wanted
from bot.dialogue.state import State
from bot.wording import load

NOON = datetime(2027, 1, 10, 12, 0, tzinfo=ZoneInfo("America/New_York"))
SHOP = ShopCard(
    name="Harbor Lane Garlands",
    town="Millbrook Landing",
    owner_name="Odile",
    contact="odile@harborlane.example",
    time_zone="America/New_York",
    currency="USD",
)
BOOK = load(None)
WHOLE = (
    "hi how much for a garland on a 4 ft wide 7 ft tall arch frame, sage cream and gold,"
    " june 6 at 3pm, indoors at a hall in 02139"
)


NOTHING = Found()


class Talk:
    """Says and presses things, and keeps what came back."""

    def __init__(
        self, *, now: datetime = NOON, shop: ShopCard = SHOP, locale: str | None = None
    ) -> None:
        self.now = now
        self.shop = shop
        self.locale = locale
        self.offers: tuple[Offer, ...] = ()  # what a look-up would find
        self.news: tuple[MessageKind, ...] = ("ballpark",)  # what came of the request
        self.under_review = False
        self.stopped = False  # as the service would know it
        self.wanted: list[Wanted] = []
        self.stored: dict[str, Any] = {}
        self.outcomes: list[Outcome] = []
        self.lines: list[str] = []

    def say(self, *texts: str) -> "Talk":
        for text in texts:
            self.lines.append(f"> {text}")
            self.hear(Incoming(kind="text", text=text, locale=self.locale))
        return self

    def start(self) -> "Talk":
        return self.hear(Incoming(kind="start", locale=self.locale))

    def press(self, label: str) -> "Talk":
        """Press a button of the latest message."""
        return self.press_old(self.button(label))

    def press_old(self, button: Button) -> "Talk":
        self.lines.append(f"> [{button.label}]")
        assert button.value is not None
        pressed = Incoming(kind="button", text=button.value, label=button.label, message_ref="m1")
        return self.hear(pressed)

    def change(self, label: str) -> "Talk":
        """Press a button of the list of changes."""
        return self.press("Change something").press(label)

    def hear(self, incoming: Incoming, found: Found = NOTHING) -> "Talk":
        outcome = take_turn(
            self.stored,
            incoming,
            now=self.now,
            shop=self.shop,
            phrasebook=BOOK,
            found=found,
            under_review=self.under_review,
            stopped=self.stopped,
        )
        if outcome.wants is not None:
            if outcome.wants == "news":
                return self.hear(incoming, replace(found, news=self.news))
            self.wanted.append(outcome.wants)
            return self.hear(incoming, replace(found, offers=self.offers))
        assert outcome.messages
        # What is stored goes through JSON, as it does in the service.
        self.stored = json.loads(json.dumps(outcome.state))
        self.outcomes.append(outcome)
        for message in outcome.messages:
            buttons = "  ".join(f"[{button.label}]" for button in message.buttons)
            self.lines.append(message.text + (f"\n{buttons}" if buttons else ""))
        return self

    def wait(self, **span: float) -> "Talk":
        self.now += timedelta(**span)
        return self

    def button(self, label: str) -> Button:
        found = {button.label: button for button in self.last.buttons}
        assert label in found, f"{label!r} is not among {list(found)}"
        return found[label]

    @property
    def last(self) -> Message:
        return self.outcomes[-1].messages[-1]

    @property
    def text(self) -> str:
        return self.last.text

    @property
    def asked(self) -> str | None:
        return self.last.asks

    @property
    def state(self) -> State:
        return State.from_dict(self.stored)

    @property
    def submissions(self) -> list[Submission]:
        return [outcome.submit for outcome in self.outcomes if outcome.submit is not None]

    @property
    def brief(self) -> dict[str, Any]:
        """The brief of the latest submission."""
        return dict(self.submissions[-1].brief)
