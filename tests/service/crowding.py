"""Many clients with a price in hand, and all of them at once."""

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from service.estimating import Brief
from service.leads import addresses
from service.leads.lead import Lead, LeadError, LeadState
from service.storage.ids import fresh_id
from tests.service.building import BuiltShop


@dataclass(frozen=True, kw_only=True)
class Rush:
    """What came of it, one outcome for each, and how long it took [s]."""

    outcomes: Sequence[object]
    seconds: float

    def of(self, kind: type) -> list[object]:
        """The outcomes of that kind."""
        return [each for each in self.outcomes if isinstance(each, kind)]


def crowd(shop: BuiltShop, briefs: Sequence[Brief]) -> list[Lead]:
    """A lead for each brief whose price has gone out; alike briefs are estimated once."""
    models = {brief: shop.quoted(brief) for brief in dict.fromkeys(briefs)}
    with shop.ports.read() as work:
        quotes = {brief: work.quotes.latest(lead.id) for brief, lead in models.items()}
    leads = [shop.take_lead(brief) for brief in briefs]
    with shop.ports.work() as work:
        for lead, brief in zip(leads, briefs, strict=True):
            quote = quotes[brief]
            assert quote is not None
            work.leads.save(replace(lead, state=LeadState.QUOTED))
            sent = work.quotes.add(replace(quote, id=fresh_id(), lead_id=lead.id, number=""))
            addresses.fresh(work, shop.ports, lead, sent)
        work.commit()
    return leads


def rush(acts: Sequence[Callable[[], object]]) -> Rush:
    """All acts begin together, each in a thread of its own; refusals are outcomes as well."""
    start = threading.Barrier(len(acts) + 1)
    outcomes: list[object] = [None] * len(acts)

    def run(number: int) -> None:
        start.wait()
        try:
            outcomes[number] = acts[number]()
        except LeadError as error:
            outcomes[number] = error

    threads = [threading.Thread(target=run, args=(number,)) for number in range(len(acts))]
    for thread in threads:
        thread.start()
    start.wait()
    began = time.perf_counter()
    for thread in threads:
        thread.join()
    return Rush(outcomes=outcomes, seconds=time.perf_counter() - began)
