"""What an open request would cost by today's price book and by what finished jobs have taught."""

from collections.abc import Mapping
from datetime import datetime

from service.estimating import BriefError, estimate
from service.leads.editing import placed
from service.leads.lead import NotFound
from service.leads.ports import Ports
from service.leads.shop_time import today_at


def priced_anew(ports: Ports, lead_id: str, *, now: datetime) -> Mapping[str, str]:
    """A request's likely price and cost as its quote has them, and as they would be by now.

    Nothing is changed and nobody is told. Raises NotFound where it has no price, or cannot have
    one any more.
    """
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        quote = work.quotes.latest(lead_id, sent=True) or work.quotes.latest(lead_id)
    if quote is None or lead.erased_at is not None:
        raise NotFound("It has no price.")
    book, calibration = ports.price_books.current(), ports.calibrations.current()
    try:
        answer = estimate(placed(ports, quote.brief), book, calibration, today=today_at(now, book))
    except BriefError as refused:
        raise NotFound("; ".join(problem.detail for problem in refused.problems)) from None
    told = quote.estimate
    return {
        "number": lead.number,
        "quote": quote.number,
        "event_on": str(lead.brief.event.date or ""),
        "currency": quote.currency,
        "likely_was": str(quote.likely),
        "likely_now": str(answer.price.likely),
        "cost_was": str(told.cost.likely),
        "cost_now": str(answer.cost.likely),
    }
