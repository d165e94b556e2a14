"""What was bought is changed or undone; jobs are called off, priced anew, done, erased."""

from dataclasses import replace
from decimal import Decimal

import pytest

from service.estimating import Accent, AccentKind, Piece, Support
from service.leads import booking, forgetting, leftovers, stocking
from service.leads.lead import Lead, LeadState, NotFound, StaleDecision
from service.leads.stock import Key, Why
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import PurchaseRefused, Sort, Thing
from tests.service.building import BuiltShop
from tests.service.workshop.booked_jobs import (
    book_job,
    buy,
    free,
    lines_of,
    listed,
    out,
    wall,
)
from tests.service.workshop.shopping_list.buying import ALL, alone, change, needs

CENT = Decimal("0.01")


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


def test_when_a_purchase_shrinks_the_farthest_job_loses_its_balloons_first(
    red: BuiltShop, near: Lead, far: Lead
) -> None:
    key, line = (10, "red"), next(e for e in lines_of(listed(red, ALL)) if e.size_class == 10)
    buy(red, ALL, line, packs=4)
    has, all_have = out(red, near)[key], out(red, near)[key] + out(red, far)[key]
    with red.ports.read() as work:
        paid = work.purchases.lately(limit=1)[0].cost
    left = -(-has // line.pack_size)
    assert line.pack_size < has < left * line.pack_size < all_have
    change(red, line, seen=4, packs=left)
    assert out(red, near)[key] == has
    assert out(red, far).get(key, 0) == left * line.pack_size - has
    change(red, line, seen=left, packs=1)
    assert out(red, far).get(key, 0) == 0
    assert out(red, near)[key] == line.pack_size
    # Nobody has said what was paid for fewer: it is each pack's share.
    with red.ports.read() as work:
        assert work.purchases.lately(limit=1)[0].cost == (paid / 4).quantize(CENT)


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


def test_erasing_a_client_takes_their_words_off_what_was_bought(shop: BuiltShop) -> None:
    sign = Accent(kind=AccentKind.SIGN, count=1, words="Fifty years of Nora")
    piece = Piece(support=Support.WALL, length_m=1.0, accents=(sign,))
    lead = book_job(shop, wall(1.0, "white", pieces=(piece,)))
    extra = next(e for e in listed(shop, ALL).besides if e.sort is Sort.BUY)
    thing = Thing(item=extra.item, unit_cost=extra.unit_cost)
    bought = Bought(id=extra.id, what=thing, packs=1)
    with shop.ports.work() as work:
        purchasing.record(work, shop.ports, [bought], ALL, who="owner", now=shop.now)
        # Bought once more, though the job has what it needs: it is that job's all the same.
        more = replace(bought, id="once more")
        purchasing.record(work, shop.ports, [more], alone(lead), who="owner", now=shop.now)
        work.leads.save(replace(work.leads.get(lead.id, lock=True), state=LeadState.DONE))
        assert all("Nora" in each.item for each in work.purchases.lately(limit=2))
        forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    with shop.ports.read() as work:
        kept = work.purchases.lately(limit=9)
    assert [(each.item, each.packs) for each in kept] == [("", 1)] * 2


def test_what_no_job_lacks_any_more_is_written_down_on_its_jobs_own_list(
    red: BuiltShop, near: Lead, far: Lead
) -> None:
    ribbon = Bought(id="ribbon", what=Thing(item="ribbon", unit_cost=Decimal(2)), packs=3)
    with red.ports.work() as work, pytest.raises(PurchaseRefused, match="None of these jobs"):
        purchasing.record(work, red.ports, [ribbon], ALL, who="owner", now=red.now)
    with red.ports.work() as work:
        purchasing.record(work, red.ports, [ribbon], alone(near), who="owner", now=red.now)
        work.commit()
    with red.ports.read() as work:
        assert [each.id for each in work.purchases.of_leads([near.id])] == ["ribbon"]
        assert not work.purchases.of_leads([far.id])


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
