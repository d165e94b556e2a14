"""Estimates given lately, as they went out: the same question needs no second working out."""

import datetime as dt
from collections import OrderedDict
from collections.abc import Callable

from service.estimating import Brief, Calibration, PriceBook
from service.estimating.book import Holding

MOST = 128
"""So many answers are kept, the ones asked for last: some 5 MB."""

_Key = tuple[Brief, str, tuple[Holding, ...], str | None, dt.date, bool]


class RecentAnswers:
    """Answers by brief, price book, calibration, day and view, which decide them to the last byte.

    A form that asks again after every change back and forth, a worker that tries again and the
    page that shows the quote ask the same within minutes. A changed price book, balloons that
    came in or went out, a lesson that was accepted, or the next day, make it another question.
    """

    def __init__(self) -> None:
        self._answers: OrderedDict[_Key, bytes] = OrderedDict()

    def give(
        self,
        brief: Brief,
        book: PriceBook,
        calibration: Calibration,
        today: dt.date,
        work_out: Callable[[], bytes],
        *,
        whole: bool = True,
    ) -> bytes:
        """The answer that is known, or the one that `work_out` gives now.

        `whole` keeps what the shop may see apart from what anybody may.
        """
        key = brief, book.version, book.stock, calibration.version, today, whole
        known = self._answers.get(key)
        if known is None:
            known = self._answers[key] = work_out()
            if len(self._answers) > MOST:
                self._answers.popitem(last=False)
        self._answers.move_to_end(key)
        return known
