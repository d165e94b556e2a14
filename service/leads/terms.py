"""The terms of a booking: the shop's own, with what its rules say of paying and changing."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import datetime
from decimal import Decimal

from service.estimating import PriceBook
from service.estimating.book import BookingRules
from service.leads.agreements import Acceptance, Clauses, Terms
from service.leads.lead import Lead
from service.leads.ports import Ports, UnitOfWork
from service.leads.speech import msg
from service.leads.words import Words

_DIGEST_LENGTH = 16

_SHARES: Mapping[Decimal, str] = {
    Decimal(1): msg("all of it"),
    Decimal("0.5"): msg("half"),
    Decimal("0.25"): msg("a quarter"),
}


def current(ports: Ports) -> Terms:
    """The terms as the price book has them now."""
    return by_book(ports, ports.price_books.current())


def by_book(ports: Ports, book: PriceBook) -> Terms:
    """The terms as a version of the price book has them."""
    by_language = {
        language: _clauses(book, words) for language, words in ports.wording.by_language.items()
    }
    if not any(clauses.terms or clauses.weather for clauses in by_language.values()):
        return Terms(version="", by_language={})
    return Terms(version=_digest(by_language), by_language=by_language)


def accept(work: UnitOfWork, ports: Ports, lead: Lead, *, language: str, now: datetime) -> None:
    """The client agrees to the terms as they are; once for each version of them."""
    terms = current(ports)
    if not terms.version:
        return
    before = work.agreements.accepted(lead.id)
    if before is not None and before.version == terms.version:
        return
    work.agreements.keep(terms, now)
    work.agreements.accept(lead.id, Acceptance(version=terms.version, language=language, at=now))


def accepted(work: UnitOfWork, lead_id: str) -> Acceptance | None:
    """What the client of a lead agreed to last."""
    return work.agreements.accepted(lead_id)


def pay_to(book: PriceBook, language: str) -> str:
    """Where a deposit can be sent; empty where the owner has not said."""
    return _said(book.booking.pay_to, language)


def weather(book: PriceBook, language: str) -> str:
    """The clause about the weather; empty without one."""
    return _said(book.booking.weather, language)


def _clauses(book: PriceBook, words: Words) -> Clauses:
    own = _said(book.booking.terms, words.language)
    if not own:
        return Clauses(weather=weather(book, words.language))
    figures = "\n\n".join(_figures(book, words))
    return Clauses(terms=f"{figures}\n\n{own}", weather=weather(book, words.language))


def _figures(book: PriceBook, words: Words) -> Iterator[str]:
    rules = book.booking
    share = words.percent(float(book.policy.deposit_share))
    yield (
        words.several(
            "A deposit of %(share)s of the price books your date; the rest is due a day before, "
            "or with the deposit if that is later.",
            "A deposit of %(share)s of the price books your date; the rest is due %(count)s days "
            "before, or with the deposit if that is later.",
            rules.balance_days_before,
            share=share,
        )
        if rules.balance_days_before
        else words.say(
            "A deposit of %(share)s of the price books your date; the rest is due on the day.",
            share=share,
        )
    )
    if rules.cancelling:
        yield " ".join(_cancelling(rules, words))
    if rules.moving_fee:
        yield words.several(
            "Another date is free until a day before your event, if we are free then; later it "
            "costs %(fee)s.",
            "Another date is free until %(count)s days before your event, if we are free then; "
            "later it costs %(fee)s.",
            rules.moving_free_days,
            fee=words.money(rules.moving_fee, book.shop.currency),
        )


def _cancelling(rules: BookingRules, words: Words) -> Iterator[str]:
    yield words.say("If you have to cancel, this much of your deposit comes back:")
    steps = [
        words.several(
            "%(share)s until a day before",
            "%(share)s until %(count)s days before",
            step.days_before,
            share=_share(step.share, words),
        )
        for step in rules.cancelling
    ]
    yield words.say("%(steps)s your event; after that, nothing.", steps=words.listed(steps))


def _share(share: Decimal, words: Words) -> str:
    named = _SHARES.get(share)
    return words.say(named) if named else words.percent(float(share))


def _said(texts: Mapping[str, str], language: str) -> str:
    return texts.get(language) or texts.get("en") or next(iter(texts.values()), "")


def _digest(by_language: Mapping[str, Clauses]) -> str:
    texts = {language: asdict(clauses) for language, clauses in sorted(by_language.items())}
    return hashlib.sha256(json.dumps(texts).encode()).hexdigest()[:_DIGEST_LENGTH]
