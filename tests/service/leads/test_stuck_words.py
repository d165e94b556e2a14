"""Why something did not go through, in the owner's words."""

from datetime import UTC, datetime
from typing import Any

import pytest

from service.leads.steps import HELD_BACK, Step, StepKind, StepState
from service.leads.stuck import Stuck
from service.leads.stuck_words import doubt, reason_of, why

NOW = datetime(2027, 1, 4, 12, tzinfo=UTC)


def a_step(error: str | None, kind: StepKind = StepKind.DELIVER, **more: Any) -> Step:
    return Step(
        id="s1",
        kind=kind,
        subject_id="m1",
        lane="telegram:42",
        position=1,
        state=StepState.DEAD,
        fence=1,
        due_at=NOW,
        last_error=error,
        **({"attempts": 1} | more),
    )


@pytest.mark.parametrize(
    ("error", "said"),
    [
        ("Telegram: Forbidden: bot was blocked by the user", "the client has blocked the bot"),
        ("Telegram: Forbidden: user is deactivated", "the client's Telegram account is gone"),
        ("Telegram: Chat not found", "this chat does not exist any more"),
        ("Telegram: the chat became another chat", "this chat does not exist any more"),
        ("Telegram: Message is too long", "Telegram refused the message"),
        ("Telegram cannot be reached (ConnectError)", "Telegram could not be reached"),
        ("Telegram did not confirm it (ReadTimeout)", "Telegram did not answer"),
        ("the sending took too long", "Telegram did not answer"),
        (
            "nothing is set up to send through telegram; is the bot's token set?",
            "the bot's Telegram token is not right",
        ),
        ("ConnectError", "the shop's service did not answer"),
        ("KeyError", "something went wrong inside the program"),
        (None, "the work on it was cut off"),
    ],
)
def test_a_reason_is_said_in_words(error: str | None, said: str) -> None:
    assert reason_of(a_step(error)) == said


def test_a_price_that_does_not_come_is_the_estimating_s() -> None:
    step = a_step("refused with status 503", StepKind.QUOTE)
    assert reason_of(step) == "no estimate came back"


def test_it_says_how_often_and_what_may_have_come_of_it() -> None:
    often = Stuck(step=a_step("the sending took too long", attempts=3, doubts=2))
    assert why(often) == "Tried 3 times: Telegram did not answer."
    assert doubt(often) == "Sent twice and never confirmed: it may have arrived."


def test_what_was_held_back_was_not_tried() -> None:
    held = Stuck(step=a_step(HELD_BACK, attempts=0))
    assert why(held).startswith("Held back when the shop was restored")
    assert doubt(held) is None
