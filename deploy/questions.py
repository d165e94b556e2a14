"""Different briefs of the size that clients send, and the shop that they are sent to."""

import datetime as dt
import random
from collections.abc import Sequence
from pathlib import Path

from service import estimating as core
from service.storage.price_book import read_price_book

BOOK_FILE = Path(__file__).with_name("price_book.yaml")
TODAY = dt.date(2027, 1, 10)

ORDINARY = (1, 1, 1, 2, 2, 3)
"""How many pieces clients ask for, as often as they do."""

_MEASURES: dict[core.Support, dict[str, tuple[float, float]]] = {
    core.Support.ROUND_TOP_FRAME: {"width_m": (0.9, 2), "height_m": (1.8, 2.4)},
    core.Support.SQUARE_FRAME: {"width_m": (0.9, 3), "height_m": (1.8, 2.4)},
    core.Support.HOOP: {"width_m": (1.5, 2.2)},
    core.Support.WALL: {"length_m": (2, 6)},
    core.Support.DOORWAY: {"width_m": (0.9, 2), "height_m": (1.9, 2.4)},
    core.Support.STAIRCASE: {"rise_m": (2, 3), "run_m": (2.5, 4)},
    core.Support.MANTEL: {"length_m": (1, 2.5)},
    core.Support.TABLE: {"length_m": (1.5, 4)},
    core.Support.CEILING: {"length_m": (2, 6)},
    core.Support.FREESTANDING_ARCH: {"width_m": (2, 4), "height_m": (2, 3)},
    core.Support.SWAG: {"width_m": (2, 5), "sag_m": (0.2, 1)},
    core.Support.COLUMN: {"height_m": (1.2, 2.2)},
}


class Questions:
    """Different briefs of the size that clients send, from a seed."""

    def __init__(self, book: core.PriceBook, seed: int) -> None:
        self._random = random.Random(seed)
        self._colours = [colour.name for colour in book.colours]

    def bodies(self, number: int, pieces: Sequence[int]) -> list[dict[str, object]]:
        """So many requests, each of one of these numbers of pieces."""
        return [self._body(self._random.choice(pieces)) for _ in range(number)]

    def _body(self, pieces: int) -> dict[str, object]:
        day = TODAY + dt.timedelta(days=self._random.randint(20, 300))
        return {
            "pieces": [self._piece() for _ in range(pieces)],
            "palette": self._random.sample(self._colours, self._random.randint(2, 6)),
            "event": {"date": day.isoformat()},
            "site": {
                "setting": self._random.choice(["indoor", "outdoor"]),
                "latitude": 42.3 + self._random.random() / 5,
                "longitude": -71.2,
            },
        }

    def _piece(self) -> dict[str, object]:
        support = self._random.choice(list(core.Support))
        return {
            "support": support.value,
            "fullness": self._random.choice(list(core.Fullness)).value,
            "count": 2 if support is core.Support.COLUMN else 1,
            **{name: self._random.uniform(*span) for name, span in _MEASURES[support].items()},
        }


def demo_book() -> core.PriceBook:
    """The demo shop's."""
    return read_price_book(BOOK_FILE.read_text(encoding="utf-8"), BOOK_FILE.name)
