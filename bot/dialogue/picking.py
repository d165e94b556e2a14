""" "The second one": a button of the open question, or an offer, by its place."""

from dataclasses import replace
from datetime import date

from bot.dialogue import sayings, values
from bot.dialogue.heard import Heard
from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrases
from bot.dialogue.pressing import pressed
from bot.dialogue.questions import View, next_question
from bot.dialogue.state import State

# "The first" is a day of the month there.
_NO_PLACES = frozenset({"date"})


def picked(
    text: str, state: State, *, shop: ShopCard, phrases: Phrases, today: date
) -> Heard | None:
    """What `text` picks by its place; None where it names no place, or there is nothing there."""
    place = sayings.place_in_row(text)
    if place is None:
        return None
    offered = _answers(View(state=state, shop=shop, phrases=phrases, today=today))
    if not offered and state.stage == "sent":
        # One of those that came with the price: they are shown again, to press.
        return Heard(act="dear")
    if not -1 <= place < len(offered):
        return None
    return replace(pressed(state, offered[place], today=today, shop=shop), text=text)


def _answers(view: View) -> tuple[str, ...]:
    """The values that stand in a row now."""
    state = view.state
    question = next_question(state) if state.stage == "asking" else None
    if question is not None and question.name not in _NO_PLACES:
        pressable = (button.value or "" for button in question.choices(view))
        answers = tuple(value for value in pressable if value.startswith("answer:"))
        if answers:
            return answers
    return tuple(values.offer(state.number, index) for index in range(len(state.offers)))
