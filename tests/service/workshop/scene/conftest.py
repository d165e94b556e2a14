from pathlib import Path

import pytest

from service.estimating import PriceBook
from service.storage.price_book import read_price_book

BOOK_FILE = Path(__file__).parents[4] / "deploy" / "price_book.yaml"


@pytest.fixture(scope="session")
def book() -> PriceBook:
    """The demo shop's price book."""
    return read_price_book(BOOK_FILE.read_text(encoding="utf-8"), BOOK_FILE.name)
