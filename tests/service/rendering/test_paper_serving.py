"""How documents are named, and on which paper they come."""

from dataclasses import replace

import pytest

from service.rendering.paper import PaperSize, PdfFile, disposition, paper_size
from service.storage.price_book import PriceBookFile
from tests.service.building import PRICE_BOOK

BOOK = PriceBookFile(PRICE_BOOK).current()


@pytest.mark.parametrize(
    ("locale", "asked", "size"),
    [
        ("en-US", None, PaperSize.LETTER),
        ("es_MX", None, PaperSize.LETTER),
        ("en-GB", None, PaperSize.A4),
        ("de", None, PaperSize.A4),
        ("en-US", "a4", PaperSize.A4),
        ("en-GB", "Letter", PaperSize.LETTER),
        ("en-US", "papyrus", PaperSize.LETTER),
    ],
)
def test_paper_is_that_of_the_shops_country_or_what_is_asked_for(
    locale: str, asked: str | None, size: PaperSize
) -> None:
    assert paper_size(replace(BOOK, shop=replace(BOOK.shop, locale=locale)), asked) is size


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "G1001-1 Harbor Lane Balloons.pdf",
            'inline; filename="G1001-1 Harbor Lane Balloons.pdf"',
        ),
        (
            "G1 Globos Peña.pdf",
            "inline; filename=\"G1 Globos Pea.pdf\"; filename*=UTF-8''G1%20Globos%20Pe%C3%B1a.pdf",
        ),
        ('G1 a"b/c\r\nd\\e.pdf', 'inline; filename="G1 a b c d e.pdf"'),
    ],
)
def test_a_file_is_shown_and_saved_by_its_name(name: str, said: str) -> None:
    assert disposition(name) == said


def test_no_name_is_too_long_and_nobody_keeps_it_on_the_way() -> None:
    headers = PdfFile(name="x" * 500 + ".pdf", content=b"").headers
    assert len(headers["Content-Disposition"]) < 160
    assert headers["Content-Disposition"].endswith('x.pdf"')
    assert headers["Cache-Control"] == "private, no-store"
