"""The owner's price book: read and checked line by line, kept in versions, edited as forms."""

from service.storage.price_book.file import PriceBookFile
from service.storage.price_book.reading import read_price_book
from service.storage.price_book.shelf import PriceBookShelf

__all__ = ["PriceBookFile", "PriceBookShelf", "read_price_book"]
