"""The graph of the dialogue: every kind of state that talking and pressing can lead to."""

import json
from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any
from unittest.mock import patch

from bot.dialogue import (
    Found,
    Incoming,
    Message,
    Offer,
    Outcome,
    ShopCard,
    Swatch,
    reading,
    take_turn,
)
from bot.dialogue.state import State
from bot.understanding import read
from tests.bot.dialogue.talking import BOOK, NOON, SHOP, WHOLE

STOCK = ShopCard(
    name=SHOP.name,
    town=SHOP.town,
    owner_name=SHOP.owner_name,
    contact=SHOP.contact,
    time_zone=SHOP.time_zone,
    currency=SHOP.currency,
    colours=(
        Swatch(name="sage", hex="#A9B79A"),
        Swatch(name="cream", hex="#F4E9D3"),
        Swatch(name="gold", hex="#C9A24B"),
        Swatch(name="sand", hex="#D9C3A0"),
        Swatch(name="pink", hex="#F59BBB"),
    ),
    aliases={"ivory": "cream"},
    answers={"deposit": {"en": "Half holds the date.", "es": "La mitad aparta la fecha."}},
    foil_shapes=("star", "heart"),
)
FOUND = Found(colours=("#aabb99", "#c8a14a"), postal_code="02139", town="Cambridge")
OFFERS = (
    Offer(
        pieces=({"support": "hoop", "count": 1, "fullness": "airy", "width_m": 1.8288},),
        low=Decimal(200),
        likely=Decimal(240),
        high=Decimal(280),
        fits=True,
    ),
)
SAID = (
    "a hoop", "12 ft garland", "columns", "an arch", "as wide as a garage door", "6 ft", "8 ft",
    "june", "june 6 2027", "02139", "indoors", "champagne and gold", "3pm",
    "some floating balloons", "yes", "blorp", WHOLE,
    "another party: a hoop for a birthday on july 8",
    "your garland fell down, I am very unhappy", "too expensive, can you do $200?",
)  # fmt: skip
SHOWN = (
    Incoming(kind="start"),
    Incoming(kind="photo", photo="p1"),
    Incoming(kind="location", text="42.3,-71.1"),
    Incoming(kind="contact", text="+16175550142"),
)


@dataclass(frozen=True, kw_only=True)
class Node:
    """One kind of state, with the first state of that kind that was met and what it showed."""

    stored: str
    shown: tuple[Message, ...] = ()

    @property
    def state(self) -> State:
        return State.from_dict(json.loads(self.stored))


# The walk says the same few things in hundreds of states, and reading is a pure function.
_read = lru_cache(maxsize=None)(read)


def turn(stored: str, incoming: Incoming) -> Outcome:
    """One turn, with everything found that it may want."""
    state: Mapping[str, Any] = json.loads(stored)
    given = replace(FOUND, offers=OFFERS, news=("ballpark",))
    with patch.object(reading, "read", _read):
        return take_turn(state, incoming, now=NOON, shop=STOCK, phrasebook=BOOK, found=given)


def kind_of(state: State, shown: tuple[Message, ...]) -> tuple[object, ...]:
    """What makes two states the same for the dialogue: not what the answers are."""
    asking = state.stage == "asking"
    beside = state.care or bool(state.another)
    return (
        state.stage,
        state.asked if asking else None,
        state.editing,
        bool(state.earlier),
        state.unsure is not None,
        state.submitted > 0,
        state.care,
        bool(state.another),
        0 if beside else min(state.misses, 3),
        any("close" in (button.value or "") for message in shown for button in message.buttons),
    )


def incomings(node: Node) -> Iterator[Incoming]:
    """Everything that may be done next: what was shown is pressed, each sort of button once."""
    yield from SHOWN
    for text in SAID:
        yield Incoming(kind="text", text=text)
    pressed = set()
    for button in (button for message in node.shown for button in message.buttons):
        sort = tuple(part for part in (button.value or "").split(":") if not part[:1].isdigit())
        if button.value and sort not in pressed:
            pressed.add(sort)
            yield Incoming(kind="button", text=button.value, message_ref="m1")


@cache
def walk() -> tuple[tuple[Node, ...], tuple[tuple[Node, Incoming, Outcome], ...]]:
    """Every kind of state that can be reached, and every step that led to a state of its own."""
    first = Node(stored="{}")
    nodes = {kind_of(first.state, ()): first}
    steps: list[tuple[Node, Incoming, Outcome]] = []
    waiting = deque([first])
    while waiting:
        node = waiting.popleft()
        for incoming in incomings(node):
            outcome = turn(node.stored, incoming)
            steps.append((node, incoming, outcome))
            stored = json.dumps(outcome.state)
            kind = kind_of(State.from_dict(json.loads(stored)), outcome.messages)
            if kind not in nodes:
                nodes[kind] = Node(stored=stored, shown=outcome.messages)
                waiting.append(nodes[kind])
    return tuple(nodes.values()), tuple(steps)
