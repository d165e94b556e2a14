"""Why a step did not go through, in the owner's words."""

import re
from collections.abc import Sequence

from service.leads.steps import Step, StepKind
from service.leads.stuck import Stuck

# What workers report, by how it begins; the first that fits.
_REASONS: Sequence[tuple[re.Pattern[str], str]] = tuple(
    (re.compile(pattern, re.IGNORECASE), said)
    for pattern, said in (
        (r"telegram: .*blocked by the user", "the client has blocked the bot"),
        (r"telegram: .*user is deactivated", "the client's Telegram account is gone"),
        (
            r"telegram: .*(chat not found|became another chat|kicked|initiate conversation)",
            "this chat does not exist any more",
        ),
        (r"telegram: ", "Telegram refused the message"),
        (r"telegram answered that something is wrong", "Telegram had trouble on its side"),
        (r"telegram cannot be reached", "Telegram could not be reached"),
        (r"telegram does not know|nothing is set up", "the bot's Telegram token is not right"),
        (r"only its beginning is out", "only the beginning of it was sent"),
        (r"the channel asks for a pause|enough went out", "Telegram asked to wait"),
        (
            r"telegram did not confirm|the sending took|no answer",
            "Telegram did not answer",
        ),
        (r"cut off", "the work on it was cut off"),
        (r"restored from a backup", "held back when the shop was restored from a backup"),
    )
)

_UNREACHED = re.compile(r"Connect|Timeout|ServiceUnavailable|refused with status (429|5)")


def reason_of(step: Step) -> str:
    """Why, in a few words; "the client has blocked the bot"."""
    error = step.last_error or "cut off"
    for pattern, said in _REASONS:
        if pattern.match(error):
            return said
    if _UNREACHED.search(error):
        quoting = step.kind is StepKind.QUOTE
        return "no estimate came back" if quoting else "the shop's service did not answer"
    return "something went wrong inside the program"


def why(stuck: Stuck) -> str:
    """How often it was tried and what came of that, as a sentence."""
    step = stuck.step
    if stuck.held_back:
        return (
            "Held back when the shop was restored from a backup: the client may have had it since."
        )
    if not step.attempts:
        return f"Not tried yet: {reason_of(step)}."
    return f"Tried {_times(step.attempts)}: {reason_of(step)}."


def doubt(stuck: Stuck) -> str | None:
    """That it may have reached the client all the same, where it may have."""
    step = stuck.step
    if not step.doubts:
        return None
    return f"Sent {_times(step.doubts)} and never confirmed: it may have arrived."


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")
