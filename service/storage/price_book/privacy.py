"""Entries about privacy: how long clients' data are kept."""

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field

from service.estimating import book as core
from service.storage.price_book.fields import Entry

Notice = Annotated[str, Field(min_length=1, max_length=5000)]


class PrivacyEntry(Entry):
    """How long data are kept, and the shop's own words on it."""

    keep_lost_days: int = Field(default=365, ge=30, le=3650)
    keep_done_days: int = Field(default=3 * 365, ge=30, le=3650)
    notice: dict[Literal["en", "es"], Notice] = Field(default_factory=dict)

    def value(self) -> core.Privacy:
        """As the core has it."""
        return core.Privacy(
            keep_lost=dt.timedelta(days=self.keep_lost_days),
            keep_done=dt.timedelta(days=self.keep_done_days),
            notice={str(language): text for language, text in self.notice.items()},
        )
