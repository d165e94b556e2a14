"""Which paper a document is for."""

from enum import Enum

from service.estimating import PriceBook

# Where people buy Letter; all others print on A4.
_LETTER_COUNTRIES = frozenset(
    {"US", "CA", "MX", "CL", "CO", "CR", "DO", "GT", "NI", "PA", "PH", "PR", "SV", "VE"}
)


class PaperSize(Enum):
    """A size of paper, named as people ask for it."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def measures(self) -> tuple[float, float]:
        """Width and height in mm."""
        return (210.0, 297.0) if self is PaperSize.A4 else (215.9, 279.4)


def paper_size(book: PriceBook, asked: str | None = None) -> PaperSize:
    """The size that was asked for; else, or where that is none, what the shop's country uses."""
    sizes = {size.value: size for size in PaperSize}
    if asked and asked.lower() in sizes:
        return sizes[asked.lower()]
    country = book.shop.locale.replace("_", "-").split("-")[-1].upper()
    return PaperSize.LETTER if country in _LETTER_COUNTRIES else PaperSize.A4
