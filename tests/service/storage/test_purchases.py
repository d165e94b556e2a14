"""Purchases, on SQLite and PostgreSQL."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from sqlalchemy import Engine

from service.estimating.book import Holding
from service.leads.lead import Lead
from service.leads.purchases import ForJob, Purchase, Settled, newest_shares
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import Bag, Scope
from tests.service.building import BuiltShop
from tests.service.storage.conftest import NOON, Shop

NAVY = Holding(size_class=10, colour="navy", count=50)
MILL = "Millrace Party Supply"


def a_purchase(number: int, *jobs: ForJob, item: str = "navy 10 in, bag of 50") -> Purchase:
    return Purchase(
        id=f"purchase-{number}",
        supplier=MILL,
        item=item,
        contents=(NAVY,),
        packs=2,
        cost=Decimal("17.50"),
        currency="USD",
        bought_at=NOON + timedelta(hours=number),
        who="owner",
        jobs=jobs,
    )


def store(shop: Shop, *purchases: Purchase) -> None:
    with shop.work() as work:
        for purchase in purchases:
            work.purchases.add(purchase)
        work.commit()


def test_a_purchase_is_kept_with_its_jobs_and_changed(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    first, second = a_lead(), a_lead()
    share = Settled(size_class=10, colour="navy", alone=44, share=42)
    kept = a_purchase(1, ForJob(lead_id=first.id, count=3, settled=(share,)))
    store(shop, kept)
    with shop.read() as work:
        assert work.purchases.find(kept.id) == kept
        assert work.purchases.find("another") is None
    with shop.read() as work:
        columns = work.exports.columns("purchases")
        ((*row,),) = work.exports.rows("purchases")
    told = dict(zip(columns, row, strict=True))
    assert (told["number"], told["item"], told["packs"]) == (first.number, kept.item, 2)
    assert (told["cost"], told["for_this_job"]) == (Decimal("17.50"), 3)
    changed = replace(kept, packs=1, cost=Decimal("8.75"), jobs=(ForJob(lead_id=second.id),))
    with shop.work() as work:
        work.purchases.save(changed)
        work.commit()
    with shop.read() as work:
        assert work.purchases.find(kept.id, lock=False) == changed
        assert work.purchases.of_leads([first.id]) == []
        assert work.purchases.of_leads([first.id, second.id]) == [changed]


def test_lists_leave_out_what_was_undone_and_counts_do_not(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    job = ForJob(lead_id=a_lead().id)
    one, two, three = (a_purchase(number, job) for number in (1, 2, 3))
    store(shop, two, one, three, a_purchase(4, item="white 10 in, bag of 50"))
    with shop.work() as work:
        work.purchases.save(replace(two, undone_at=NOON))
        work.commit()
    with shop.read() as work:
        assert work.purchases.of_leads([job.lead_id]) == [one, three]
        assert [each.id for each in work.purchases.lately(limit=2)] == ["purchase-4", three.id]
        assert work.purchases.times() == {
            (MILL, "navy 10 in, bag of 50"): 3,
            (MILL, "white 10 in, bag of 50"): 1,
        }


def test_the_last_share_that_was_settled_counts() -> None:
    def at(number: int, share: int) -> Purchase:
        of = Settled(size_class=10, colour="navy", alone=44, share=share)
        return a_purchase(number, ForJob(lead_id="one", settled=(of,)))

    found = newest_shares([at(1, 43), at(2, 42)])
    assert {key: each.share for key, each in found.items()} == {("one", 10, "navy"): 42}


def test_a_line_that_two_mark_at_the_same_moment_is_written_down_once(engine: Engine) -> None:
    shop = BuiltShop(engine=engine)
    bag = Bag(supplier=MILL, size_class=10, colour="navy", pack_size=50)
    start, new = threading.Barrier(3), []

    def press() -> None:
        start.wait()
        with shop.ports.work() as work:
            bought = [Bought(id="one", what=bag, packs=2)]
            new.append(purchasing.record(work, shop.ports, bought, Scope(), who="owner", now=NOON))
            work.commit()

    threads = [threading.Thread(target=press) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(new) == [0, 0, 1]
    with shop.ports.read() as work:
        assert [(e.colour, e.free) for e in work.stock.on_hand()] == [("navy", 100)]
