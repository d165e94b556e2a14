"""The terms of a booking as values, and what is kept of who accepted them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class Clauses:
    """What a client agrees to, in one language; `weather` is for what stands outdoors."""

    terms: str = ""
    weather: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Terms:
    """The terms in every language. `version` is a digest of them, empty where there are none."""

    version: str
    by_language: Mapping[str, Clauses]

    def said(self, language: str) -> Clauses:
        """The clauses in a language; in English where there are none of it."""
        return self.by_language.get(language) or self.by_language.get("en") or Clauses()


@dataclass(frozen=True, kw_only=True, slots=True)
class Acceptance:
    """A client accepted the terms of that version, in the language they read them in."""

    version: str
    language: str
    at: datetime


class Agreements(Protocol):
    """Terms as they read, and who accepted them."""

    def keep(self, terms: Terms, now: datetime) -> None:
        """Store the texts of a version, once."""
        ...

    def terms(self, version: str) -> Terms:
        """The texts of a version; NotFound otherwise."""
        ...

    def accept(self, lead_id: str, acceptance: Acceptance) -> None:
        """Store that the client of a lead accepted."""
        ...

    def accepted(self, lead_id: str) -> Acceptance | None:
        """What the client of a lead accepted last."""
        ...
