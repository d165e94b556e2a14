"""Jobs that are done, for tests of what they took."""

from service.estimating import Brief
from service.leads import expiring, recording
from service.leads.actuals import Actuals, Finished
from service.leads.lead import Lead
from service.leads.recording import Entry, Job, Seen
from service.leads.slips import far_off
from tests.service.building import BuiltShop
from tests.service.leads.keeping_dates import booked


def finished(shop: BuiltShop, brief: Brief | None = None) -> Lead:
    """A job whose day is over; the shop's clock has moved on to when everything is back."""
    lead = booked(shop, brief)
    with shop.ports.read() as work:
        hold = work.holds.of_lead(lead.id)
        assert hold is not None
    shop.now = hold.stay.returns_at
    assert expiring.finish_over(shop.ports) == 1
    return shop.lead(lead.id)


def job_of(shop: BuiltShop, lead: Lead) -> Job:
    """The job as it can be told of."""
    with shop.ports.read() as work:
        return recording.job_of(work, shop.ports, lead.id, now=shop.now)


def tell(
    shop: BuiltShop,
    lead: Lead,
    actuals: Actuals | None = None,
    *,
    revision: int = 0,
    went_wrong: str = "",
    back: bool = False,
    sure: bool = True,
) -> Finished | None:
    """The owner tells how it went, looking at that revision, and is `sure` of what is far off."""
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        far = far_off(actuals or Actuals(), quote.estimate) if sure else ()
        told = recording.record(
            work,
            shop.ports,
            lead.id,
            Entry(actuals=actuals or Actuals(), went_wrong=went_wrong, back=back),
            seen=Seen(quote=quote.number, revision=revision, sure=frozenset(far)),
            who="owner",
            now=shop.now,
        )
        work.commit()
    return told


def told_of(shop: BuiltShop, lead: Lead) -> Finished | None:
    """What is kept of it."""
    with shop.ports.read() as work:
        return work.actuals.of(lead.id)
