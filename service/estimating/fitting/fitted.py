"""Everything besides latex, piece by piece and for the whole job."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating.answer import Assumption, Fitting
from service.estimating.book import Fittings
from service.estimating.brief import Brief
from service.estimating.fitting.accents import accents
from service.estimating.fitting.carrying import carrier
from service.estimating.fitting.consumables import consumables
from service.estimating.fitting.covers import Covering, coverings, covers, uncovered
from service.estimating.fitting.fixings import line_and_fixings
from service.estimating.fitting.foils import foils, sort_foils
from service.estimating.fitting.garland import Garland
from service.estimating.fitting.hardware import Use, lacking, stands, uses


@dataclass(frozen=True, kw_only=True, slots=True)
class Fitted:
    """What the pieces stand on, all that is fitted to them, and what the shop does not have."""

    uses: tuple[Use, ...]
    fittings: tuple[Fitting, ...]
    notes: tuple[Assumption, ...]


def fit(brief: Brief, garlands: Sequence[Garland], book: Fittings) -> Fitted:
    """The fittings of `brief`; `garlands` are its pieces', one of each kind, in their order."""
    found = uses(brief.pieces, book.hardware)
    covered = coverings(brief.pieces, found, book)
    return Fitted(
        uses=found,
        fittings=tuple(_all(brief, garlands, found, covered, book)),
        notes=(*lacking(found), *uncovered(covered)),
    )


def _all(
    brief: Brief,
    garlands: Sequence[Garland],
    found: Sequence[Use],
    covered: Sequence[Covering],
    book: Fittings,
) -> Iterator[Fitting]:
    yield from stands(found, book)
    yield from covers(covered, book)
    found_foils = sort_foils(brief.foils, book.foils.shape_names)
    carrying = carrier(found_foils, brief.pieces, garlands) if brief.foils else None
    for index, (piece, garland) in enumerate(zip(brief.pieces, garlands, strict=True)):
        yield from line_and_fixings(index, piece, garland, book.line)
        # Of several alike only the first carries the foils: their signs all go to one place.
        under_foils = index == carrying and piece.count == 1
        yield from accents(index, piece, garland, book.accents, under_foils=under_foils)
    if carrying is not None:
        piece, garland = brief.pieces[carrying], garlands[carrying]
        yield from foils(found_foils, carrying, piece, garland, book.foils)
    each = tuple(zip(brief.pieces, garlands, strict=True))
    yield from consumables(
        book.consumables,
        pieces=sum(piece.count for piece, _ in each),
        balloons=sum(piece.count * garland.balloons for piece, garland in each),
    )
