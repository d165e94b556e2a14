"""The pipeline from a brief to its estimate."""

import datetime as dt

from service.estimating.answer import Estimate
from service.estimating.book import PriceBook
from service.estimating.brief import Brief


def estimate(brief: Brief, book: PriceBook, *, today: dt.date) -> Estimate:
    """The estimate of `brief` by `book` as of `today`."""
    raise NotImplementedError
