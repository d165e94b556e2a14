"""Any text in the place of a price book: it is one, or its faults are named."""

import time
from datetime import date

from hypothesis import strategies as st

from service.estimating import BookError, PriceBook
from service.estimating.calibration import UNCALIBRATED
from service.leads.trying_out import tried_out
from service.storage.price_book.reading import NAME, read_price_book
from tests.fuzz.cases import ANY_TEXT, run
from tests.fuzz.tally import Tally
from tests.service.building import PRICE_BOOK

# The example takes a tenth of a second.
_MOST_S = 5.0

_ODD = st.sampled_from(
    [
        *("", "~", "null", "yes", "0", "-1", "1e999", ".nan", ".inf", "0x1F", "1_000", "1:30"),
        *("99999999999999999999999", "0.00000001", "2027-13-45", "9999-12-31"),
        "!!python/none x",
        *("[", "]", "{", "}", "[]", "{}", "&a [*a]", "*nothing", "|", ">", "'", '"', "#"),
        *("%", "@"),
        *("- x", "? x", "a: b: c", "<<: *x", "\t", "---", "...", "\ufeff", "\u2028"),
        *("\x00", "\x85"),
        *("!!binary x", "!!set {a}", "!!timestamp 2027", "!!float x", "!!int x", "!!omap [a]"),
    ]
)


@st.composite
def _texts(draw: st.DrawFn) -> str:
    """The example with some of its lines changed, left out or said twice."""
    lines = PRICE_BOOK.read_text().splitlines()
    for _ in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        line = lines[at]
        key, colon, _ = line.partition(":")
        match draw(st.integers(0, 5)):
            case 0:
                del lines[at : at + draw(st.integers(1, 30))]
            case 1:
                lines.insert(draw(st.integers(0, len(lines))), line)
            case 2:
                lines[at] = f"{key}{colon} {draw(_ODD)}"
            case 3:
                lines[at] = f"{key}{colon} {draw(ANY_TEXT)}"
            case 4:
                lines[at] = " " * draw(st.integers(0, 9)) + line.strip()
            case _:
                lines.insert(at, draw(_ODD))
        if not lines:
            return ""
    return "\n".join(lines)


_CASES = st.one_of(
    _texts(),
    _texts(),
    ANY_TEXT,
    st.lists(_ODD | ANY_TEXT, max_size=12).map("\n".join),
    st.builds(lambda mark, times: mark * times, _ODD, st.integers(1, 400)),
)


def read(*, seed: int, most: int) -> Tally:
    """What can be read can also be estimated by."""

    def act(text: str) -> None:
        began = time.thread_time()
        book = _book(text)
        assert time.thread_time() - began < _MOST_S, "a price book takes too long to read"
        if book is not None:
            tried_out(book, book, UNCALIBRATED, today=date(2027, 1, 10))

    return run("price books", _CASES, act, seed=seed, most=most)


def _book(text: str) -> PriceBook | None:
    try:
        return read_price_book(text, NAME)
    except BookError as error:
        if not error.problems:
            raise AssertionError("a price book is refused without a word") from None
        return None
