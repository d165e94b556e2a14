import itertools
from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import PriceBook
from service.estimating.book import Bag, Holding, Kit, Policy, Substitute, Supplier
from service.estimating.shopping import Purchase, shop_for

Key = tuple[int, str]

MILL = Supplier(name="mill")
BRIDGE = Supplier(
    name="bridge", delivery=Decimal("9.50"), free_from=Decimal(60), minimum=Decimal(20)
)
SHARES = {f"leftovers valued at {share}": Decimal(share) for share in ("0", "0.5", "1")}


def small(book: PriceBook, **changed: object) -> PriceBook:
    """A shop that buys ten-inch white, at two suppliers, and everything else on special order."""
    orders = tuple(bag for bag in book.bags if bag.group == book.special_order_group)
    bags = (
        Bag(supplier="mill", group="plain", size_class=10, pack_size=20, unit_price=Decimal(4)),
        Bag(supplier="bridge", group="plain", size_class=10, pack_size=100, unit_price=Decimal(15)),
        *(replace(bag, supplier="mill") for bag in orders),
    )
    given = {
        "suppliers": (MILL, BRIDGE),
        "bags": bags,
        "kits": (),
        "stock": (),
        "substitutes": (),
        **changed,
    }
    return replace(book, **given)  # type: ignore[arg-type]  # entries by name


def valued(book: PriceBook, share: str) -> Policy:
    return replace(book.policy, leftovers_valued=Decimal(share))


def held(purchase: Purchase, book: PriceBook) -> Counter[Key]:
    """Everything that is bought or taken from stock, by what it is."""
    found: Counter[Key] = Counter()
    kits = {kit.item: kit for kit in book.kits}
    for line in purchase.shopping.lines:
        if line.size_class is not None and line.colour is not None:
            found[line.size_class, line.colour] += line.packs * line.pack_size
        else:
            for holding in kits[line.item].contents:
                found[holding.size_class, holding.colour] += line.packs * holding.count
    for stocked in purchase.shopping.from_stock:
        found[stocked.size_class, stocked.colour] += stocked.count
    return found


def test_delivery_and_minimum_decide_where_to_buy(book: PriceBook) -> None:
    shop = small(book)
    # 60: three bags at $4 in town are $12; a hundred is $15 and 9.50 of delivery, with 20 at least.
    near = shop_for({(10, "white"): 60}, shop).shopping
    assert [(line.supplier, line.packs) for line in near.lines] == [("mill", 3)]
    assert near.cost == 12
    # 400: twenty bags are $80; four hundreds are $60, and from there on delivery is free.
    far = shop_for({(10, "white"): 400}, shop).shopping
    (order,) = far.orders
    assert order.supplier == "bridge"
    assert (order.goods, order.delivery) == (Decimal(60), Decimal(0))
    # 200: ten bags are $40; two hundreds are $30 and 9.50.
    middle = shop_for({(10, "white"): 200}, shop).shopping
    assert middle.cost == Decimal("39.50")
    assert middle.orders[0].delivery == Decimal("9.50")


def test_what_is_in_stock_is_not_bought_and_is_worth_its_best_rate(book: PriceBook) -> None:
    shop = small(book, stock=(Holding(size_class=10, colour="white", count=34),))
    found = shop_for({(10, "white"): 50}, shop)
    assert [(line.colour, line.count) for line in found.shopping.from_stock] == [("white", 34)]
    assert found.shopping.cost == 4
    # 50 at 0.15 are 7.50; paid 4.00 and taken 34 at 0.15, 5.10: 1.60 is left in the bag.
    assert found.shopping.used_cost == Decimal("7.50")
    assert found.unused_cost == Decimal("1.60")


def test_one_color_by_two_names_is_one_color(book: PriceBook) -> None:
    shop = small(book, stock=(Holding(size_class=10, colour="bright white", count=10),))
    assert shop_for({(10, "white"): 10}, shop).shopping.cost == 0


def test_a_color_that_nobody_stocks_is_a_special_order(book: PriceBook) -> None:
    (line,) = shop_for({(10, "moonlit teal"): 30}, small(book)).shopping.lines
    assert (line.item, line.packs) == ("moonlit teal 10 in, bag of 50", 1)


def test_what_the_owner_allows_stands_in_where_it_is_cheaper(book: PriceBook) -> None:
    eleven = Bag(supplier="mill", group="plain", size_class=11, pack_size=25, unit_price=Decimal(3))
    plain = small(book)
    shop = replace(
        plain,
        bags=(*plain.bags, eleven),
        substitutes=(Substitute(wanted=10, instead=11),),
    )
    found = shop_for({(10, "white"): 25}, shop).shopping
    assert found.cost == 3
    assert [(f.size_class, f.by_size_class, f.count) for f in found.filled] == [(10, 11, 25)]
    # At equal prices the one that was asked for is bought.
    alike = replace(shop, bags=(*plain.bags, replace(eleven, pack_size=20, unit_price=Decimal(4))))
    same = shop_for({(10, "white"): 20}, alike).shopping
    assert same.cost == 4
    assert not same.filled


def test_a_mixed_pack_is_bought_where_it_saves(book: PriceBook) -> None:
    kit = Kit(
        item="mixed pack",
        supplier="mill",
        unit_price=Decimal(5),
        contents=(
            Holding(size_class=10, colour="white", count=30),
            Holding(size_class=10, colour="navy", count=30),
        ),
    )
    shop = small(book, kits=(kit,))
    found = shop_for({(10, "white"): 25, (10, "navy"): 30}, shop).shopping
    (line,) = found.lines
    assert (line.item, line.pack_size, line.cost) == ("mixed pack", 60, Decimal(5))
    assert [(left.colour, left.count) for left in found.left_over] == [("white", 5)]


def test_what_a_rule_says_twice_is_one_rule(book: PriceBook) -> None:
    for_all, for_one = (
        Substitute(wanted=10, instead=11),
        Substitute(wanted=10, instead=11, colour="white"),
    )
    itself = Substitute(wanted=5, instead=5)
    shop = small(book, substitutes=(for_all, for_one, itself))
    assert shop.shelf.stand_ins((10, "white")) == ((11, "white"),)
    assert shop.shelf.stand_ins((5, "white")) == ()
    assert shop_for({(10, "white"): 20}, shop).shopping.cost == 4


@pytest.mark.parametrize("share", SHARES.values(), ids=SHARES)
def test_leftovers_may_be_valued_at_anything_up_to_their_price(
    book: PriceBook, share: Decimal
) -> None:
    # At its full price a leftover would be worth buying without an end: it is held just below.
    shop = replace(book, policy=valued(book, str(share)))
    found = shop_for({(10, "white"): 60, (5, "sage"): 35}, shop).shopping
    assert found.proven_cheapest
    assert found.leftover_value <= found.cost
    assert (found.leftover_value > 0) is (share > 0)


def test_a_mixed_pack_below_the_price_of_its_bags_is_never_worth_its_price(
    book: PriceBook,
) -> None:
    kit = replace(book.kits[0], unit_price=Decimal(2))
    shop = replace(book, kits=(kit,), policy=valued(book, "0.9"))
    found = shop_for({(10, "sage"): 20}, shop).shopping
    assert [(line.item, line.packs) for line in found.lines] == [(kit.item, 1)]
    assert found.leftover_value < found.cost


keys = st.tuples(
    st.sampled_from([5, 10, 11, 16, 18]),
    st.sampled_from(["white", "sage", "cream", "gold", "navy", "moonlit teal"]),
)


@settings(deadline=None)
@given(wanted=st.dictionaries(keys, st.integers(1, 150), min_size=1, max_size=8))
def test_the_list_covers_what_is_wanted_and_adds_up(
    book: PriceBook, wanted: dict[Key, int]
) -> None:
    found = shop_for(wanted, book)
    shopping = found.shopping
    lacking = Counter(wanted)
    lacking.subtract(held(found, book))
    for fill in shopping.filled:
        lacking[fill.size_class, fill.colour] -= fill.count
        lacking[fill.by_size_class, fill.by_colour] += fill.count
    assert all(number <= 0 for number in lacking.values())
    # Whatever is beyond the wanted was bought and is left over, to the piece.
    over = {(left.size_class, left.colour): left.count for left in shopping.left_over}
    assert {key: -number for key, number in lacking.items() if number < 0} == over
    goods = sum((line.cost for line in shopping.lines), Decimal(0))
    assert goods == sum((order.goods for order in shopping.orders), Decimal(0))
    assert shopping.cost == goods + sum((o.delivery for o in shopping.orders), Decimal(0))
    assert shopping.used_cost == sum(n * found.rates[key] for key, n in wanted.items())
    assert found.unused_cost >= 0
    minimum = {supplier.name: supplier.minimum for supplier in book.suppliers}
    assert all(order.goods >= minimum[order.supplier] for order in shopping.orders)


def test_the_list_is_the_cheapest_of_all_there_are(book: PriceBook) -> None:
    shop = small(book)
    for wanted in (1, 20, 21, 99, 120, 250):
        bags = itertools.product(range(14), range(4))
        costs = [
            4 * mill + (15 * far + (Decimal("9.50") if 15 * far < 60 else 0) if far else 0)
            for mill, far in bags
            if 20 * mill + 100 * far >= wanted and (not far or 15 * far >= 20)
        ]
        assert shop_for({(10, "white"): wanted}, shop).shopping.cost == min(costs)
