"""May this ballpark go out unseen, or does the owner look first?

The price book's rules go by a closed catalogue of figures. What protects people is no rule: a date
in the past, a latex risk that the client names, what does not stand in the wind given always wait.
"""

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from service.estimating import Brief, Estimate, PriceBook, Setting, Support, to_pay
from service.estimating.book import Figure, Rule, Threshold
from service.leads import review_words, words

Found = Threshold | frozenset[Support] | None
"""A figure's value; None where it is not known."""

_MILE_M = 1609.344
_FOOT_M = 0.3048
_WEEKEND = (5, 6)

# Latex balloons set off allergies, and hospitals ask for foil in their place.
_LATEX_RISK = re.compile(
    r"\b(latex|allerg\w*|alérgic\w*|alergia\w*|hospitals?|clinics?|clínica|wards?|hospice|nicu|icu"
    r"|nursing home|care home|rehab\w*|infirmary|dialysis|surgery)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, kw_only=True)
class Case:
    """A request as the rules see it; `today` is the day at the shop on which they look."""

    brief: Brief
    estimate: Estimate
    book: PriceBook
    today: date

    @cached_property
    def days_of_notice(self) -> int | None:
        """Days until the event, below zero when it is over."""
        day = self.brief.event.date
        return None if day is None else (day - self.today).days

    def figure(self, figure: Figure) -> Found:
        """What the case has of it."""
        return _FIGURES[figure](self)

    def always(self) -> Iterator[str]:
        """What no rule can switch off."""
        if self.days_of_notice is not None and self.days_of_notice < 0:
            yield "The date is in the past."
        if names_latex_risk(self.brief):
            yield "A latex allergy, or a place of care where latex may not be allowed."
        yield from _blown_over(self.brief, self.estimate)

    def caught(self, rule: Rule) -> str | None:
        """Why the rule stops it, as a sentence; None where it does not."""
        found = [(each, self.figure(each.figure)) for each in rule.conditions]
        if not all(condition.holds(value) for condition, value in found):
            return None
        currency = self.book.shop.currency
        return review_words.joined(
            [review_words.found(condition, value, currency) for condition, value in found]
        )

    def reasons(self, rules: Sequence[Rule]) -> tuple[str, ...]:
        """Every sentence that says why the owner should look first."""
        by_rule = (self.caught(rule) for rule in rules)
        return (*self.always(), *(said for said in by_rule if said is not None))


def reasons(brief: Brief, estimate: Estimate, book: PriceBook, *, today: date) -> tuple[str, ...]:
    """Why the owner should look first, as sentences for the owner; none means: send it."""
    case = Case(brief=brief, estimate=estimate, book=book, today=today)
    return case.reasons(book.review)


def names_latex_risk(brief: Brief) -> bool:
    """Whether the client's words speak of an allergy or of a place that often bans latex."""
    return bool(_LATEX_RISK.search(f"{brief.site.place or ''} {brief.notes or ''}"))


def _blown_over(brief: Brief, estimate: Estimate) -> Iterator[str]:
    """What does not stand in the wind that the client gave; silent where none was given."""
    wind = estimate.wind
    if wind is None or (brief.site.gust_m_s is None and brief.site.beaufort is None):
        return
    for each in wind.pieces:
        if wind.gust_m_s <= each.comes_down_at_m_s:
            continue
        piece = brief.pieces[each.piece]
        lacking_kg = max(each.against_tipping_kg, each.against_sliding_kg) - each.ballast_kg
        on_each = " on each" if piece.count > 1 else ""
        short = f": about {words.pounds(lacking_kg)} of weight short{on_each}"
        verb = "do" if piece.count > 1 else "does"
        yield (
            f"In the wind given ({words.mph(wind.gust_m_s)} gusts) the {words.piece_name(piece)}"
            f" {verb} not stand{short if lacking_kg > 0 else ''}."
        )


def _margin(case: Case) -> Decimal | None:
    price = case.estimate.price
    kept = price.likely - (price.tax if price.tax_included else Decimal(0))
    return (kept - case.estimate.cost.likely) / kept * 100 if kept else None


def _over_budget(case: Case) -> bool | None:
    budget = case.brief.budget
    most = None if budget is None else budget.max
    return None if most is None else to_pay(case.estimate.price) > most


def _days(case: Case) -> Decimal | None:
    days = case.days_of_notice
    # A past date waits in any case, and "-3 days away" says nothing.
    return None if days is None or days < 0 else Decimal(days)


def _weekend(case: Case) -> bool | None:
    day = case.brief.event.date
    return None if day is None else day.weekday() in _WEEKEND


def _holiday(case: Case) -> bool | None:
    day = case.brief.event.date
    return None if day is None else case.book.policy.holidays.get(day) is not None


def _outdoors(case: Case) -> bool | None:
    setting = case.brief.site.setting
    return None if setting is None else setting is Setting.OUTDOOR


def _miles(case: Case) -> Decimal | None:
    metres = case.estimate.travel.distance_m
    return None if metres is None else Decimal(metres / _MILE_M)


def _guests(case: Case) -> Decimal | None:
    guests = case.brief.event.guests
    return None if guests is None else Decimal(guests)


def _height(case: Case) -> Decimal:
    return Decimal(max(piece.path.top_m for piece in case.brief.pieces) / _FOOT_M)


_FIGURES: Mapping[Figure, Callable[[Case], Found]] = {
    Figure.LIKELY_PRICE: lambda case: case.estimate.price.likely,
    Figure.MARGIN_PERCENT: _margin,
    Figure.OVER_BUDGET: _over_budget,
    Figure.DAYS_OF_NOTICE: _days,
    Figure.WEEKEND: _weekend,
    Figure.HOLIDAY: _holiday,
    Figure.OUTDOORS: _outdoors,
    Figure.MILES: _miles,
    Figure.OUT_OF_AREA: lambda case: not case.estimate.travel.in_area,
    Figure.GUESTS: _guests,
    Figure.PIECES: lambda case: Decimal(sum(piece.count for piece in case.brief.pieces)),
    Figure.SUPPORT: lambda case: frozenset(piece.support for piece in case.brief.pieces),
    Figure.HEIGHT_FT: _height,
    Figure.BALLOONS: lambda case: Decimal(case.estimate.balloons_total),
    Figure.HELIUM_BALLOONS: lambda case: Decimal(sum(each.count for each in case.brief.floating)),
    Figure.FOILS: lambda case: Decimal(len(case.brief.foils)),
    Figure.PERSON_HOURS: lambda case: Decimal(math.fsum(case.estimate.hours.values())),
    Figure.CAR_LOADS: lambda case: Decimal(case.estimate.load.car_loads),
    Figure.HIRE_NEEDED: lambda case: any(each.code == "hire" for each in case.estimate.fittings),
    Figure.SIZE_UNSURE: lambda case: any(piece.measures_assumed for piece in case.brief.pieces),
    Figure.ASSUMPTIONS: lambda case: Decimal(len(case.estimate.assumptions)),
}
