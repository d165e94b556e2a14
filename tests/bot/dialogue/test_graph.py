"""Every state leads back, to an end, and to a new beginning: all are walked, none is sampled."""

import json

import pytest

from bot.dialogue import Incoming
from bot.dialogue.draft import Draft
from bot.dialogue.questions import BY_NAME, next_question
from bot.dialogue.standings import MOST_STEPS, remembered
from bot.dialogue.state import State
from service.contract.talk import OutgoingMessage
from tests.bot.dialogue.walking import Node, turn, walk


def text(words: str) -> Incoming:
    return Incoming(kind="text", text=words)


def button(name: str, state: State) -> Incoming:
    return Incoming(kind="button", text=f"{name}:{state.number}")


def state_after(node: Node, incoming: Incoming) -> State:
    outcome = turn(node.stored, incoming)
    assert outcome.messages
    assert outcome.submit is None
    return State.from_dict(json.loads(json.dumps(outcome.state)))


def without_words(draft: Draft) -> dict[str, object]:
    return {name: value for name, value in draft.to_dict().items() if name != "words"}


def test_every_message_of_the_walk_is_one_that_the_wire_takes() -> None:
    for _, incoming, outcome in walk()[1]:
        assert bool(outcome.messages) == (incoming.text != "still")
        for message in outcome.messages:
            OutgoingMessage.model_validate(message, from_attributes=True)


def test_the_walk_reaches_every_question_and_every_stage() -> None:
    nodes, _ = walk()
    states = [node.state for node in nodes]
    assert {state.stage for state in states} == {"new", "asking", "readback", "sent"}
    assert {state.asked for state in states if state.stage == "asking"} == set(BY_NAME)


@pytest.mark.parametrize("way", ["/cancel", "cancel", "cancelar", "button"])
def test_cancel_leads_to_nothing_from_everywhere(way: str) -> None:
    for node in walk()[0]:
        before = node.state
        said = button("cancel", before) if way == "button" else text(way)
        after = state_after(node, said)
        assert (after.stage, after.number) == ("new", before.number + 1), before
        assert after.draft == Draft()
        assert not after.earlier


@pytest.mark.parametrize("way", ["/over", "start over", "empezar de nuevo"])
def test_start_over_leads_to_the_first_question_from_everywhere(way: str) -> None:
    for node in walk()[0]:
        before = node.state
        after = state_after(node, text(way))
        assert (after.stage, after.asked) == ("asking", "support"), before
        assert after.number == before.number + 1
        assert after.draft == Draft()


@pytest.mark.parametrize("way", ["/back", "back", "atrás", "button"])
def test_back_leads_one_step_back_from_everywhere(way: str) -> None:
    for node in walk()[0]:
        before = node.state
        said = button("back", before) if way == "button" else text(way)
        after = state_after(node, said)
        assert after.number == before.number
        assert len(after.earlier) == max(len(before.earlier) - 1, 0)
        if not before.earlier:
            assert after.draft == before.draft
            assert not after.editing


def test_back_undoes_every_step_of_the_walk() -> None:
    undone = 0
    for node, _, outcome in walk()[1]:
        before, after = node.state, State.from_dict(outcome.state)
        if outcome.submit or after.number != before.number or after.earlier == before.earlier:
            continue
        if len(before.earlier) == MOST_STEPS or len(after.earlier) < len(before.earlier):
            continue
        undone += 1
        there = Node(stored=json.dumps(outcome.state))
        again = state_after(there, text("/back"))
        assert without_words(again.draft) == without_words(before.draft)
        assert (again.skipped, again.unsure) == (before.skipped, before.unsure)
        if before.stage != "sent":
            assert next_question(again) == next_question(before)
        else:
            assert again.stage == "sent"
    assert undone > 500


def test_status_help_and_a_person_answer_everywhere_and_change_no_answer() -> None:
    for node in walk()[0]:
        for words in ("/status", "/help", "/person", "/language", "ayuda"):
            after = state_after(node, text(words))
            assert after.draft == node.state.draft


def test_a_still_cell_says_nothing_and_changes_nothing_anywhere() -> None:
    for node in walk()[0]:
        outcome = turn(node.stored, Incoming(kind="button", text="still"))
        assert outcome.messages == ()
        assert State.from_dict(outcome.state) == node.state


def test_no_more_than_ten_steps_are_kept_and_they_are_small() -> None:
    state = State()
    for count in range(30):
        after = State.from_dict({**state.to_dict(), "skipped": [f"q{count}"]})
        state = remembered(state, after)
    assert len(state.earlier) == MOST_STEPS
    for node in walk()[0]:
        assert len(json.dumps(list(node.state.earlier))) < 8_000
