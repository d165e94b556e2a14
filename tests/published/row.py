"""A row of the table: what somebody else says, and what the estimator answers to the same question.

Marks: "published", where the source prints the figure, or it follows from printed ones in a step
that the row names; "derived", worked out from first principles apart from the estimator; "common
practice, no source"; "from memory", a published figure that was not looked up again.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal

FOOT, INCH, MILE = 0.3048, 0.0254, 1609.344
CUBIC_FOOT = FOOT**3
POUND = 0.45359237

Mark = Literal["published", "derived", "common practice, no source", "from memory"]
Value = float | str


@dataclass(frozen=True, kw_only=True, slots=True)
class Between:
    """A range that the source prints, ends included."""

    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.low:g} to {self.high:g}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Disagreement:
    """By how much the answer differs, as a fraction of what is published, and why.

    Where nought is published, the plain difference.
    """

    by: float
    because: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One check, `id` saying what of.

    `tolerance` is absolute and in the row's unit; with `at_least` the figure is a floor. Words have
    to be the same letter for letter.
    """

    id: str
    mark: Mark
    source: str
    expected: Value | Between
    answer: Callable[[], Value]
    tolerance: float = 0.0
    unit: str = ""
    at_least: bool = False
    disagrees: Disagreement | None = None

    def agrees(self, answer: Value) -> bool:
        """Whether the answer is what is expected."""
        if isinstance(self.expected, str) or isinstance(answer, str):
            return answer == self.expected
        return abs(answer - self.nearest(answer)) <= self.tolerance

    def nearest(self, answer: float) -> float:
        """Of all that the source allows, what is nearest to the answer."""
        if isinstance(self.expected, Between):
            return min(max(answer, self.expected.low), self.expected.high)
        assert not isinstance(self.expected, str)
        return max(answer, self.expected) if self.at_least else self.expected

    def off(self, answer: float) -> float:
        """How far the answer is off, as a fraction of the nearest figure that the source allows."""
        nearest = self.nearest(answer)
        return (answer - nearest) / abs(nearest) if nearest else answer - nearest


published = partial(Row, mark="published")
derived = partial(Row, mark="derived")
practice = partial(Row, mark="common practice, no source")
remembered = partial(Row, mark="from memory")
