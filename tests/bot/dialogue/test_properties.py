"""Whatever is typed or pressed, wherever the talk stands, it goes on."""

import json
import re
from collections.abc import Mapping
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.dialogue import Incoming, Message, Outcome, take_turn
from bot.dialogue.questions import BY_NAME
from bot.dialogue.replies import REPLIES
from bot.dialogue.scene import Reply
from bot.dialogue.state import MOVES, ONWARD, Act, Stage, State
from bot.wording import shipped
from service.contract.brief import Brief
from tests.bot.dialogue.talking import BOOK, NOON, SHOP, WHOLE
from tests.bot.dialogue.walking import turn

LIVELY = [
    "hi", "a hoop", "two columns and a wall", "12 ft garland", "6 ft", "4x7", "june 6", "02139",
    "indoors", "sage and gold", "no gold", "3pm", "yes", "no", "not sure", "start over", "cancel",
    "status", "thanks", "talk to a person", "actually make it 8 ft", "remove the columns",
    "another event", "900 ft arch", "budget -$5", "hydrogen please", "help", WHOLE,
    "cuánto cuesta un arco", "dos columnas de 6 pies", "no sé", "atrás", "back", "quita el aro",
    "sin dorado", "cambiar algo", "en español", "english", "as wide as a garage door",
    "some floating balloons", "what would fit my budget?", "do you deliver?",
    "two events: a wedding on june 6 and a birthday on july 8", "add flowers and a sign",
    "your garland fell down, I am very unhappy", "do you juggle?", "blorp",
]  # fmt: skip
TYPED = st.one_of(st.sampled_from(LIVELY), st.text(max_size=80)).map(
    lambda text: Incoming(kind="text", text=text)
)
ODD = st.sampled_from(
    [
        Incoming(kind="start"),
        Incoming(kind="other"),
        Incoming(kind="button", text="confirm"),
        Incoming(kind="button", text="answer:1:size:0:hoop:72"),
        Incoming(kind="button", text="answer:1:support:0:swag:1"),
        Incoming(kind="button", text="edit:1:size:7"),
        Incoming(kind="button", text="edit:1:placement:3"),
        Incoming(kind="button", text="page:1:size:0:48x84"),
        Incoming(kind="button", text="page:1:date:2027-06"),
        Incoming(kind="button", text="answer:1:offer:0"),
        Incoming(kind="button", text="answer:1:shade:0:1"),
        Incoming(kind="button", text="answer:1:palette:1"),
        Incoming(kind="button", text="changes:1"),
        Incoming(kind="button", text="options"),
        Incoming(kind="button", text="back:1"),
        Incoming(kind="button", text="language:es"),
        Incoming(kind="photo", photo="p1", text="like this"),
        Incoming(kind="location", text="42.3,-71.1"),
        Incoming(kind="contact", text="+16175550142"),
    ]
)
PROMISE = re.compile(
    rf"{SHOP.owner_name}((, who)? sees (this conversation|it here)|( has your message and)?"
    r" answers (that |the rest )?here|(, que)? ve esta conversación| lo ve aquí"
    r"|( tiene tu mensaje y)? te responde (eso |lo demás )?aquí)"
)
# A number presses one of the buttons of the latest message.
STEPS = st.lists(st.one_of(TYPED, ODD, st.integers(0, 12)), min_size=1, max_size=14)


def incoming_of(step: Incoming | int, shown: tuple[Message, ...]) -> Incoming:
    if isinstance(step, Incoming):
        return step
    values = [button.value for message in shown for button in message.buttons if button.value]
    return Incoming(kind="button", text=values[step % len(values)] if values else "gone")


def taken(stored: Mapping[str, Any], incoming: Incoming) -> Outcome:
    """A turn with everything found that it may want."""
    return turn(json.dumps(stored), incoming)


@settings(max_examples=150, deadline=None)
@given(STEPS)
def test_the_talk_always_answers_and_its_state_is_always_json(steps: list[Incoming | int]) -> None:
    stored: Mapping[str, Any] = {}
    shown: tuple[Message, ...] = ()
    for step in steps:
        incoming = incoming_of(step, shown)
        outcome = taken(stored, incoming)
        assert taken(stored, incoming) == outcome
        stored, shown = json.loads(json.dumps(outcome.state)), outcome.messages
        assert State.from_dict(stored).to_dict() == outcome.state
        assert bool(shown) == (incoming.text != "still")
        promised = any(PROMISE.search(message.text) for message in shown)
        assert outcome.calls_owner == promised
        for message in shown:
            check(message, State.from_dict(stored))
        if outcome.submit is not None:
            Brief.model_validate(outcome.submit.brief)


def check(message: Message, state: State) -> None:
    assert 0 < len(message.text) <= 16_000
    message.text.encode()
    assert len(message.buttons) <= 80
    for button in message.buttons:
        assert 0 < len(button.label) <= 64
    # A question is asked exactly while one is open, save where a person was asked for.
    assert message.asks is None or (state.stage == "asking" and message.asks in BY_NAME)
    if message.kind == "readback":
        assert state.stage == "readback"
    names = [swatch.name for swatch in message.swatches]
    assert len(names) == len(set(names)) <= 24


@settings(max_examples=50, deadline=None)
@given(st.text(max_size=4000))
def test_any_text_at_all_is_answered_as_a_first_message(text: str) -> None:
    outcome = take_turn({}, Incoming(kind="text", text=text), now=NOON, shop=SHOP, phrasebook=BOOK)
    assert outcome.messages


# These name the owner without a promise of this chat: the ballpark is on its way, the lead goes to
# the owner by the service's own rule, the owner looks for a shape, and a button's label.
NO_PROMISE = {
    "status.sent.firm", "status.sent.review", "latex", "latex.again", "readback.shapes",
    "button.person",
}  # fmt: skip
NAMING_THE_OWNER = [
    (language, entry.id)
    for language in ("en", "es")
    for entry in shipped(language)
    if isinstance(entry.id, str) and "{owner}" in str(entry.string)
]


@pytest.mark.parametrize(("language", "key"), NAMING_THE_OWNER)
def test_every_phrase_that_hands_over_to_the_owner_calls_the_owner(language: str, key: str) -> None:
    reply = Reply(state=State(), says=("noted", key.removesuffix(".again")))
    assert reply.calls_owner == (key not in NO_PROMISE)
    said = BOOK.in_language(language).say(
        key, owner=SHOP.owner_name, contact=SHOP.contact, shapes="dragon"
    )
    assert bool(PROMISE.search(said)) == (key not in NO_PROMISE)


def test_every_act_has_a_reply_and_a_move_from_every_stage() -> None:
    acts = set(get_args(Act))
    assert set(REPLIES) == acts
    assert set(MOVES) == set(get_args(Stage))
    for moves in MOVES.values():
        assert set(moves) == acts
        assert set(moves.values()) <= {*get_args(Stage), ONWARD}


def test_every_stage_reaches_cancel_and_start_over() -> None:
    for stage, moves in MOVES.items():
        assert moves["cancel"] == "new", stage
        assert moves["restart"] == ONWARD, stage


def test_a_state_of_a_newer_program_is_read_as_far_as_it_is_known() -> None:
    stored = {"stage": "asking", "flavour": "new", "draft": {"colours": ["sage"], "scent": "x"}}
    state = State.from_dict(stored)
    assert (state.stage, state.draft.colours, state.number) == ("asking", ("sage",), 1)
