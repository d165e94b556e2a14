"""Any text, read as what a client says of an event."""

import json
import time
from dataclasses import asdict
from datetime import date

from hypothesis import strategies as st

from bot.understanding import Slots, read
from tests.fuzz.cases import ANY_TEXT, run
from tests.fuzz.tally import Tally

_TODAY = date(2027, 1, 10)
# A message is understood in a few milliseconds; this is for the worst there is, on a busy machine.
_MOST_S = 1.0

_PIECES = st.sampled_from(
    [
        *("an arch", "two columns", "8 ft", "7'6\"", "6 by 4 m", "90 ft garland", "un aro de 2 m"),
        *("sage", "dusty rose and gold", "june 6", "6/7/2027", "el sábado", "next friday at 3"),
        *("$400", "between 300 and 500", "1e9", "-5", "0", "½", "99999999999999999999", "²"),
        *("not", "no", "and", "or", ",", ".", "(", "/", "-", "'", "\n", "\u202e", "02139", "x"),
        *("for 80 people", "outdoors", "indoors", "help", "cancel that", "start over", "50 rings"),
    ]
)
_WORDS = st.lists(_PIECES | ANY_TEXT | st.integers(-(10**6), 10**12).map(str), max_size=14)
# What takes long to read often takes longer the more there is of it.
_TEXTS = st.builds(
    lambda words, gap, times: (gap.join(words) * times)[:5000],
    _WORDS,
    st.sampled_from([" ", "", ", ", "\n"]),
    st.one_of(st.just(1), st.just(1), st.integers(1, 200)),
)


def understood(*, seed: int, most: int) -> Tally:
    """Any message, alone and after another."""

    def act(case: tuple[str, str, str | None]) -> None:
        first, text, locale = case
        known = _read(first, locale, None)
        found = _read(text, locale, known)
        assert found == _read(text, locale, known), "the same words mean two things"

    cases = st.tuples(_TEXTS, _TEXTS, st.sampled_from(["en-US", "es-US", "en-GB", None]))
    return run("understanding", cases, act, seed=seed, most=most)


def _read(text: str, locale: str | None, known: Slots | None) -> Slots:
    began = time.thread_time()
    found = read(text, reference_date=_TODAY, locale=locale, known=known)
    assert time.thread_time() - began < _MOST_S, "a message takes too long to read"
    json.dumps(asdict(found), default=str, allow_nan=False)
    return found
