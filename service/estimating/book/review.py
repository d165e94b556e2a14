"""When the owner looks before a ballpark goes out: figures, and the thresholds for them."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from service.estimating.errors import BookError, Faults
from service.estimating.paths import Support


class Kind(StrEnum):
    """What a figure is measured in, and so which tests it takes."""

    YES_NO = "yes or no"
    MONEY = "an amount"
    NUMBER = "a number"
    SUPPORT = "a support"


class Figure(StrEnum):
    """What a rule may go by. Everything comes from the brief, its estimate and the day."""

    LIKELY_PRICE = "likely_price"
    MARGIN_PERCENT = "margin_percent"
    OVER_BUDGET = "over_budget"
    DAYS_OF_NOTICE = "days_of_notice"
    WEEKEND = "weekend"
    HOLIDAY = "holiday"
    OUTDOORS = "outdoors"
    MILES = "miles"
    OUT_OF_AREA = "out_of_area"
    GUESTS = "guests"
    PIECES = "pieces"
    SUPPORT = "support"
    HEIGHT_FT = "height_ft"
    BALLOONS = "balloons"
    HELIUM_BALLOONS = "helium_balloons"
    FOILS = "foils"
    PERSON_HOURS = "person_hours"
    CAR_LOADS = "car_loads"
    HIRE_NEEDED = "hire_needed"
    SIZE_UNSURE = "size_unsure"
    ASSUMPTIONS = "assumptions"

    @property
    def kind(self) -> Kind:
        """What it is measured in."""
        return _KINDS.get(self, Kind.NUMBER)


_KINDS = {
    Figure.LIKELY_PRICE: Kind.MONEY,
    Figure.SUPPORT: Kind.SUPPORT,
    **dict.fromkeys(
        (
            Figure.OVER_BUDGET,
            Figure.WEEKEND,
            Figure.HOLIDAY,
            Figure.OUTDOORS,
            Figure.OUT_OF_AREA,
            Figure.HIRE_NEEDED,
            Figure.SIZE_UNSURE,
        ),
        Kind.YES_NO,
    ),
}


class Test(StrEnum):
    """How a figure is held against its threshold; neither `above` nor `below` takes an equal."""

    __test__ = False  # pytest would take the name for a class of tests

    ABOVE = "above"
    BELOW = "below"
    IS = "is"


Threshold = Decimal | bool | Support
"""A number or amount, yes or no, or a support, as the figure's kind has it."""

LARGEST_THRESHOLD = Decimal(1_000_000)
MOST_RULES = 40
_CENT = Decimal("0.01")


@dataclass(frozen=True, kw_only=True, slots=True)
class Condition:
    """A figure held against a threshold. Raises BookError, saying what is allowed."""

    figure: Figure
    test: Test
    threshold: Threshold

    def __post_init__(self) -> None:
        faults = Faults()
        detail = self._fault()
        if detail:
            faults.add(self.test, f"{self.figure} {detail}")
        faults.raise_as(BookError)

    def _fault(self) -> str | None:
        kind, value = self.figure.kind, self.threshold
        if kind is Kind.YES_NO:
            fits = self.test is Test.IS and isinstance(value, bool)
            return None if fits else "is yes or no; write is: yes or is: no"
        if kind is Kind.SUPPORT:
            fits = self.test is Test.IS and isinstance(value, Support)
            return None if fits else f"takes is: with one of {', '.join(Support)}"
        if self.test is Test.IS or not isinstance(value, Decimal):
            return f"is {kind}; write above: or below: and a number"
        if not value.is_finite() or not 0 <= value <= LARGEST_THRESHOLD:
            return f"takes a number from 0 to {LARGEST_THRESHOLD:,}"
        if value != value.quantize(_CENT):
            return "takes at most two decimals"
        if self.test is Test.BELOW and not value and self.figure is not Figure.MARGIN_PERCENT:
            return "is never below 0; give a larger number"
        return None

    def holds(self, value: Threshold | frozenset[Support] | None) -> bool:
        """Whether a figure's value meets it; one that is not known never does."""
        if value is None:
            return False
        if isinstance(value, frozenset):
            return self.threshold in value
        if isinstance(value, Decimal) and isinstance(self.threshold, Decimal):
            above = self.test is Test.ABOVE
            return value > self.threshold if above else value < self.threshold
        return value is self.threshold


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """The owner looks first when `when` holds, and `also` with it where there is one."""

    when: Condition
    also: Condition | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.also != self.when, "and", "says the same again; name another condition")
        faults.raise_as(BookError)

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """All that must hold."""
        return (self.when,) if self.also is None else (self.when, self.also)
