"""What a client gets, piece by piece, with its balloons by colour and size."""

from dataclasses import dataclass

from service.estimating import BalloonCount, Brief, Estimate, Piece, PieceEstimate, PriceBook
from service.leads.asked_for import in_order
from service.leads.words import ENGLISH, Words
from service.workshop.scene.hues import UNKNOWN, hue


@dataclass(frozen=True, kw_only=True, slots=True)
class ColourRow:
    """One colour: how many balloons of each size; `hex` is its shade where that is known."""

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


def piece_views(
    brief: Brief, estimate: Estimate, book: PriceBook, words: Words = ENGLISH
) -> tuple[PieceView, ...]:
    """Each piece of a brief with what was counted for it."""
    return tuple(
        _piece_view(brief, piece, counted, book, words)
        for piece, counted in zip(brief.pieces, estimate.pieces, strict=True)
    )


def _piece_view(
    brief: Brief, piece: Piece, counted: PieceEstimate, book: PriceBook, words: Words
) -> PieceView:
    sizes = sorted({balloon.size_class for balloon in counted.balloons}, reverse=True)
    colours = in_order(brief, (balloon.colour for balloon in counted.balloons))
    return PieceView(
        text=words.piece(piece),
        garland=words.feet(counted.garland_length_m),
        sizes=tuple(words.balloon_size(size) for size in sizes),
        rows=tuple(_row(colour, sizes, counted.balloons, book) for colour in colours),
    )


def _row(
    colour: str, sizes: list[int], balloons: tuple[BalloonCount, ...], book: PriceBook
) -> ColourRow:
    counts = tuple(
        sum(b.count for b in balloons if b.colour == colour and b.size_class == size)
        for size in sizes
    )
    return ColourRow(colour=colour, hex=shade_of(colour, book), counts=counts)


def shade_of(colour: str, book: PriceBook) -> str | None:
    """How a colour is drawn; None where nobody can tell from its name."""
    drawn = hue(colour, book)
    return None if drawn == UNKNOWN else drawn
