"""What floats is bought with the bags; what was paid for a job is known by its cost lines."""

from collections import Counter
from decimal import Decimal

import pytest

from service.estimating import Accent, AccentKind, Floating, FloatKind, Piece, Support
from service.leads import leftovers, stocking
from service.leads.lead import Lead, Quote
from service.leads.paid import paid_for
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import Thing
from tests.service.building import BuiltShop
from tests.service.workshop.booked_jobs import book_job, buy, lines_of, listed, out, wall
from tests.service.workshop.shopping_list.buying import alone

FLOWERS = Accent(kind=AccentKind.FLOWERS, count=7, words="white roses")
ELEVENS = Floating(kind=FloatKind.LATEX, size_class=11, count=12)
KEYS = [(11, "navy"), (11, "white")]


@pytest.fixture(name="job")
def _job(shop: BuiltShop) -> tuple[Lead, Quote]:
    """A booked job with flowers, a foil and a dozen that float."""
    piece = Piece(support=Support.WALL, length_m=2.0, accents=(FLOWERS,))
    brief = wall(2.0, "navy", "white", pieces=(piece,), floating=(ELEVENS,), foils=("5",))
    lead = book_job(shop, brief)
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    return lead, quote


def test_what_floats_is_bought_with_the_bags_and_kept_for_its_job(
    shop: BuiltShop, job: tuple[Lead, Quote]
) -> None:
    lead, quote = job
    found = listed(shop, alone(lead))
    assert not [each for each in found.besides if each.item.startswith("11 in latex")]
    held: Counter[tuple[int, str]] = Counter()
    for line in lines_of(found):
        for each in line.contents:
            held[each.size_class, each.colour] += each.count * line.packs
    assert all(held[key] >= 7 for key in KEYS)
    buy(shop, alone(lead), *lines_of(found))
    assert all(out(shop, lead)[key] == 7 for key in KEYS)
    with shop.ports.work() as work:
        # The same price again takes none of them away.
        stocking.take_out(work, lead, quote.estimate, who="owner", now=shop.now)
        work.commit()
    assert all(out(shop, lead)[key] == 7 for key in KEYS)


def test_what_was_paid_stands_for_what_was_planned(
    shop: BuiltShop, job: tuple[Lead, Quote]
) -> None:
    lead, quote = job
    book = shop.price_books.current()
    scope = alone(lead)
    roses = next(e for e in listed(shop, scope).besides if e.item == "flowers: white roses")
    assert (roses.count, roses.unit_cost) == (7, book.fittings.accents[AccentKind.FLOWERS].price)
    ten = Bought(
        id=roses.id,
        what=Thing(item=roses.item, unit_cost=roses.unit_cost),
        packs=10,
        paid=Decimal(20),
    )
    with shop.ports.work() as work:
        assert not paid_for(work, quote, book).things
        purchasing.record(work, shop.ports, [ten], scope, who="owner", now=shop.now)
        work.commit()
    bags = [line for line in lines_of(listed(shop, scope)) if line.size_class == 11]
    buy(shop, scope, *bags)
    with shop.ports.read() as work:
        paid = paid_for(work, quote, book)
    flowers = paid.things["flowers: white roses"]
    assert (flowers.count, flowers.spent) == (7, Decimal("20.00"))
    mounts = 7 * book.fittings.accents[AccentKind.FLOWERS].mount_price
    (line,) = (e for e in quote.estimate.cost_lines if e.label == "flowers: white roses")
    assert paid.real(line.label, line.amount, line.quantity) == Decimal("20.00") + mounts
    rates = {
        (each.size_class, each.colour): line.cost / (line.packs * line.pack_size)
        for line in bags
        for each in line.contents
    }
    assert paid.balloons == rates
    floats = paid.things["11 in latex for helium"]
    assert floats.count == 12
    assert floats.spent == sum((6 * rates[key]).quantize(Decimal("0.01")) for key in KEYS)
    # A foil that nobody wrote down goes as planned.
    assert paid.real("foil digit, air-filled", Decimal(8), Decimal(1)) is None


def test_of_what_floats_only_the_spares_come_back(shop: BuiltShop, job: tuple[Lead, Quote]) -> None:
    lead, _ = job
    buy(shop, alone(lead), *lines_of(listed(shop, alone(lead))))
    with shop.ports.read() as work:
        book = shop.price_books.current()
        used = dict.fromkeys(KEYS, 6)
        left = leftovers.unused(work, book, lead, {**out(shop, lead), **used})
    assert left == dict.fromkeys(KEYS, 1)
