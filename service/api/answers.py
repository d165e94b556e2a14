"""Estimates given lately, as they went out: the same question needs no second working out."""

import datetime as dt
import hashlib
from collections import OrderedDict
from collections.abc import Callable, Mapping

from service.estimating import Brief, Calibration, PriceBook

MOST = 128
"""So many briefs' answers are kept, the ones asked for last: some 5 MB."""

_Key = tuple[Brief | bytes, bool]


class RecentAnswers:
    """Answers by brief and view, for one price book, calibration and day: these decide every byte.

    A form that asks again after every change back and forth, a worker that tries again and the
    page that shows the quote ask the same within minutes, the first two even in the same words:
    a body that is known is not read again. With a changed price book, balloons that came in or
    went out, a lesson that was accepted, or the next day, all begins anew.
    """

    def __init__(self) -> None:
        self._by: tuple[PriceBook, Calibration, dt.date] | None = None
        # Bytes and not estimates: a hundred thousand small values would be gone through again and
        # again by whatever collects garbage.
        self._answers: OrderedDict[_Key, bytes] = OrderedDict()

    def going_by(self, book: PriceBook, calibration: Calibration, today: dt.date) -> None:
        """What holds from now on; what was answered by anything else is forgotten."""
        # Whoever keeps book and calibration hands out the same ones until they change.
        if self._by and book is self._by[0] and calibration is self._by[1] and today == self._by[2]:
            return
        self._answers.clear()
        self._by = book, calibration, today

    def give(
        self,
        body: bytes,
        read: Callable[[], Brief],
        work_out: Callable[[Brief], Mapping[bool, bytes]],
        *,
        whole: bool = True,
    ) -> bytes:
        """The answer to `body` that is known, or the one that `work_out` gives now.

        That is by view: for the shop the `whole` (True), and what anybody may see (False). It may
        give both at once.
        """
        # A body may be large, and others choose it.
        sent = hashlib.sha256(body).digest(), whole
        known = self._known(sent)
        if known is None:
            brief = read()
            known = self._known((brief, whole))
            if known is None:
                views = work_out(brief)
                for view, answer in views.items():
                    self._keep((brief, view), answer)
                known = views[whole]
            self._keep(sent, known)
        return known

    def _known(self, key: _Key) -> bytes | None:
        known = self._answers.get(key)
        if known is not None:
            self._answers.move_to_end(key)
        return known

    def _keep(self, key: _Key, answer: bytes) -> None:
        self._answers[key] = answer
        # Each is kept under its brief and under the body that asked for it.
        if len(self._answers) > 2 * MOST:
            self._answers.popitem(last=False)
