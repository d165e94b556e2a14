"""Balloons on hand: what came in, what went out, and what booked jobs have been promised."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

Key = tuple[int, str]
"""Size class [in] and colour."""


class Why(StrEnum):
    """Why balloons came in or went out."""

    COUNTED = "counted"
    BOUGHT = "bought"
    BOOKED = "booked"
    RETURNED = "returned"
    UNUSED = "unused"
    USED = "used"


@dataclass(frozen=True, kw_only=True, slots=True)
class Move:
    """So many came in, or went out where `count` is below zero. `id` 0: not stored yet."""

    size_class: int
    colour: str
    count: int
    why: Why
    at: datetime
    who: str
    lead_id: str | None = None
    id: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class OnHand:
    """Balloons of one size and colour.

    `free` are promised to nobody, and below zero where more was promised than there is;
    `reserved` are promised to booked jobs whose work is still to come.
    """

    size_class: int
    colour: str
    free: int
    reserved: int

    @property
    def on_shelf(self) -> int:
        """How many are there to be counted, as far as the moves tell."""
        return max(0, self.free + self.reserved)

    @property
    def short(self) -> int:
        """How many have to be bought so that every booked job gets what it was promised."""
        return max(0, -self.free)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reserved:
    """Balloons that a booked job will take."""

    lead_id: str
    size_class: int
    colour: str
    count: int


class Stock(Protocol):
    """Moves of balloons; what is on hand is their sum."""

    def lock(self) -> None:
        """Keep others from adding moves until the transaction ends; for absolute counts."""
        ...

    def add(self, moves: Sequence[Move]) -> None:
        """Store moves."""
        ...

    def newest(self) -> int:
        """The id of the newest move; 0 where there was never one."""
        ...

    def on_hand(self) -> list[OnHand]:
        """Every size and colour that ever moved, by size and colour."""
        ...

    def of_lead(self, lead_id: str) -> Mapping[Key, int]:
        """What a lead has out, net of what it gave back; without zeros."""
        ...

    def unused_of(self, lead_id: str) -> Mapping[Key, int]:
        """What a lead brought back from its job."""
        ...

    def reserved(self) -> list[Reserved]:
        """What booked jobs were promised, the nearest event first."""
        ...

    def moves(self, *, before: int | None, limit: int) -> list[Move]:
        """Moves, the newest first, older than the move `before`."""
        ...
