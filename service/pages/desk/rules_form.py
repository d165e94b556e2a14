"""Review rules as a form: each condition a choice, and a number beside it where it takes one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating import BookError, Support
from service.estimating.book import MOST_RULES, Condition, Figure, Kind, Rule, Test, Threshold
from service.leads import review_words
from service.pages.posted import Posted, read_amount

_GROUPS: Sequence[tuple[str, Sequence[Figure]]] = (
    ("Money", (Figure.LIKELY_PRICE, Figure.MARGIN_PERCENT, Figure.OVER_BUDGET)),
    ("When", (Figure.DAYS_OF_NOTICE, Figure.WEEKEND, Figure.HOLIDAY)),
    ("Where", (Figure.OUTDOORS, Figure.MILES, Figure.OUT_OF_AREA)),
    (
        "How much",
        (
            Figure.PIECES,
            Figure.BALLOONS,
            Figure.HELIUM_BALLOONS,
            Figure.FOILS,
            Figure.HEIGHT_FT,
            Figure.PERSON_HOURS,
            Figure.CAR_LOADS,
            Figure.GUESTS,
            Figure.HIRE_NEEDED,
        ),
    ),
    ("How sure", (Figure.SIZE_UNSURE, Figure.ASSUMPTIONS)),
    ("Built on", (Figure.SUPPORT,)),
)

_NO_NUMBER = "Give a number, such as 5 or 1,500."
_HALF = "Choose what the rule goes by, or take the rule out."


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """A choice of the select; with `number` it wants one beside it."""

    value: str
    label: str
    number: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Typed:
    """One rule as it stands in the form: the choice and the number of each condition."""

    when: str = ""
    limit: str = ""
    also: str = ""
    also_limit: str = ""


def choices() -> list[tuple[str, list[Choice]]]:
    """Every condition there is, in groups."""
    return [(name, [c for each in figures for c in _of(each)]) for name, figures in _GROUPS]


def typed(rules: Sequence[Rule]) -> list[Typed]:
    """The rules as the form shows them."""
    return [
        Typed(
            when=_choice(rule.when),
            limit=_limit(rule.when),
            also=_choice(rule.also) if rule.also else "",
            also_limit=_limit(rule.also) if rule.also else "",
        )
        for rule in rules
    ]


def sent_rows(sent: Posted) -> list[Typed]:
    """The rows that came with a form."""
    number = sent.text("rows")
    many = min(int(number), MOST_RULES) if number.isascii() and number.isdigit() else 0
    return [
        Typed(
            when=sent.text(f"when-{place}"),
            limit=sent.text(f"limit-{place}"),
            also=sent.text(f"also-{place}"),
            also_limit=sent.text(f"alsolimit-{place}"),
        )
        for place in range(many)
    ]


def read(rows: Sequence[Typed]) -> tuple[tuple[Rule, ...], dict[str, str]]:
    """The rules of the rows, and what is wrong by the name of its field."""
    rules: list[Rule] = []
    faults: dict[str, str] = {}
    for place, row in enumerate(rows):
        try:
            rules.append(_rule(row, place))
        except _Fault as fault:
            faults[fault.field] = fault.text
    return tuple(rules), faults


class _Fault(Exception):
    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field, self.text = field, text


def _rule(row: Typed, place: int) -> Rule:
    if not row.when:
        raise _Fault(f"when-{place}", _HALF)
    when = _condition(row.when, row.limit, f"when-{place}", f"limit-{place}")
    if not row.also:
        if row.also_limit:
            raise _Fault(f"also-{place}", "Choose what else must hold, or leave its number empty.")
        return Rule(when=when)
    also = _condition(row.also, row.also_limit, f"also-{place}", f"alsolimit-{place}")
    try:
        return Rule(when=when, also=also)
    except BookError as error:
        raise _Fault(f"also-{place}", f"This {error.problems[0].detail}.") from None


def _condition(choice: str, limit: str, at: str, limit_at: str) -> Condition:
    figure, test, threshold = _parts(choice, at)
    if threshold is None:
        amount = read_amount(limit.removesuffix("%").strip())
        if amount is None:
            raise _Fault(limit_at, _NO_NUMBER)
        threshold = amount
    try:
        return Condition(figure=figure, test=test, threshold=threshold)
    except BookError as error:
        detail = error.problems[0].detail.removeprefix(figure).strip()
        raise _Fault(limit_at, f"{review_words.NAMES[figure].capitalize()}: {detail}.") from None


def _parts(choice: str, at: str) -> tuple[Figure, Test, Threshold | None]:
    try:
        name, test, *rest = choice.split(" ")
        figure = Figure(name)
        return figure, Test(test), _named(figure, rest[0]) if rest else None
    except ValueError:
        raise _Fault(at, _HALF) from None


def _named(figure: Figure, said: str) -> Threshold:
    if figure.kind is Kind.SUPPORT:
        return Support(said)
    return {"yes": True, "no": False}.get(said, False)


def _of(figure: Figure) -> Iterator[Choice]:
    thresholds: Sequence[Threshold] = ()
    if figure.kind is Kind.YES_NO:
        thresholds = (True, False)
    elif figure.kind is Kind.SUPPORT:
        thresholds = tuple(Support)
    for threshold in thresholds:
        condition = Condition(figure=figure, test=Test.IS, threshold=threshold)
        said = review_words.condition(condition, "")
        yield Choice(value=_choice(condition), label=said, number=False)
    for test, word in () if thresholds else ((Test.ABOVE, "over"), (Test.BELOW, "under")):
        label = f"{review_words.NAMES[figure]} {word} …"
        yield Choice(value=f"{figure} {test}", label=label, number=True)


def _choice(condition: Condition) -> str:
    limit = condition.threshold
    if isinstance(limit, Decimal):
        return f"{condition.figure} {condition.test}"
    said = limit if isinstance(limit, Support) else "yes" if limit else "no"
    return f"{condition.figure} {condition.test} {said}"


def _limit(condition: Condition) -> str:
    limit = condition.threshold
    if not isinstance(limit, Decimal):
        return ""
    return f"{limit:f}".rstrip("0").rstrip(".") if "." in f"{limit:f}" else f"{limit:f}"
