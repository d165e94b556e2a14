"""The quote page: what it costs, what is in it, what it rests on, and the next step."""

from dataclasses import dataclass

from fastapi import APIRouter, Response

from service.estimating import WIND_CAUTION, BalloonCount, Estimate, Piece, PieceEstimate, PriceBook
from service.leads import addresses, cancelling, handling, merging, price_lines
from service.leads.assumed import assumed
from service.leads.lead import Hold, Lead, LeadState, NotFound, Quote, QuoteKind
from service.leads.ports import UnitOfWork
from service.leads.price_books import book_of
from service.leads.words import ENGLISH, Words
from service.pages.alternatives import also_possible
from service.pages.newer import Newer, newer_than
from service.pages.visit import Visit, Visiting, path_of

router = APIRouter()


@dataclass(frozen=True, kw_only=True, slots=True)
class ColourRow:
    """One colour of a piece: how many balloons of each of its sizes; `hex` where we know it."""

    colour: str
    hex: str | None
    counts: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceView:
    """A piece in words, with its balloons by colour and size."""

    text: str
    garland: str
    sizes: tuple[str, ...]
    rows: tuple[ColourRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Around:
    """What stands around a quote: where its request is by now, and what the client can do.

    `replaces` says that the link first showed another quote, `canceled` that its booking was called
    off; `back` is the owner's way back to the desk, where nothing can be done that a client can.
    """

    state: LeadState
    hold: Hold | None = None
    booking_path: str | None = None
    newer: Newer | None = None
    replaces: bool = False
    canceled: bool = False
    back: str | None = None


@router.get("/quotes/{token}")
def quote_page(token: str, visit: Visiting) -> Response:
    """The newest quote of the link's lead. Opening it changes nothing."""
    with visit.ports.read() as work:
        opened = handling.lead_of_link(work, visit.ports, token, purpose=handling.QUOTE_LINK)
        lead = merging.kept_with_price(work, opened)
        quote = work.quotes.latest(lead.id, sent=True)
        if quote is None:
            raise NotFound("This lead has no quote yet.")
        around = Around(
            state=lead.state,
            hold=work.holds.of_lead(lead.id),
            booking_path=path_of(addresses.of_lead(work, visit.ports, lead.id)[1]),
            newer=newer_than(work, visit.ports, lead),
            replaces=lead.id != opened.id or _opened_by_older_link(work, visit, lead, token),
            canceled=cancelling.cancelled(work, lead.id) is not None,
        )
    return show_quote(visit.speaking(opened.language), quote, around)


def show_quote(visit: Visit, quote: Quote, around: Around) -> Response:
    """The quote as its client sees it."""
    open_ = around.state in (LeadState.QUOTED, LeadState.HELD) and around.newer is None
    words, book, hold = visit.words, book_of(visit.ports.price_books, quote), around.hold
    starts = hold.window.starts_at.astimezone(visit.zone) if hold else None
    return visit.show(
        "quote.html",
        around=around,
        brief=quote.brief,
        quote=quote,
        day=starts.date() if starts else quote.brief.event.date,
        firm=quote.kind is QuoteKind.FIRM,
        sent=words.day((quote.sent_at or quote.created_at).astimezone(visit.zone).date()),
        pieces=piece_views(quote.brief.pieces, quote.estimate, book, words),
        lines=price_lines.told(quote, visit.shop.owner, words),
        tax=words.tax(quote.estimate.price, quote.likely),
        also=also_possible(quote, visit.book, words) if open_ else None,
        open_points=assumed(words, quote.brief, quote.estimate, book),
        cautions=_cautions(quote.estimate, words),
        expires=words.day(quote.expires_at.astimezone(visit.zone).date()),
        hold_lasts=words.lasting(book.calendar.hold),
        hold=starts and words.moment(starts),
        open=open_ and not hold,
    )


def piece_views(
    pieces: tuple[Piece, ...], estimate: Estimate, book: PriceBook, words: Words = ENGLISH
) -> tuple[PieceView, ...]:
    """Each piece of a brief with what was counted for it."""
    return tuple(
        _piece_view(piece, counted, book, words)
        for piece, counted in zip(pieces, estimate.pieces, strict=True)
    )


def _piece_view(piece: Piece, counted: PieceEstimate, book: PriceBook, words: Words) -> PieceView:
    sizes = sorted({balloon.size_class for balloon in counted.balloons}, reverse=True)
    colours = tuple(dict.fromkeys(balloon.colour for balloon in counted.balloons))
    return PieceView(
        text=words.piece(piece),
        garland=words.feet(counted.garland_length_m),
        sizes=tuple(words.balloon_size(size) for size in sizes),
        rows=tuple(_row(colour, sizes, counted.balloons, book) for colour in colours),
    )


def _row(
    colour: str, sizes: list[int], balloons: tuple[BalloonCount, ...], book: PriceBook
) -> ColourRow:
    known = book.colour(colour)
    counts = tuple(
        sum(b.count for b in balloons if b.colour == colour and b.size_class == size)
        for size in sizes
    )
    return ColourRow(colour=colour, hex=known.hex if known else None, counts=counts)


def _cautions(estimate: Estimate, words: Words) -> tuple[str, ...]:
    texts = [words.text(caution.text) for caution in estimate.cautions]
    if estimate.wind is not None:
        # What the shop lacks for it is between the shop and its desk.
        down = words.say(
            "With gusts from %(speed)s on it is not put up, or is taken down.",
            speed=words.mph(estimate.wind.act_at_m_s),
        )
        texts.append(f"{words.text(WIND_CAUTION)} {down}")
    return tuple(texts)


def _opened_by_older_link(work: UnitOfWork, visit: Visit, lead: Lead, token: str) -> bool:
    """Whether a newer quote has been sent since the one that this link came with."""
    opened = visit.ports.signer.read(token, purpose=handling.QUOTE_LINK)
    return opened != work.links.of(lead.id, handling.QUOTE_LINK)
