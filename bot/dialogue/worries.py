"""What must be said to a message beside its answer: dangers, slips, and what we do not do, and
what is soon answered."""

from datetime import date
from functools import reduce

from bot.dialogue import sayings
from bot.dialogue.reading import is_implausible, sides_of
from bot.dialogue.speaking import LANGUAGES, is_telling
from bot.understanding import Slots

# Questions that the dialogue answers by itself, each with the phrase of that name.
ANSWERED_AT_ONCE = ("can_send", "is_bot", "included")


def beside_quick_questions(text: str) -> str:
    """`text` without those: in "can I send a picture?" the "a" is no size."""
    return reduce(lambda rest, name: sayings.without(name, rest), ANSWERED_AT_ONCE, text)


def worries(text: str, slots: Slots, today: date) -> tuple[str, ...]:
    """The phrases that `text` gives cause for, the gravest first."""
    found = {
        "unsafe_release": "unsafe_release" in slots.flags,
        "hydrogen": "hydrogen" in slots.flags,
        "past_date": "past_date" in slots.flags or (slots.event_date or today) < today,
        "odd_size": "implausible_size" in slots.flags or any(map(is_implausible, sides_of(slots))),
        "unclear_date": "event_date" in slots.ambiguous
        and not (slots.event_date or slots.event_month),
        "negative_budget": sayings.says("below_zero", text),
        "other_language": slots.lang not in (None, *LANGUAGES) and is_telling(text),
        "latex": sayings.says("latex", text),
        "helium": sayings.says("helium", text) and slots.floating is None,
        **{name: sayings.says(name, text) for name in ANSWERED_AT_ONCE},
        "out_of_scope": "out_of_scope" in slots.flags and not slots.structures,
    }
    return tuple(name for name, present in found.items() if present)
