"""The price book in its versions: one table for all processes, and the file it began with."""

import threading
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import OperationalError, SQLAlchemyError

from service.estimating import BookError, PriceBook
from service.estimating.book import Holding
from service.leads.lead import NotFound, StaleDecision
from service.leads.price_books import FROM_THE_FILE, BookVersion
from service.leads.shop_time import zone_of
from service.leads.stocking import with_stock
from service.storage.database import beside, is_change_of_book
from service.storage.price_book import versions
from service.storage.price_book.editor import Editor
from service.storage.price_book.file import stamp_of, text_in
from service.storage.price_book.reading import NAME, read_price_book
from service.storage.price_book.weaving import rewritten
from service.storage.stock import newest_move, stock_on_hand

# What other processes have changed is seen this soon.
_LOOK_EVERY_S = 1.0

# How far back one that can still be read is looked for.
_MOST_UNREADABLE = 50

_STALE = "The price book was changed in the meantime, so nothing was saved. Look at it afresh."
_UNKNOWN = "There is no such version of the price book."


class PriceBookShelf:
    """`service.leads.price_books.PriceBooks` over SQL, and the file at `path`.

    When it starts and whenever the file's text changes, the file becomes the newest version,
    unless it has been before: a restart does not undo what was changed at the desk. A file that
    cannot be read changes nothing, and `problem` says why. Writing takes a transaction of its
    own: save outside of any unit of work.
    """

    def __init__(
        self,
        engine: Engine,
        path: Path,
        *,
        now: Callable[[ZoneInfo], datetime],
        ticks: Callable[[], float] = time.monotonic,
    ) -> None:
        """`now` tells the time at a shop in a zone. Raises BookError where there is no book."""
        self._engine, self._path, self._now, self._ticks = engine, path, now, ticks
        self._side = beside(engine)
        self._looking = threading.Lock()
        self._of = lru_cache(maxsize=16)(self._read_version)
        self._stamp, self._file = stamp_of(path), ""
        self._file_problem: str | None = None
        self._row_problem: str | None = None
        self._holdings: tuple[Holding, ...] | None = None
        self._look_at = 0.0
        self.editor = Editor()
        self._start()
        event.listen(engine, "commit", self._after_commit)

    def current(self) -> PriceBook:
        if self._ticks() >= self._look_at or stamp_of(self._path) != self._stamp:
            self._look()
        return self._book

    @property
    def problem(self) -> str | None:
        return self._file_problem or self._row_problem

    def newest(self) -> BookVersion:
        (row,) = self.versions(1)
        return row

    def versions(self, limit: int) -> Sequence[BookVersion]:
        with self._reading() as connection:
            return versions.listed(connection, limit)

    def about(self, version: str) -> BookVersion | None:
        with self._reading() as connection:
            return versions.about(connection, version)

    def text_of(self, version: str) -> str | None:
        with self._reading() as connection:
            return versions.text_of(connection, version)

    def of(self, version: str) -> PriceBook | None:
        current = self.current()
        if version == current.version:
            return current
        try:
            return self._of(version)
        except (NotFound, BookError):
            return None

    def read(self, text: str) -> PriceBook:
        return with_stock(_read(_tidy(text), NAME), self._holdings)

    def save(self, text: str, *, by: str, note: str, basis: str) -> str:
        text = _tidy(text)
        book = _read(text, NAME)
        with versions.writing(self._engine) as connection:
            if versions.newest(connection) != basis:
                raise StaleDecision(_STALE)
            if book.version != basis:
                self._add(connection, text, book, by=by, note=note)
        return book.version

    def back_to(self, version: str, *, by: str, basis: str) -> str:
        text, known = self.text_of(version), self.about(version)
        if text is None or known is None:
            raise NotFound(_UNKNOWN)
        day = known.made_at.astimezone(zone_of(self._book)).date()
        return self.save(text, by=by, note=f"back to the one of {day.isoformat()}", basis=basis)

    def rewritten(self, text: str, section: str, data: Any) -> str:
        return rewritten(text, section, data)

    def _start(self) -> None:
        fault: BookError | None = None
        try:
            self._take_in(starting=True)
        except BookError as error:
            self._file_problem, fault = str(error), error
        with self._reading() as connection:
            self._seen = versions.newest_seq(connection), newest_move(connection)
            book = self._newest_readable(connection)
            if book is None:
                raise fault or BookError(())
            self._holdings = stock_on_hand(connection)
        self._book = with_stock(book, self._holdings)

    def _look(self) -> None:
        """See what has changed. While one thread looks, the others go on with what they know."""
        if not self._looking.acquire(blocking=False):
            return
        try:
            # Before anything is read: a commit meanwhile asks for one more look.
            self._look_at = self._ticks() + _LOOK_EVERY_S
            self._look_at_file()
            with self._reading() as connection:
                self._look_at_rows(connection)
        except SQLAlchemyError:
            # Whoever needs the database will say so; the book is known.
            return
        finally:
            self._looking.release()

    def _look_at_file(self) -> None:
        stamp = stamp_of(self._path)
        if stamp == self._stamp:
            return
        try:
            self._take_in(starting=False)
            self._file_problem = None
        except BookError as error:
            self._file_problem = str(error)
        except OperationalError:
            # Whoever asks may hold SQLite's one write lock: again next time.
            return
        self._stamp = stamp

    def _take_in(self, *, starting: bool) -> None:
        text = _tidy(text_in(self._path))
        book = _read(text, self._path.name)
        if book.version == self._file:
            return
        with versions.writing(self._engine, waiting=starting) as connection:
            known = versions.files(connection)
            # The owner may put an earlier text into the file; a machine that starts may be late.
            if book.version not in (known if starting else known[:1]):
                self._add(connection, text, book, by=FROM_THE_FILE, note=self._path.name)
        self._file = book.version

    def _look_at_rows(self, connection: Connection) -> None:
        seen = versions.newest_seq(connection), newest_move(connection)
        if seen == self._seen:
            return
        book = self._newest_readable(connection)
        if book is not None:
            self._holdings = stock_on_hand(connection)
            self._book = with_stock(book, self._holdings)
        self._seen = seen

    def _newest_readable(self, connection: Connection) -> PriceBook | None:
        problem: str | None = None
        for text in versions.texts(connection, _MOST_UNREADABLE):
            try:
                book = _read(text, NAME)
            except BookError as error:
                problem = problem or str(error)
            else:
                self._row_problem = problem
                return book
        return None

    def _add(
        self, connection: Connection, text: str, book: PriceBook, *, by: str, note: str
    ) -> None:
        at = self._now(zone_of(book))
        versions.add(connection, version=book.version, text=text, by=by, note=note, at=at)

    def _read_version(self, version: str) -> PriceBook:
        text = self.text_of(version)
        if text is None:
            raise NotFound(_UNKNOWN)
        return _read(text, NAME)

    def _reading(self) -> Any:
        return self._side.execution_options(reading=True).connect()

    def _after_commit(self, connection: Connection) -> None:
        if is_change_of_book(connection):
            self._look_at = 0.0


def _tidy(text: str) -> str:
    return text.replace("\r\n", "\n").rstrip() + "\n"


@lru_cache(maxsize=16)
def _read(text: str, name: str) -> PriceBook:
    return read_price_book(text, name)
