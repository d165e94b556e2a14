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
        self._stamp = stamp_of(path)
        self._book = read_price_book(text_in(path), path.name)
        self.problem: str | None = None

    def current(self) -> PriceBook:
        """The newest good book."""
        stamp = stamp_of(self._path)
        if stamp != self._stamp:
            self._stamp = stamp
            self._reload()
        return self._book

    def _reload(self) -> None:
        try:
            self._book = read_price_book(text_in(self._path), self._path.name)
            self.problem = None
        except BookError as error:
            self.problem = str(error)


def stamp_of(path: Path) -> tuple[int, int]:
    """What changes whenever the file does; zeros where there is none."""
    try:
        stat = path.stat()
    except OSError:
        return 0, 0
    return stat.st_mtime_ns, stat.st_size


def text_in(path: Path) -> str:
    """The file's text. Raises BookError where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        detail = f"cannot be read ({why}); name your price book in GARLANDRY_PRICE_BOOK"
        raise BookError((FieldProblem(field=str(path), detail=detail),)) from error
