"""The quote page: what it costs, what is in it, what it rests on, and the next step."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from fastapi import APIRouter, Response

from service.estimating import WIND_CAUTION, BalloonCount, Estimate, Piece, PieceEstimate, PriceBook
from service.leads import handling
from service.leads.assumed import assumed
from service.leads.lead import Lead, LeadState, NotFound, Quote, QuoteKind
from service.leads.ports import UnitOfWork
from service.leads.speech import msg
from service.leads.words import ENGLISH, Words
from service.pages.alternatives import also_possible
from service.pages.newer import newer_than
from service.pages.visit import Visit, Visiting, path_of

router = APIRouter()

_AT_THE_VENUE = frozenset({"load", "drive", "install", "finish", "strike"})
_GOODS = frozenset(
    {
        *("balloons", "leftovers", "line", "fixings", "foils", "covers", "accents"),
        *("consumables", "helium", "wear", "hire", "weights"),
    }
)
_ON_THE_ROAD = frozenset({"vehicle", "delivery"})
_WHOLE = Decimal(1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """A part of the price that a client can make sense of."""

    label: str
    amount: Decimal


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


@router.get("/quotes/{token}")
def quote_page(token: str, visit: Visiting) -> Response:
    """The newest quote of the link's lead. Opening it changes nothing."""
    with visit.ports.read() as work:
        lead = handling.lead_of_link(work, visit.ports, token, purpose=handling.QUOTE_LINK)
        quote = work.quotes.latest(lead.id, sent=True)
        if quote is None:
            raise NotFound("This lead has no quote yet.")
        visit = visit.speaking(lead.language)
        hold = work.holds.of_lead(lead.id)
        booking_path = path_of(handling.links(work, visit.ports, lead.id)[1])
        newer = newer_than(work, visit.ports, lead)
        replaces = _opened_by_older_link(work, visit, lead, token)
    open_ = lead.state in (LeadState.QUOTED, LeadState.HELD)
    words = visit.words
    return visit.show(
        "quote.html",
        lead=lead,
        quote=quote,
        firm=quote.kind is QuoteKind.FIRM,
        replaces=replaces,
        pieces=piece_views(lead.brief.pieces, quote.estimate, visit.book, words),
        newer=newer,
        shares=shares(quote, visit.shop.owner, words),
        tax=words.tax(quote.estimate.price, quote.likely),
        also=also_possible(lead, quote, visit.book, words) if open_ and not newer else None,
        open_points=assumed(words, lead.brief, quote.estimate, visit.book),
        cautions=_cautions(quote.estimate, words),
        expires=words.day(quote.expires_at.astimezone(visit.zone).date()),
        hold_lasts=words.lasting(visit.book.calendar.hold),
        hold=hold and words.moment(hold.window.starts_at.astimezone(visit.zone)),
        booking_path=booking_path,
        open=open_,
    )


def piece_views(
    pieces: tuple[Piece, ...], estimate: Estimate, book: PriceBook, words: Words = ENGLISH
) -> tuple[PieceView, ...]:
    """Each piece of a brief with what was counted for it."""
    return tuple(
        _piece_view(piece, counted, book, words)
        for piece, counted in zip(pieces, estimate.pieces, strict=True)
    )


def shares(quote: Quote, owner: str, words: Words) -> tuple[Share, ...]:
    """The likely price split by what it pays for; the parts add up to it exactly.

    Overhead, margin and surcharges lie on every part in proportion to its cost. What the owner
    set differently is a part of its own: nobody knows what it pays for.
    """
    likely = quote.estimate.price.likely
    parts = _split(quote.estimate, likely, words)
    if not parts or quote.likely == likely:
        return parts
    label = words.say("Adjusted by %(owner)s", owner=owner)
    return *parts, Share(label=label, amount=quote.likely - likely)


def _split(estimate: Estimate, likely: Decimal, words: Words) -> tuple[Share, ...]:
    costs = _costs(estimate)
    whole = sum(costs.values(), Decimal(0))
    if not whole:
        return ()
    exact = {label: likely * cost / whole for label, cost in costs.items() if cost}
    rounded = {label: part.quantize(_WHOLE, ROUND_HALF_UP) for label, part in exact.items()}
    # What rounding leaves over goes where it shows least.
    largest = max(rounded, key=lambda label: rounded[label])
    rounded[largest] += likely - sum(rounded.values())
    return tuple(Share(label=words.say(label), amount=amount) for label, amount in rounded.items())


def _costs(estimate: Estimate) -> Mapping[str, Decimal]:
    def cost_of(codes: frozenset[str]) -> Decimal:
        found = (line.amount for line in estimate.cost_lines if line.code in codes)
        return sum(found, Decimal(0))

    hours = sum(estimate.hours.values())
    away = sum(spent for task, spent in estimate.hours.items() if task in _AT_THE_VENUE)
    labour = cost_of(frozenset({"labour"}))
    at_the_venue = labour * Decimal(away / hours if hours else 0.0)
    return {
        msg("Balloons, frames and all that goes with them"): cost_of(_GOODS),
        msg("Building it beforehand"): labour - at_the_venue,
        msg("Bringing it, setting it up and clearing away"): at_the_venue + cost_of(_ON_THE_ROAD),
    }


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
