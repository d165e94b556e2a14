"""Review rules in words for the owner: what one says, and why it stopped a request."""

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_EVEN, Decimal

from service.estimating import Support
from service.estimating.book import Condition, Figure, Kind, Rule, Test, Threshold
from service.leads import words

ALWAYS = (
    "The date is in the past.",
    "A latex allergy, or a place of care, is named.",
    "Something would not stand in the wind that the client gave.",
    "No price could be worked out.",
)
"""What waits whatever the rules say."""

NAMES: Mapping[Figure, str] = {
    Figure.LIKELY_PRICE: "likely price",
    Figure.MARGIN_PERCENT: "margin, in percent of the price before tax",
    Figure.OVER_BUDGET: "over the client's budget",
    Figure.DAYS_OF_NOTICE: "days of notice",
    Figure.WEEKEND: "on a weekend",
    Figure.HOLIDAY: "on a public holiday",
    Figure.OUTDOORS: "outdoors",
    Figure.MILES: "miles to drive, one way",
    Figure.OUT_OF_AREA: "outside the usual area",
    Figure.GUESTS: "guests",
    Figure.PIECES: "pieces",
    Figure.SUPPORT: "what it is built on",
    Figure.HEIGHT_FT: "height in feet",
    Figure.BALLOONS: "balloons",
    Figure.HELIUM_BALLOONS: "helium balloons",
    Figure.FOILS: "foil balloons on the pieces",
    Figure.PERSON_HOURS: "person-hours, drive and strike included",
    Figure.CAR_LOADS: "car loads",
    Figure.HIRE_NEEDED: "something has to be hired",
    Figure.SIZE_UNSURE: "the size is a guess",
    Figure.ASSUMPTIONS: "things assumed",
}
"""Every figure by what it counts."""

# Where it is so, and where it is not.
_YES_NO: Mapping[Figure, tuple[str, str]] = {
    Figure.OVER_BUDGET: (
        "the price is over the client's budget",
        "the price is within the client's budget",
    ),
    Figure.WEEKEND: ("it is on a weekend", "it is not on a weekend"),
    Figure.HOLIDAY: ("it is on a public holiday", "it is not on a public holiday"),
    Figure.OUTDOORS: ("it is outdoors: wind, sun and footing want a look", "it is indoors"),
    Figure.OUT_OF_AREA: ("it is outside the usual area", "it is within the usual area"),
    Figure.HIRE_NEEDED: ("something has to be hired for it", "nothing has to be hired for it"),
    Figure.SIZE_UNSURE: (
        "the client is not sure of the size; a usual one was taken",
        "the client gave the size",
    ),
}

_COUNTED: Mapping[Figure, tuple[str, str, str]] = {
    Figure.GUESTS: ("it is for", "guest", "guests"),
    Figure.PIECES: ("it has", "piece", "pieces"),
    Figure.HEIGHT_FT: ("it goes up to", "foot", "feet"),
    Figure.BALLOONS: ("it takes", "balloon", "balloons"),
    Figure.FOILS: ("it has", "foil balloon", "foil balloons"),
    Figure.PERSON_HOURS: ("it takes", "person-hour", "person-hours"),
    Figure.CAR_LOADS: ("it fills", "car load", "car loads"),
}

_TENTH = Decimal("0.1")
_NEAR = {0: "it is today", 1: "it is tomorrow"}


def rule(value: Rule, currency: str) -> str:
    """ "The likely price is over $1,500, and it is on a weekend."."""
    return joined([condition(each, currency) for each in value.conditions])


def condition(value: Condition, currency: str) -> str:
    """ "the likely price is over $1,500", "it is outdoors"."""
    figure, limit = value.figure, value.threshold
    if not isinstance(limit, Decimal):
        return _plain(value).partition(":")[0].partition(";")[0]
    test = _test(value)
    if figure in _COUNTED:
        does, one, many = _COUNTED[figure]
        return f"{does} {test} {_counted(limit, one, many)}"
    match figure:
        case Figure.LIKELY_PRICE:
            return f"the likely price is {test} {words.money(limit, currency)}"
        case Figure.MARGIN_PERCENT:
            return f"the margin is {test} {_number(limit)}%"
        case Figure.DAYS_OF_NOTICE:
            return f"it is {test} {_counted(limit, 'day', 'days')} away"
        case Figure.MILES:
            return f"the drive is {test} {_counted(limit, 'mile', 'miles')}"
        case Figure.HELIUM_BALLOONS:
            some = limit == 0 and value.test is Test.ABOVE
            said = "any balloon" if some else f"{test} {_counted(limit, 'balloon', 'balloons')}"
            return f"{said} on helium"
        case _:
            return f"{test} {_counted(limit, 'thing', 'things')} had to be assumed"


def found(value: Condition, what: Threshold | frozenset[Support] | None, currency: str) -> str:
    """ "the likely price of $1,640 is over $1,500": a condition that holds, with its figure."""
    figure, limit = value.figure, value.threshold
    if not isinstance(what, Decimal) or not isinstance(limit, Decimal):
        return _plain(value)
    against = f"{_test(value)} {_number(limit)}"
    if figure in _COUNTED:
        does, one, many = _COUNTED[figure]
        return f"{does} {_counted(_shown(what, limit), one, many)}, {against}"
    match figure:
        case Figure.LIKELY_PRICE:
            money = words.money(limit, currency)
            return f"the likely price of {words.money(what, currency)} is {_test(value)} {money}"
        case Figure.MARGIN_PERCENT:
            return f"the margin of {_number(_shown(what, limit))}% is {against}%"
        case Figure.DAYS_OF_NOTICE:
            return _away(int(what), value)
        case Figure.MILES:
            much = _counted(_shown(what, limit), "mile", "miles")
            far = "it is a long drive" if value.test is Test.ABOVE else "it is a short drive"
            return f"{far}: {much}, {against}"
        case Figure.HELIUM_BALLOONS:
            return _on_helium(what, limit, against)
        case _:
            return f"{_counted(what, 'thing', 'things')} had to be assumed, {against}"


def joined(said: Sequence[str]) -> str:
    """Conditions as one sentence."""
    sentence = ", and ".join(said)
    return f"{sentence[0].upper()}{sentence[1:]}."


def _plain(value: Condition) -> str:
    if value.figure.kind is Kind.SUPPORT and isinstance(value.threshold, Support):
        name = words.ENGLISH.support(value.threshold)
        return f"it has a {name}"
    yes, no = _YES_NO[value.figure]
    return yes if value.threshold else no


def _away(days: int, value: Condition) -> str:
    if days in _NEAR:
        return _NEAR[days]
    if value.test is Test.BELOW:
        return f"it is only {days} days away"
    return f"it is {days} days away, {_test(value)} {value.threshold:f}"


def _on_helium(count: Decimal, limit: Decimal, against: str) -> str:
    floats = "a balloon floats" if count == 1 else f"{_number(count)} balloons float"
    beyond = f", {against}" if limit else ""
    return f"{floats} on helium{beyond}: gas to get, and each one tied to a weight"


def _test(value: Condition) -> str:
    return "over" if value.test is Test.ABOVE else "under"


def _counted(value: Decimal, one: str, many: str) -> str:
    return f"{_number(value)} {one if value == 1 else many}"


def _shown(value: Decimal, limit: Decimal) -> Decimal:
    """Rounded for people, but never so far that it meets the threshold that it is beyond."""
    for step in (Decimal(1), _TENTH, Decimal("0.01")):
        rounded = value.quantize(step, ROUND_HALF_EVEN)
        if rounded != limit and (rounded > limit) == (value > limit):
            return rounded
    return value


def _number(value: Decimal) -> str:
    said = f"{value:,f}"
    return said.rstrip("0").rstrip(".") if "." in said else said
