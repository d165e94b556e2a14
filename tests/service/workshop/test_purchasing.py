"""What is bought goes to the jobs that lack it, once; the rest is anybody's."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from service.estimating import Accent, AccentKind, Event, Piece, Support
from service.leads import booking, forgetting, leftovers, stocking
from service.leads.lead import Lead, LeadState, NotFound, StaleDecision
from service.leads.stock import Key, Why
from service.storage.database import open_engine
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import Bag, Line, MixedPack, PurchaseRefused, Scope, Sort, Thing
from tests.service.building import BuiltShop, build_shop
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

ALL = Scope(until=FIRST_DAY + timedelta(days=60))
COLUMNS = Piece(support=Support.COLUMN, height_m=1.8, count=2)
MILL, BRIDGES = "Millrace Party Supply", "Two Bridges Wholesale"


@pytest.fixture(name="red_jobs", scope="module")
def _red_jobs(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, Lead, Lead]:
    """The database of a shop with two booked jobs in red, and the jobs, the nearer one first."""
    folder = tmp_path_factory.mktemp("red")
    built = build_shop(folder)
    jobs = [book_job(built, wall(3.0, "red", days=day)) for day in (0, 5)]
    built.engine.dispose()
    return (folder / "shop.sqlite").read_bytes(), jobs[0], jobs[1]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    """A shop without a job."""
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


@pytest.fixture
def red(tmp_path: Path, red_jobs: tuple[bytes, Lead, Lead]) -> Iterator[BuiltShop]:
    """A shop with two booked jobs in red."""
    database = tmp_path / "shop.sqlite"
    database.write_bytes(red_jobs[0])
    built = BuiltShop(engine=open_engine(f"sqlite:///{database}"))
    yield built
    built.engine.dispose()


@pytest.fixture
def near(red_jobs: tuple[bytes, Lead, Lead]) -> Lead:
    """The job in red that comes first."""
    return red_jobs[1]


@pytest.fixture
def far(red_jobs: tuple[bytes, Lead, Lead]) -> Lead:
    """The job in red that comes last."""
    return red_jobs[2]


def alone(lead: Lead) -> Scope:
    return Scope(lead_id=lead.id)


def needs(shop: BuiltShop, lead: Lead) -> dict[Key, int]:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    return {(line.size_class, line.colour): line.taken for line in quote.estimate.spares}


def change(shop: BuiltShop, line: Line, *, seen: int, packs: int, paid: str = "") -> None:
    with shop.ports.work() as work:
        purchasing.change(
            work,
            shop.ports,
            line.id,
            packs=packs,
            seen=seen,
            paid=Decimal(paid) if paid else None,
            who="owner",
            now=shop.now,
        )
        work.commit()


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


def test_fewer_packs_leave_something_to_buy_and_more_are_anybodys(
    red: BuiltShop, near: Lead
) -> None:
    line = next(each for each in lines_of(listed(red, alone(near))) if each.size_class == 10)
    key, wanted = (10, "red"), needs(red, near)[10, "red"]
    buy(red, alone(near), line, packs=9)
    assert out(red, near)[key] == wanted
    assert free(red)[key] == 9 * line.pack_size - wanted
    change(red, line, seen=9, packs=1, paid="3.99")
    assert out(red, near)[key] == min(wanted, line.pack_size)
    with red.ports.read() as work:
        purchase = work.purchases.find(line.id)
    assert purchase is not None
    assert (purchase.packs, purchase.cost) == (1, Decimal("3.99"))
    again = lines_of(listed(red, alone(near)))
    bought = sum(e.packs * e.pack_size for e in again if (e.size_class, e.colour) == key)
    assert bought >= wanted - out(red, near)[key]
    change(red, line, seen=1, packs=9)
    assert out(red, near)[key] == wanted
    with pytest.raises(StaleDecision):
        change(red, line, seen=1, packs=3)


def test_undoing_a_purchase_brings_everything_back_as_it_was(
    red: BuiltShop, near: Lead, far: Lead
) -> None:
    def standing() -> object:
        found = listed(red, ALL)
        return free(red), out(red, near), out(red, far), found.cost, len(lines_of(found))

    before, lines = standing(), lines_of(listed(red, ALL))
    buy(red, ALL, *lines)
    assert standing() != before
    for line in reversed(lines):
        change(red, line, seen=line.packs, packs=0)
    assert standing() == before
    with pytest.raises(StaleDecision):
        change(red, lines[0], seen=lines[0].packs, packs=0)
    # Bought after all: those are purchases of their own.
    assert buy(red, ALL, *lines_of(listed(red, ALL))) == len(lines)


def test_what_a_job_has_used_cannot_be_unbought(red: BuiltShop, near: Lead) -> None:
    line = next(each for each in lines_of(listed(red, alone(near))) if each.size_class == 10)
    buy(red, alone(near), line)
    with red.ports.work() as work:
        work.leads.save(replace(work.leads.get(near.id, lock=True), state=LeadState.DONE))
        work.commit()
    before = free(red)
    with pytest.raises(PurchaseRefused, match="used by a job"):
        change(red, line, seen=line.packs, packs=0)
    assert free(red) == before


def test_a_canceled_jobs_balloons_serve_the_next_one(red: BuiltShop, near: Lead, far: Lead) -> None:
    buy(red, alone(near), *lines_of(listed(red, alone(near))))
    has, before = out(red, near), free(red)
    with red.ports.work() as work:
        lead = work.leads.get(near.id, lock=True)
        booking.release(work, red.ports, lead, now=red.now)
        work.leads.save(replace(lead, state=LeadState.DECLINED))
        work.commit()
    assert all(free(red)[key] == before.get(key, 0) + number for key, number in has.items())
    assert not listed(red, alone(far)).suppliers
    with pytest.raises(NotFound, match="called off"):
        listed(red, alone(near))


def test_another_price_keeps_what_was_bought_and_asks_for_the_rest(
    red: BuiltShop, near: Lead
) -> None:
    buy(red, alone(near), *lines_of(listed(red, alone(near))))
    has, larger = out(red, near), red.estimate(wall(6.0, "red"))
    with red.ports.work() as work:
        before = work.quotes.latest(near.id, sent=True)
        assert before is not None
        quote = work.quotes.add(
            replace(before, id=red.ports.new_id(), estimate=larger, created_at=red.now)
        )
        stocking.take_out(work, near, quote.estimate, who="owner", now=red.now)
        work.commit()
    assert all(out(red, near)[key] >= number for key, number in has.items())
    found = listed(red, alone(near))
    assert found.jobs[0].alone == needs(red, near)
    buy(red, alone(near), *lines_of(found))
    purchasing.aside_by(red.ports, alone(near), who="owner", now=red.now)
    assert not listed(red, alone(near)).suppliers
    assert sum(out(red, near).values()) == sum(needs(red, near).values())


def test_new_prices_see_only_what_is_really_free(red: BuiltShop) -> None:
    found = listed(red, ALL)
    buy(red, ALL, *lines_of(found))
    left = {(each.size_class, each.colour): each.count for each in found.left_over}
    taken = red.estimate(wall(6.0, "red")).shopping.from_stock
    assert {(e.size_class, e.colour): e.count for e in taken} == left


def test_what_was_promised_to_two_jobs_is_the_nearest_ones(
    red: BuiltShop, near: Lead, far: Lead
) -> None:
    # Both were priced while the same balloons were on the shelf.
    with red.ports.work() as work:
        counted = {(10, "red"): 12}
        stocking.count(work, red.price_books.current(), counted, who="owner", now=red.now)
        for lead in (near, far):
            kept = work.leads.get(lead.id, lock=True)
            stocking.set_aside(work, kept, counted, who="owner", now=red.now)
        work.commit()
    assert free(red)[10, "red"] == -12
    has = {job.lead_id: job.has.get((10, "red"), 0) for job in listed(red, ALL).jobs}
    assert has == {near.id: 12, far.id: 0}
    buy(red, ALL, *lines_of(listed(red, ALL)))
    assert not listed(red, ALL).suppliers
    assert all(number >= 0 for number in free(red).values())


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


def test_erasing_a_client_takes_their_words_off_what_was_bought(shop: BuiltShop) -> None:
    sign = Accent(kind=AccentKind.SIGN, count=1, words="Fifty years of Nora")
    piece = Piece(support=Support.WALL, length_m=1.0, accents=(sign,))
    lead = book_job(shop, wall(1.0, "white", pieces=(piece,)))
    extra = next(e for e in listed(shop, ALL).besides if e.sort is Sort.BUY)
    thing = Thing(item=extra.item, unit_cost=extra.unit_cost)
    bought = Bought(id=extra.id, what=thing, packs=1)
    with shop.ports.work() as work:
        purchasing.record(work, shop.ports, [bought], ALL, who="owner", now=shop.now)
        work.leads.save(replace(work.leads.get(lead.id, lock=True), state=LeadState.DONE))
        assert "Nora" in work.purchases.lately(limit=1)[0].item
        forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    with shop.ports.read() as work:
        (kept,) = work.purchases.lately(limit=1)
    assert (kept.item, kept.packs) == ("", 1)


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


def test_what_a_job_left_over_is_free_again_and_a_corrected_number_too(
    red: BuiltShop, near: Lead
) -> None:
    buy(red, ALL, *lines_of(listed(red, ALL)))
    had, before = out(red, near), free(red)
    book = red.price_books.current()
    used = {key: number - 3 for key, number in had.items()}

    def put_back(used: dict[Key, int]) -> dict[Key, int]:
        with red.ports.work() as work:
            kept = work.leads.get(near.id, lock=True)
            left = leftovers.put_back(work, book, kept, used, who="owner", now=red.now)
            assert left == leftovers.unused(work, book, kept, used)
            work.commit()
        return dict(left)

    def more(number: int) -> dict[Key, int]:
        found = {key: before.get(key, 0) + number for key in had}
        return {key: n for key, n in {**before, **found}.items() if n}

    assert put_back(used) == dict.fromkeys(had, 3)
    assert put_back(used) == dict.fromkeys(had, 3)
    assert free(red) == more(3)
    with red.ports.read() as work:
        assert work.stock.moves(before=None, limit=1)[0].why is Why.UNUSED
    assert put_back({key: number - 1 for key, number in had.items()}) == dict.fromkeys(had, 1)
    assert free(red) == more(1)
    # More than it had: the rest did not come from the shelf.
    assert put_back({key: number + 4 for key, number in had.items()}) == {}
    assert free(red) == before


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
