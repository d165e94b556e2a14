"""What fastening something costs: a part of its cost, and nothing that its shop asks for."""

from decimal import Decimal

from service.estimating.answer import Fitting
from service.estimating.book import Fittings
from service.estimating.extras import AccentKind

_NOTHING = Decimal(0)


def mount_price(fitting: Fitting, book: Fittings) -> Decimal:
    """What of `unit_cost` is for the bands, dots or wire that hold it; `book` is the estimate's."""
    match fitting.code:
        case "foils":
            kinds = {"digit": book.foils.digit, "shape": book.foils.shape}
            return next(
                (kind.mount_price for name, kind in kinds.items() if name in fitting.label),
                book.foils.letter.mount_price,
            )
        case "accents":
            return book.accents[AccentKind(fitting.label.partition(":")[0])].mount_price
        case "covers" if all(fitting.label != cover.label for cover in book.covers):
            return book.accents[AccentKind.FABRIC_COVER].mount_price
        case _:
            return _NOTHING
