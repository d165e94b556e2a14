"""The price book's file, read again whenever it changes."""

from pathlib import Path

from service.estimating import BookError, FieldProblem, PriceBook
from service.storage.price_book.reading import read_price_book


class PriceBookFile:
    """The price book at `path`, read again whenever the file has changed.

    While the file cannot be read the last good book stays in use, and `problem` says why.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._stamp = self._now()
        self._book = read_price_book(_text(path), path.name)
        self.problem: str | None = None

    def current(self) -> PriceBook:
        """The newest good book."""
        stamp = self._now()
        if stamp != self._stamp:
            self._stamp = stamp
            self._reload()
        return self._book

    def _reload(self) -> None:
        try:
            text = self._path.read_text(encoding="utf-8")
            self._book, self.problem = read_price_book(text, self._path.name), None
        except (BookError, OSError, UnicodeDecodeError) as error:
            self.problem = str(error)

    def _now(self) -> tuple[int, int]:
        try:
            stat = self._path.stat()
        except OSError:
            return 0, 0
        return stat.st_mtime_ns, stat.st_size


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        detail = f"cannot be read ({why}); name your price book in GARLANDRY_PRICE_BOOK"
        raise BookError((FieldProblem(field=str(path), detail=detail),)) from error
