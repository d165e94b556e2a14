"""The owner's price book as a file: read, checked line by line, read again when it changes."""

from service.storage.price_book.file import PriceBookFile
from service.storage.price_book.reading import read_price_book

__all__ = ["PriceBookFile", "read_price_book"]
