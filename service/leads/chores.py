"""Long work in parts: a month's documents, a season's prices. What is asked, done and left.

Each part is a step of its own, so that work which is cut off goes on where it stopped.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Protocol

KEPT_FOR = timedelta(days=14)
"""What was made can be fetched for so long; it can always be made again."""


class ChoreKind(StrEnum):
    """All documents of the jobs in some time, or the prices of its open requests by now."""

    DOCUMENTS = "documents"
    PRICES = "prices"


class About(StrEnum):
    """What a part makes."""

    QUOTE = "quote"
    BUILD = "build sheet"
    LABELS = "labels"
    LOAD = "load list"
    RUN = "run sheet"
    SHOPPING = "shopping list"
    PRICE = "price"


class PartState(StrEnum):
    """Still to do, done, or not possible."""

    OWED = "owed"
    DONE = "done"
    FAILED = "failed"


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """One part: what it makes, of which request or day, and what came of it.

    `name` is its file's, `trouble` why it could not be made, `figures` what it found out.
    """

    id: str
    chore_id: str
    n: int
    about: About
    lead_id: str | None = None
    day: date | None = None
    state: PartState = PartState.OWED
    name: str | None = None
    trouble: str | None = None
    figures: Mapping[str, str] | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Progress:
    """How many parts are done and how many could not be made."""

    total: int
    done: int
    failed: int

    @property
    def left(self) -> int:
        """Parts still to do."""
        return self.total - self.done - self.failed


@dataclass(frozen=True, kw_only=True, slots=True)
class Chore:
    """Long work from `first` to `last`, both days included; `stopped_at` by whom it was begun."""

    id: str
    kind: ChoreKind
    first: date
    last: date
    made_at: datetime
    who: str
    progress: Progress
    ended_at: datetime | None = None
    stopped_at: datetime | None = None

    @property
    def running(self) -> bool:
        """Whether parts are still being made."""
        return self.ended_at is None and self.stopped_at is None


@dataclass(frozen=True, kw_only=True, slots=True)
class Made:
    """What came of a part: a document, figures, or why there is neither."""

    name: str | None = None
    document: bytes | None = None
    figures: Mapping[str, str] | None = None
    trouble: str | None = None


class Chores(Protocol):
    """Long work, and what was made."""

    def add(self, chore: Chore, parts: Iterable[Part]) -> bool:
        """Store it with its parts; False where it is there already."""
        ...

    def get(self, chore_id: str, *, lock: bool = False) -> Chore:
        """One; NotFound otherwise."""
        ...

    def newest(self, *, limit: int) -> list[Chore]:
        """The latest first."""
        ...

    def stop(self, chore_id: str, at: datetime) -> None:
        """No further part is made."""
        ...

    def end(self, chore_id: str, at: datetime) -> None:
        """Every part is closed."""
        ...

    def part(self, part_id: str) -> Part:
        """One part; NotFound otherwise."""
        ...

    def parts(self, chore_id: str) -> list[Part]:
        """Every part in order, without its document."""
        ...

    def close(self, part_id: str, made: Made) -> None:
        """Store what came of a part."""
        ...

    def documents(self, chore_id: str) -> Iterator[tuple[str, bytes]]:
        """Every document that was made, with its file's name, one at a time."""
        ...

    def open_requests(self, first: date, last: date) -> list[str]:
        """Ids of requests with a price and an event in that time that may still come to something,
        the next first."""
        ...

    def erased_since(self, moment: datetime) -> bool:
        """Whether any client's data were erased from then on."""
        ...

    def forget(self, before: datetime) -> None:
        """Take away what was begun before then."""
        ...
