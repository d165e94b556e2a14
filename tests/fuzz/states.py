"""States of conversations as storage may give them back: of older versions, or damaged."""

import json
from functools import cache
from typing import Any, cast

from hypothesis import strategies as st

from bot.dialogue.messages import Incoming, IncomingKind
from tests.bot.dialogue.talking import WHOLE
from tests.bot.dialogue.walking import turn
from tests.fuzz.cases import ANY_TEXT, disturbed, run
from tests.fuzz.tally import Tally

_SAID = ("hello", "a hoop", "6 ft", "june 6", "sage and gold", "yes", WHOLE, "help", "back")


@cache
def _standings() -> tuple[dict[str, Any], ...]:
    """Where one talk stood after each of its turns."""
    state, found = "{}", []
    for text in _SAID:
        outcome = turn(state, Incoming(kind="text", text=text))
        state = json.dumps(outcome.state)
        found.append(json.loads(state))
    return tuple(found)


_KINDS: st.SearchStrategy[IncomingKind] = st.sampled_from(
    ["text", "button", "start", "photo", "contact", "location", "other"]
)
_CASES = st.tuples(
    st.integers(0, len(_SAID) - 1).flatmap(lambda at: disturbed(_standings()[at])),
    _KINDS,
    st.sampled_from([*_SAID, "confirm", "language:es"]) | ANY_TEXT,
)


def taken_up(*, seed: int, most: int) -> Tally:
    """The next turn is taken, and the one after it."""

    def act(case: tuple[object, IncomingKind, str]) -> None:
        stored, kind, text = case
        # A column of JSON objects holds no other JSON.
        state = stored if isinstance(stored, dict) else {}
        photo = "p1" if kind == "photo" else None
        incoming = Incoming(kind=kind, text=text, photo=photo, message_ref="1")
        first = turn(json.dumps(state), incoming)
        after = json.dumps(first.state, allow_nan=False)
        turn(after, Incoming(kind="text", text="a hoop"))

    return run("states of talks", cast("st.SearchStrategy[Any]", _CASES), act, seed=seed, most=most)
