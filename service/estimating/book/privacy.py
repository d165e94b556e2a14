"""Privacy in the price book: how long clients' data are kept, and what clients are told of it."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, kw_only=True, slots=True)
class Privacy:
    """Requests that came to nothing are forgotten `keep_lost` after their last change, jobs
    `keep_done` after their day. `notice` is what clients are told of it, by language; where one
    is missing the shop's usual words stand.
    """

    keep_lost: dt.timedelta = dt.timedelta(days=365)
    keep_done: dt.timedelta = dt.timedelta(days=3 * 365)
    notice: Mapping[str, str] = field(default_factory=dict)
