"""Made-up cases for one part, one after the other."""

from collections.abc import Callable
from typing import TypeVar

import hypothesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests.fuzz.tally import Tally

T = TypeVar("T")

# Every character there is: NUL, halves of surrogate pairs, joiners, marks that turn the line.
ANY_TEXT = st.text(st.characters(exclude_categories=[]), max_size=40)

ANY_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


def run(
    part: str, cases: st.SearchStrategy[T], act: Callable[[T], object], *, seed: int, most: int
) -> Tally:
    """Act on so many cases; whatever an act raises is a failure. The same seed, the same cases."""
    tally = Tally(part)

    @hypothesis.seed(seed)
    @settings(
        max_examples=most,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(cases)
    def one(case: T) -> None:
        with tally.trying(case):
            act(case)

    one()
    return tally


@st.composite
def disturbed(draw: st.DrawFn, whole: object) -> object:
    """A JSON value with something in it left out, added, or of another kind."""
    if draw(st.integers(0, 5)) == 0:
        return draw(ANY_JSON)
    if isinstance(whole, dict) and whole:
        name = draw(st.sampled_from(sorted(whole)))
        match draw(st.integers(0, 4)):
            case 0:
                return {key: value for key, value in whole.items() if key != name}
            case 1:
                return {**whole, draw(st.text(max_size=8)): draw(ANY_JSON)}
            case _:
                return {**whole, name: draw(disturbed(whole[name]))}
    if isinstance(whole, list) and whole:
        at = draw(st.integers(0, len(whole) - 1))
        return [*whole[:at], draw(disturbed(whole[at])), *whole[at + draw(st.integers(0, 1)) :]]
    return draw(ANY_JSON)
