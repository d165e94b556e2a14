"""A quote put into words, part by part."""

from service.estimating import PriceBook, Setting
from service.leads.lead import Quote
from service.leads.pictures import stand_in_note
from service.leads.speech import msg
from service.leads.words import Words
from service.workshop.quote_document import courtesies, goods, money, opening
from service.workshop.quote_document.case import Case, Standing
from service.workshop.quote_document.pieces import piece_views
from service.workshop.quote_document.totals import totals
from service.workshop.quote_document.values import Conditions, QuoteDocument, Titles

_BOOKED, _TO_BOOK = msg("Your booking"), msg("To book it")
_PAGE_OF = msg("Page %(page)s of %(pages)s")


def quote_document(
    quote: Quote, standing: Standing, words: Words, *, book: PriceBook, today: PriceBook
) -> QuoteDocument:
    """What a quote says by the price `book` it was made with; by `today` the shop is reached."""
    case = Case(quote=quote, standing=standing, words=words, book=book, today=today)
    brief = quote.brief
    return QuoteDocument(
        number=quote.number,
        shop=today.shop.name,
        owner=case.owner,
        language=words.language,
        firm=case.firm,
        titles=_titles(case),
        heading=opening.heading(case),
        addressee=opening.addressee(case),
        thanks=courtesies.thanks(case),
        closing=courtesies.closing(case),
        sent=words.day(case.local(quote.sent_at or quote.created_at).date()),
        notice=opening.notice(case),
        kept=opening.kept(case),
        title=opening.title(case),
        price=opening.price(case),
        about=tuple(opening.about(case)),
        note=quote.note if case.firm else None,
        facts=tuple(opening.facts(case)),
        pieces=piece_views(brief, quote.estimate, book, words),
        totals=totals(case),
        stand_in=stand_in_note(quote, case.owner, words),
        others=tuple(goods.others(case)),
        included=" ".join(goods.included(case)),
        costs=money.costs(case),
        open_points=goods.open_points(case),
        cautions=tuple(goods.cautions(case)),
        terms=tuple(money.terms(case)),
        conditions=_conditions(case),
        good_until=money.good_until(case),
        booking=tuple(money.booking(case)),
        paying=money.paying(case),
        link=standing.link if case.open or case.booked else None,
        contact=tuple(map(words.contact, today.shop.contact)),
        reach=words.reached_by(today.shop.contact),
    )


def _titles(case: Case) -> Titles:
    words = case.words
    return Titles(
        quote=words.say("Quote %(number)s", number=case.quote.number),
        day=words.say("The day"),
        goods=words.say("What you get"),
        costs=words.say("What the money is for"),
        booking=words.say(_BOOKED if case.booked else _TO_BOOK),
        cautions=words.say("Please read before the day"),
        terms=words.say("The terms in short"),
        conditions=words.say("What we agree on"),
        outdoors=words.say("Outdoors"),
        page_of=words.text(_PAGE_OF),
    )


def _conditions(case: Case) -> Conditions:
    clauses = case.standing.clauses
    outdoors = case.quote.brief.site.setting is Setting.OUTDOOR
    return Conditions(terms=clauses.terms, weather=clauses.weather if outdoors else "")
