"""Review rules in words for the owner: what one says, and why it stopped a request."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from service.estimating import Support
from service.estimating.book import Condition, Figure, Kind, Rule, Test, Threshold
from service.leads import words

ALWAYS = (
    "The date is in the past.",
    "A latex allergy or a place of care is named.",
    "Something would not stand in the wind that the client gave.",
    "No price could be made of it.",
)
"""What waits whatever the rules say."""


@dataclass(frozen=True, slots=True)
class _Number:
    """`rule` says a test of a figure, `because` what was found against it.

    `{test}` is over or under, `{value}` what was found, `{limit}` the threshold. A figure that is
    counted has one of a thing and several; `{verb}` then agrees.
    """

    name: str
    rule: str
    because: str
    one: str = ""
    many: str = ""


_NUMBERS: Mapping[Figure, _Number] = {
    Figure.LIKELY_PRICE: _Number(
        "likely price",
        "the likely price is {test} {limit}",
        "the likely price of {value} is {test} {limit}",
    ),
    Figure.MARGIN_PERCENT: _Number(
        "margin, percent of the price before tax",
        "the margin is {test} {limit}%",
        "the margin of {value}% is {test} {limit}%",
    ),
    Figure.DAYS_OF_NOTICE: _Number(
        "days of notice", "it is {test} {limit} away", "", "day", "days"
    ),
    Figure.MILES: _Number("miles to drive", "the drive is {test} {limit}", "", "mile", "miles"),
    Figure.GUESTS: _Number(
        "guests",
        "there are {test} {limit}",
        "there {is_are} {value}, {test} {limit_number}",
        "guest",
        "guests",
    ),
    Figure.PIECES: _Number(
        "pieces",
        "there are {test} {limit}",
        "there {is_are} {value}, {test} {limit_number}",
        "piece",
        "pieces",
    ),
    Figure.HEIGHT_FT: _Number(
        "height in feet",
        "it goes up {test} {limit} ft",
        "it goes up to {value} ft, {test} {limit}: a ladder may be needed",
    ),
    Figure.BALLOONS: _Number(
        "balloons",
        "it takes {test} {limit}",
        "it takes {value}, {test} {limit_number}",
        "balloon",
        "balloons",
    ),
    Figure.HELIUM_BALLOONS: _Number(
        "helium balloons",
        "{test} {limit} on helium",
        "{value} {float} on helium{beyond}: gas to get, and each one tied to a weight",
        "balloon",
        "balloons",
    ),
    Figure.FOILS: _Number(
        "foils",
        "it has {test} {limit}",
        "it has {value}, {test} {limit_number}",
        "foil balloon",
        "foil balloons",
    ),
    Figure.PERSON_HOURS: _Number(
        "person-hours",
        "it takes {test} {limit}",
        "it takes {value}, {test} {limit_number}",
        "person-hour",
        "person-hours",
    ),
    Figure.CAR_LOADS: _Number(
        "car loads",
        "it fills {test} {limit}",
        "it fills {value}, {test} {limit_number}",
        "car load",
        "car loads",
    ),
    Figure.ASSUMPTIONS: _Number(
        "things assumed",
        "{test} {limit} had to be assumed",
        "{value} had to be assumed, {test} {limit_number}",
        "thing",
        "things",
    ),
}
