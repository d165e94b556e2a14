"""The price book as forms: what can be typed, in plain words, whatever the book consists of.

Fields are named by their place in the book: "bags.3.price".
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

Typed = Mapping[str, tuple[str, ...]]
"""What came with a form, by the name of the field."""

NEW = "__n__"
"""Stands in names for the number of a row that is yet to be added."""


@dataclass(frozen=True, kw_only=True, slots=True)
class BookPage:
    """One page of the book: its name in addresses, its title, and what it is about."""

    key: str
    title: str
    about: str


class Kind(StrEnum):
    """How a field is typed."""

    TEXT = "text"
    LONG = "long"
    LINES = "lines"
    NUMBER = "number"
    MONEY = "money"
    TIME = "time"
    CHOICE = "choice"
    TICK = "tick"
    TICKS = "ticks"


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """One of several: as it is kept, and as it is said."""

    value: str
    label: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Input:
    """One field. `unit` is said behind it; `values` are what is in it, several only for ticks."""

    name: str
    label: str
    hint: str = ""
    kind: Kind = Kind.TEXT
    unit: str = ""
    values: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    needed: bool = False

    @property
    def value(self) -> str:
        """The text in the field."""
        return self.values[0] if self.values else ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fact:
    """A figure of a row, as it is told while the row is closed; money is in the shop's currency."""

    label: str
    value: str
    money: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """Fields that belong together; where they are a row, `facts` tell its figures."""

    name: str
    label: str
    parts: "tuple[Part, ...]"
    hint: str = ""
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Rows:
    """A list of groups that grows and shrinks; `blank` is one that is yet to be added."""

    name: str
    label: str
    rows: tuple[Group, ...]
    blank: Group
    one: str
    hint: str = ""


Part = Input | Group | Rows


@dataclass(frozen=True, kw_only=True, slots=True)
class Form:
    """A page of the book with what is in it.

    `faults` are by the name of an input, a group or rows; `elsewhere` are those that stand on
    other pages, whole sentences.
    """

    page: BookPage
    parts: tuple[Part, ...]
    faults: Mapping[str, str] = field(default_factory=dict)
    elsewhere: Sequence[str] = ()
    fresh: str = ""
    """The name of a row that has just been added."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Changed:
    """Lines of the book's text that went and that came in their place, and on which page."""

    where: str
    gone: tuple[str, ...]
    come: tuple[str, ...]
