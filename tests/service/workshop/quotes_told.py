"""Quotes in words, over real estimates and the shipped catalogues."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any

from service.estimating import Brief, Estimate, Setting, Site, estimate
from service.leads.lead import Client, Hold, LeadState, Quote, QuoteKind, Stay, Window
from service.storage.price_book import PriceBookFile
from service.wording import load
from service.workshop.quote_document import QuoteDocument, Standing, quote_document
from tests.service.building import PRICE_BOOK, a_brief

BOOK = PriceBookFile(PRICE_BOOK).current()
WORDING = load(None)
NOON = datetime(2027, 1, 10, 17, tzinfo=UTC)
LINK = "https://garlands.example/quotes/" + "aB3-_" * 16
KNOWN = Site(setting=Setting.INDOOR, place="boathouse hall", latitude=42.37, longitude=-71.18)
ANNIVERSARY = a_brief(site=KNOWN)
QUOTED = Standing(state=LeadState.QUOTED, addressee="Nora Finch", link=LINK)


def a_quote(brief: Brief = ANNIVERSARY, **changes: Any) -> Quote:
    """A ballpark that was sent."""
    answer = _estimated(brief)
    quote = Quote(
        id="quote",
        lead_id="lead",
        number="G1001-1",
        kind=QuoteKind.BALLPARK,
        brief=brief,
        estimate=answer,
        low=answer.price.low,
        likely=answer.price.likely,
        high=answer.price.high,
        currency="USD",
        deposit=answer.price.deposit,
        created_at=NOON,
        sent_at=NOON,
        expires_at=NOON + timedelta(days=14),
    )
    return replace(quote, **changes)


def a_hold(**changes: Any) -> Hold:
    """A time on the morning of June 6: there from nine to eleven, taken down at eight."""
    morning = datetime(2027, 6, 6, 13, tzinfo=UTC)
    evening = morning + timedelta(hours=11)
    hold = Hold(
        id="hold",
        lead_id="lead",
        quote_id="quote",
        window=Window(starts_at=morning, ends_at=morning + timedelta(hours=2)),
        stay=Stay(
            leaves_at=morning - timedelta(hours=1),
            free_at=morning + timedelta(hours=2),
            strikes_at=evening,
            struck_at=evening + timedelta(hours=1),
            returns_at=evening + timedelta(hours=2),
        ),
        expires_at=NOON + timedelta(days=2),
        client=Client(),
        made_at=NOON,
        changed_at=NOON,
    )
    return replace(hold, **changes)


def told(quote: Quote, standing: Standing = QUOTED, language: str = "en") -> QuoteDocument:
    """What the quote says."""
    words = WORDING.in_language(language)
    return quote_document(quote, standing, words, book=BOOK, today=BOOK)


@cache
def _estimated(brief: Brief) -> Estimate:
    return estimate(brief, BOOK, today=date(2027, 1, 10))
