"""How the parts that all work stands on are doing: database, queue, workers, disk."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol


class Database(StrEnum):
    """What can be done with the database. Behind: its tables are older than this program."""

    WRITABLE = "up"
    READ_ONLY = "cannot be written"
    BEHIND = "migrations are missing"
    DOWN = "down"


@dataclass(frozen=True, kw_only=True, slots=True)
class QueueReading:
    """One queue: what waits in it, since when in seconds, and who works on it.

    `heard_s` is how long ago any of its workers was heard of, in seconds; None for no worker.
    """

    name: str
    waiting: int
    oldest_s: float
    workers: int
    heard_s: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Readings:
    """How everything stood a moment ago.

    `queues` is None while Redis does not answer. `swept_s` is how long ago owed steps were last
    swept, in seconds; None where that is not known. `disk_free` is what is left for the data
    folder, in bytes.
    """

    database: Database
    queues: tuple[QueueReading, ...] | None
    swept_s: float | None
    keys_kept: bool
    disk_free: int


class Vitals(Protocol):
    """Takes the readings. Cheap enough to be asked by strangers."""

    def readings(self) -> Readings:
        """How everything stands; at most some seconds old."""
        ...

    @property
    def schema(self) -> str:
        """The newest migration that this program knows."""
        ...

    def swept(self) -> None:
        """Owed steps were swept just now."""
        ...
