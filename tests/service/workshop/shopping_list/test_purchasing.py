"""What is bought goes to the jobs that lack it, once; the rest is anybody's."""

from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal

import pytest

from service.estimating import Event, Piece, Support
from service.leads import stocking
from service.leads.lead import Lead
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import Bag, MixedPack, PurchaseRefused, Scope, Sort, Thing
from tests.service.building import BuiltShop
from tests.service.workshop.booked_jobs import (
    FIRST_DAY,
    book_job,
    buy,
    free,
    goods_of,
    lines_of,
    listed,
    out,
    wall,
)
from tests.service.workshop.shopping_list.buying import ALL, BRIDGES, MILL, alone, needs

COLUMNS = Piece(support=Support.COLUMN, height_m=1.8, count=2)


def test_what_is_bought_is_asked_for_by_no_list_again(shop: BuiltShop) -> None:
    jobs = [
        book_job(shop, wall(3.0, "white", "navy")),
        book_job(shop, wall(2.0, "navy", days=2)),
        book_job(shop, wall(1.5, "navy", "moonlit teal", days=9)),
        book_job(shop, wall(1.0, "navy", days=20, pieces=(COLUMNS,))),
    ]
    found = listed(shop, ALL)
    assert found.cost > 0
    assert buy(shop, ALL, *lines_of(found)) == len(lines_of(found))
    purchasing.aside_by(shop.ports, ALL, who="owner", now=shop.now)
    for scope in (ALL, Scope(until=FIRST_DAY + timedelta(days=5)), *map(alone, jobs)):
        again = listed(shop, scope)
        assert not again.suppliers
        assert not any(each.free for each in listed(shop, ALL).shelf)
    # Together they have what they were listed with; what the packs hold beyond it is free.
    promised = sum(sum(out(shop, lead).values()) for lead in jobs)
    assert promised == sum(each.aside + each.free for each in found.shelf) + sum(
        line.packs * line.pack_size for line in lines_of(found)
    ) - sum(each.count for each in found.left_over)
    left = {(each.size_class, each.colour): each.count for each in found.left_over}
    assert left.items() <= free(shop).items()


def test_marking_a_line_twice_writes_it_down_once(red: BuiltShop, near: Lead) -> None:
    one, another = listed(red, ALL), listed(red, alone(near))
    line = lines_of(one)[0]
    # Two pages that show the same line, and a second press on one of them.
    twin = next((each for each in lines_of(another) if each.item == line.item), line)
    assert buy(red, ALL, line) == 1
    before = free(red), out(red, near)
    assert buy(red, ALL, line) == 0
    assert buy(red, alone(near), twin, packs=7) == 0
    assert (free(red), out(red, near)) == before
    with red.ports.read() as work:
        assert work.purchases.times() == {(line.supplier, line.item): 1}


def test_with_one_supplier_done_the_rest_of_the_list_stands(shop: BuiltShop) -> None:
    for day in (0, 3, 6):
        book_job(shop, wall(6.0, "white", "sage", days=day))
    found = listed(shop, ALL)
    first, second = found.suppliers
    buy(shop, ALL, *first.lines)
    left = listed(shop, ALL)
    assert [supplier.name for supplier in left.suppliers] == [second.name]
    assert left.cost == second.total


def test_new_prices_see_only_what_is_really_free(red: BuiltShop) -> None:
    found = listed(red, ALL)
    buy(red, ALL, *lines_of(found))
    left = {(each.size_class, each.colour): each.count for each in found.left_over}
    taken = red.estimate(wall(6.0, "red")).shopping.from_stock
    assert {(e.size_class, e.colour): e.count for e in taken} == left


def test_the_shelf_is_set_aside_once(red: BuiltShop, near: Lead) -> None:
    wanted = needs(red, near)
    with red.ports.work() as work:
        counted = {key: number + 5 for key, number in wanted.items()}
        stocking.count(work, red.price_books.current(), counted, who="owner", now=red.now)
        work.commit()
    found = listed(red, alone(near))
    assert not found.suppliers
    assert found.to_set_aside
    for _ in range(2):
        purchasing.aside_by(red.ports, alone(near), who="owner", now=red.now)
        assert out(red, near) == wanted
    assert not listed(red, alone(near)).to_set_aside


def test_what_is_no_balloon_is_bought_for_its_jobs_too(shop: BuiltShop) -> None:
    for day in (0, 3):
        book_job(shop, wall(1.0, "white", days=day, foils=("50",)))

    def lacking() -> dict[str, int]:
        return {e.item: e.count for e in listed(shop, ALL).besides if e.sort is Sort.BUY}

    assert lacking() == {"foil digit 5": 2, "foil digit 0": 2}
    fives = next(e for e in listed(shop, ALL).besides if e.item == "foil digit 5")
    thing = Thing(item=fives.item, unit_cost=fives.unit_cost)
    bought = Bought(id=fives.id, what=thing, packs=1, paid=Decimal("6.00"))
    for _ in range(2):
        with shop.ports.work() as work:
            purchasing.record(work, shop.ports, [bought], ALL, who="owner", now=shop.now)
            work.commit()
    assert lacking() == {"foil digit 5": 1, "foil digit 0": 2}
    with shop.ports.read() as work:
        before = work.stock.newest()
        (purchase,) = work.purchases.lately(limit=5)
    with shop.ports.work() as work:
        purchasing.change(
            work, shop.ports, purchase.id, packs=0, seen=1, paid=None, who="owner", now=shop.now
        )
        work.commit()
    assert lacking() == {"foil digit 5": 2, "foil digit 0": 2}
    with shop.ports.read() as work:
        assert work.stock.newest() == before
        assert work.purchases.lately(limit=5) == []


def test_a_date_that_is_only_held_gets_a_list_and_takes_nothing(shop: BuiltShop) -> None:
    lead = shop.quoted(wall(2.0, "red"))
    found = listed(shop, alone(lead))
    assert found.jobs[0].making_on == FIRST_DAY - timedelta(days=2)
    buy(shop, alone(lead), *lines_of(found))
    assert out(shop, lead) == {}
    again = listed(shop, alone(lead))
    assert not again.suppliers
    assert not again.to_set_aside
    assert listed(shop, ALL).jobs == ()


@pytest.mark.parametrize(
    "bought",
    [
        Bag(supplier=MILL, size_class=10, colour="red", pack_size=21),
        Bag(supplier=MILL, size_class=7, colour="red", pack_size=20),
        Bag(supplier="nobody", size_class=10, colour="red", pack_size=20),
    ],
)
def test_what_nobody_sells_is_not_written_down(red: BuiltShop, bought: Bag) -> None:
    one = Bought(id="one", what=bought, packs=1)
    with red.ports.work() as work, pytest.raises(PurchaseRefused):
        purchasing.record(work, red.ports, [one], ALL, who="owner", now=red.now)
    with red.ports.read() as work:
        assert work.purchases.lately(limit=1) == []


def test_the_list_goes_by_the_day(red: BuiltShop) -> None:
    upto = Scope(until=FIRST_DAY + timedelta(days=4))
    assert len(listed(red, upto).jobs) == 1
    assert len(listed(red, Scope()).jobs) == 2, "the next thirty days"
    red.now += timedelta(days=11)
    assert len(listed(red, ALL).jobs) == 1


def test_a_mixed_pack_is_written_down_by_what_it_holds(red: BuiltShop) -> None:
    kit = next(e for e in red.price_books.current().kits if e.item == "mixed pack regatta")
    before = free(red)
    bought = Bought(id="kit", what=MixedPack(supplier=MILL, item=kit.item), packs=2)
    with red.ports.work() as work:
        purchasing.record(work, red.ports, [bought], ALL, who="owner", now=red.now)
        work.commit()
    after = {key: number for key, number in free(red).items() if number != before.get(key, 0)}
    assert after == {
        (h.size_class, h.colour): before.get((h.size_class, h.colour), 0) + 2 * h.count
        for h in kit.contents
    }


def test_balloons_of_a_special_order_are_not_ordered_twice(shop: BuiltShop) -> None:
    lead = book_job(shop, wall(2.0, "moonlit teal", days=30))
    found = listed(shop, ALL)
    assert {goods_of(line).supplier for line in lines_of(found)} == {BRIDGES}  # type: ignore[union-attr]
    buy(shop, ALL, *lines_of(found))
    assert out(shop, lead) == needs(shop, lead)
    assert not listed(shop, ALL).suppliers


def test_a_job_that_is_made_soon_is_told_of(shop: BuiltShop) -> None:
    tomorrow = date(2027, 1, 12)
    brief = wall(3.0, "moonlit teal")
    lead = book_job(shop, replace(brief, event=Event(date=tomorrow, start_time=time(15))))
    (supplier,) = listed(shop, alone(lead)).suppliers
    assert supplier.sooner is not None
    assert supplier.sooner.numbers == (lead.number,)
