"""What is kept of the texts that the owner changed at the desk."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class OwnText:
    """The owner's own words in place of a shipped text, with their placeholders in braces."""

    key: str
    language: str
    text: str
    changed_at: datetime


class OwnTexts(Protocol):
    """The owner's own texts."""

    def every(self) -> Mapping[tuple[str, str], OwnText]:
        """All of them, by key and language."""
        ...

    def put(self, text: OwnText) -> None:
        """Say it like this from now on."""
        ...

    def remove(self, key: str, language: str) -> None:
        """Back to the shipped text; nothing happens where it stands already."""
        ...
