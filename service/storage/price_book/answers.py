"""The owner's own answers to what clients ask besides, with figures of the book filled in."""

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from string import Formatter
from typing import Annotated, Literal

from babel import Locale
from babel.dates import format_timedelta
from babel.lists import format_list
from babel.numbers import format_currency, format_percent
from babel.units import format_unit
from pydantic import AfterValidator, Field

from service.estimating import PriceBook
from service.leads import words
from service.leads.euphony import euphonic
from service.storage.price_book.fields import MILE

Language = Literal["en", "es"]
_LOCALES: Mapping[str, Locale] = {
    "en": Locale("en", "US"),
    "es": Locale("es", "US"),
}

Topic = Literal[
    "delivery",
    "lasting",
    "deposit",
    "payment",
    "cancelling",
    "notice",
    "keeping",
    "helium",
    "outdoors",
    "set_up",
    "take_down",
    "minimum",
    "latex",
    "insured",
]

_LONGEST = 1000


def _percent(share: Decimal, locale: Locale) -> str:
    return format_percent(share, "#,##0.###%", locale=locale)


def _days(number: float, locale: Locale) -> str:
    return format_unit(number, "duration-day", "long", locale=locale)


def _hours(number: float, locale: Locale) -> str:
    return format_unit(number, "duration-hour", "long", locale=locale)


def _money(amount: Decimal, book: PriceBook, locale: Locale) -> str:
    whole = amount == amount.to_integral_value()
    return format_currency(
        amount,
        book.shop.currency,
        "¤#,##0" if whole else None,
        locale=locale,
        currency_digits=not whole,
    )


def _least_hours(spans_s: list[float], locale: Locale) -> str:
    return _hours(round(min(spans_s) / 3600, 1), locale)


def _span(span: dt.timedelta, locale: Locale) -> str:
    return format_timedelta(span, granularity="minute", threshold=1.5, locale=locale)


def _contact(lines: Sequence[str], locale: Locale) -> str:
    """The numbers and email addresses among the lines; all of them where there is none."""
    direct = [_bare(line, address) for line in lines if (address := words.address(line))]
    return format_list(direct, style="or", locale=locale) if direct else "; ".join(lines)


def _bare(line: str, address: str) -> str:
    # A word in front, such as "phone", is in one language only.
    if address.startswith("mailto:"):
        return address.removeprefix("mailto:")
    return re.sub(r"^[^\d+(]+", "", line)


_FIGURES: Mapping[str, Callable[[PriceBook, Locale], str]] = {
    "shop": lambda book, _: book.shop.name,
    "owner": lambda book, _: book.shop.owner,
    "town": lambda book, _: book.shop.town,
    "contact": lambda book, locale: _contact(book.shop.contact, locale),
    "deposit": lambda book, locale: _percent(book.policy.deposit_share, locale),
    "minimum": lambda book, locale: _money(book.policy.minimum, book, locale),
    "radius": lambda book, locale: format_unit(
        round(book.travel.area_m / MILE), "length-mile", "long", locale=locale
    ),
    "hold": lambda book, locale: _hours(book.calendar.hold.total_seconds() / 3600, locale),
    "quote_valid": lambda book, locale: _days(book.calendar.quote_valid.days, locale),
    "notice": lambda book, locale: _days(book.calendar.notice / dt.timedelta(days=1), locale),
    "rush_days": lambda book, locale: _days(book.policy.rush_days, locale),
    "rush": lambda book, locale: _percent(book.policy.rush_share, locale),
    "weekend": lambda book, locale: _percent(book.policy.weekend_share, locale),
    "holiday": lambda book, locale: _percent(book.policy.holiday_share, locale),
    "keeps_hours": lambda book, locale: _least_hours(
        [size.keeps_indoors_s for size in book.sizes], locale
    ),
    "keeps_outdoors_hours": lambda book, locale: _least_hours(
        [size.keeps_outdoors_s for size in book.sizes], locale
    ),
    "ready_before": lambda book, locale: _span(book.labour.ready_before, locale),
}
"""What may stand in braces, and what it says."""

ABOUT_ANSWERS = (
    "Where one is missing, the chat passes the question on to you. These are filled in: "
    + " ".join(f"{{{name}}}" for name in _FIGURES)
)


def _can_be_filled_in(text: str) -> str:
    if not text.strip():
        raise ValueError("nothing is said here; write the answer or take the entry out")
    try:
        parts = list(Formatter().parse(text))
    except ValueError:
        raise ValueError("a brace is left open or closed alone; write {{ for a plain one") from None
    for _, name, form, conversion in parts:
        if name is not None and (name not in _FIGURES or form or conversion):
            allowed = ", ".join(f"{{{known}}}" for known in _FIGURES)
            written = name + (f"!{conversion}" if conversion else "") + (f":{form}" if form else "")
            raise ValueError(f"nothing is known as {{{written}}}; use any of {allowed}")
    return text


Answer = Annotated[str, Field(min_length=1, max_length=_LONGEST), AfterValidator(_can_be_filled_in)]
Answers = dict[Topic, Annotated[dict[Language, Answer], Field(min_length=1)]]


def filled_in(answers: Answers, book: PriceBook) -> Mapping[str, Mapping[str, str]]:
    """Every answer with the figures that it names, by topic and language."""
    figures = {
        language: {name: said(book, locale) for name, said in _FIGURES.items()}
        for language, locale in _LOCALES.items()
    }
    return {
        topic: {
            language: _joined(text.format_map(figures[language]), language)
            for language, text in by.items()
        }
        for topic, by in answers.items()
    }


def _joined(text: str, language: str) -> str:
    # What stands before a figure cannot know how the figure sounds: "y {owner}", "e Ida".
    return euphonic(text) if language == "es" else text
