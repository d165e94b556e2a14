"""What a shopping list asks for, for whom, and by when it is to be ordered."""

import datetime as dt
from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    ColourShare,
    Floating,
    FloatKind,
    Piece,
    Support,
    estimate,
)
from service.estimating.book import Bag, Key, Supplier
from service.leads.serving import served
from service.workshop.shopping_list import Question, Sort, Timing, solve
from service.workshop.shopping_list.besides import extras
from service.workshop.shopping_list.sharing import shares
from tests.service.workshop.shopping_list.listing import (
    COLOURS,
    TODAY,
    brief_of,
    demo,
    fewest,
    job,
    listed,
    made,
    taking,
)

_FLOWERS = AccentKind.FLOWERS


@settings(deadline=None, max_examples=25)
@given(counts=st.lists(st.integers(1, 60), min_size=1, max_size=5))
def test_shared_spares_are_enough_for_the_jobs_up_to_any_day(counts: list[int]) -> None:
    level = 0.99
    jobs = [job([taking(10, n, level)], f"G{number}") for number, n in enumerate(counts)]
    each = [own[10, "white"] for own in shares(jobs, level).values()]
    for upto in range(1, len(counts) + 1):
        alone = sum(fewest(n, 0.05, level) for n in counts[:upto])
        assert sum(each[:upto]) >= min(alone, fewest(sum(counts[:upto]), 0.05, level))
    assert all(share >= n for share, n in zip(each, counts, strict=True))


def test_what_a_job_has_already_is_not_bought_again() -> None:
    answer = made(2.0, "navy")
    has = {(line.size_class, line.colour): line.taken for line in answer.spares}
    found = listed(job(answer.spares, has=has))
    assert not found.suppliers
    assert found.cost == 0
    assert {(e.size_class, e.colour): e.aside for e in found.shelf} == has
    assert not found.to_set_aside


def test_each_line_says_which_jobs_it_is_for_and_when_the_first_begins() -> None:
    near, far = dt.date(2027, 6, 20), dt.date(2027, 7, 20)
    navy, both = made(2.0, "navy"), made(2.0, "navy", "red")
    found = listed(job(navy.spares, "G1", making_on=near), job(both.spares, "G2", making_on=far))
    lines = [line for supplier in found.suppliers for line in supplier.lines]
    for_navy = next(line for line in lines if line.colour == "navy" and line.size_class == 10)
    assert [each.number for each in for_navy.jobs] == ["G1", "G2"]
    assert for_navy.making_on == near
    red = next(line for line in lines if line.colour == "red")
    assert [each.number for each in red.jobs] == ["G2"]
    assert red.making_on == far


def test_the_shelf_serves_the_nearest_job_so_that_the_order_may_wait() -> None:
    near, far = dt.date(2027, 6, 3), dt.date(2027, 7, 20)
    navy = made(1.25, "navy")
    free = {(line.size_class, line.colour): line.taken for line in navy.spares}
    found = listed(
        job(navy.spares, "G1", making_on=near), job(navy.spares, "G2", making_on=far), free=free
    )
    assert found.to_set_aside
    assert {line.making_on for supplier in found.suppliers for line in supplier.lines} == {far}
    assert {supplier.timing for supplier in found.suppliers} == {Timing.IN_TIME}


@pytest.mark.parametrize(
    ("making_on", "timing", "order_by"),
    [
        # From Tuesday, four working days are Monday the 7th.
        ("2027-06-10", Timing.IN_TIME, "2027-06-03"),
        ("2027-06-08", Timing.TODAY, "2027-06-01"),
        ("2027-06-07", Timing.JUST, "2027-05-28"),
        ("2027-06-06", Timing.LATE, "2027-05-28"),
    ],
)
def test_an_order_is_due_by_the_suppliers_working_days_with_a_day_in_hand(
    making_on: str, timing: Timing, order_by: str
) -> None:
    # A special order, which one supplier takes.
    day = dt.date.fromisoformat(making_on)
    found = listed(job(made(3.5, "moonlit teal").spares, making_on=day))
    (supplier,) = found.suppliers
    assert (supplier.timing, supplier.order_by) == (timing, dt.date.fromisoformat(order_by))
    assert supplier.arrives_on == dt.date(2027, 6, 7)
    assert (supplier.sooner is not None) is (timing is Timing.LATE)


def test_where_nobody_is_faster_it_says_so() -> None:
    late = job(made(3.5, "moonlit teal").spares, making_on=dt.date(2027, 6, 6))
    (supplier,) = listed(late).suppliers
    assert supplier.sooner is not None
    assert not supplier.sooner.lines
    missing = {(e.size_class, e.colour): e.count for e in supplier.sooner.missing}
    assert missing == late.alone


def test_for_what_comes_too_late_a_faster_supplier_is_named() -> None:
    soon, later = dt.date(2027, 6, 4), dt.date(2027, 7, 20)
    white = made(6.0, "white").spares
    found = listed(
        job(white, "G1", making_on=soon), *(job(white, f"G{n}", making_on=later) for n in (2, 3))
    )
    wholesale = next(s for s in found.suppliers if s.name == "Two Bridges Wholesale")
    assert wholesale.timing is Timing.LATE
    sooner = wholesale.sooner
    assert sooner is not None
    assert sooner.numbers == ("G1",)
    assert sooner.in_time
    assert sooner.arrives_on == dt.date(2027, 6, 2)
    assert {line.supplier for line in sooner.lines} == {"Millrace Party Supply"}
    late = {(h.size_class, h.colour) for line in wholesale.lines for h in line.contents}
    held = Counter[Key]()
    for line in sooner.lines:
        held[line.size_class or 0, line.colour or ""] += line.packs * line.pack_size
    for spare in white:
        key = spare.size_class, spare.colour
        assert held[key] >= (spare.taken if key in late else 0)


def test_at_the_same_price_it_is_bought_where_one_is_already_and_where_it_comes_in_time() -> None:
    mill, bridge = "Millrace Party Supply", "Two Bridges Wholesale"
    usual = demo()
    special = [bag for bag in usual.bags if bag.group == usual.special_order_group]
    bag = Bag(
        supplier=bridge, group="plain", size_class=10, pack_size=50, unit_price=Decimal("8.75")
    )
    twins = (bag, replace(bag, supplier=mill))
    slow = Supplier(name=bridge, lead_days=9)
    book = replace(
        usual,
        bags=(*twins, *special),
        kits=(),
        suppliers=(slow, Supplier(name=mill)),
        substitutes=(),
    )
    some = [taking(10, 40, 0.99)]

    def chosen(making_on: dt.date, *visited: str) -> str:
        jobs = (job(some, making_on=making_on),)
        asked = Question(jobs=jobs, free={}, today=TODAY, visited=frozenset(visited))
        (supplier,) = solve(asked, book).suppliers
        return supplier.name

    soon, later = TODAY + dt.timedelta(3), TODAY + dt.timedelta(60)
    assert chosen(soon) == mill
    assert chosen(later, mill) == mill
    assert chosen(later, bridge) == bridge
    cheaper = replace(book, bags=(replace(bag, unit_price=Decimal("8.70")), twins[1], *special))
    (supplier,) = solve(
        Question(
            jobs=(job(some, making_on=soon),), free={}, today=TODAY, visited=frozenset([mill])
        ),
        cheaper,
    ).suppliers
    assert supplier.name == bridge


def test_without_a_proof_the_gap_is_told_in_money() -> None:
    jobs = [job(made(6.0, *COLOURS[:3]).spares, f"G{n}") for n in range(3)]
    asked = Question(jobs=tuple(jobs), free={}, today=TODAY)
    hurried = solve(asked, demo(), time_limit_s=0.0)
    assert not hurried.proven
    assert hurried.cost >= solve(asked, demo()).cost >= hurried.cost - hurried.could_save - 1


def test_balloons_serve_their_own_kind_before_another() -> None:
    ten, eleven, more = (10, "navy"), (11, "navy"), (12, "navy")
    stand_ins = {ten: (eleven, more), more: (eleven,)}
    found = served(
        {ten: 5, eleven: 3, more: 2}, {eleven: 9, more: 1}, lambda key: stand_ins.get(key, ())
    )
    assert not found.lacking
    assert not found.idle
    some = served({ten: 5}, {ten: 2, eleven: 1}, lambda _: (eleven,))
    assert (some.lacking, some.idle) == ({ten: 2}, {})


def test_besides_balloons_what_is_bought_hired_or_at_hand_is_listed_and_what_is_owned_is_not() -> (
    None
):
    book = demo()
    flowers = Accent(kind=AccentKind.FLOWERS, count=8, words="white roses")
    piece = Piece(support=Support.HOOP, width_m=2.6, accents=(flowers,))
    column = Piece(support=Support.COLUMN, height_m=1.8, count=2)
    brief = Brief(
        pieces=(piece, column),
        palette=(ColourShare(colour="white"),),
        foils=("50", "5", "LOVE", "star"),
        floating=(Floating(kind=FloatKind.LATEX, size_class=11, count=12),),
    )
    answer = estimate(brief, book, today=TODAY)
    making, leaving = dt.date(2027, 6, 3), dt.date(2027, 6, 6)
    found = extras(brief, answer, book, {}, making_on=making, leaves_on=leaving)
    by_name = {each.item: each for each in found}
    bought = {e.item: e.count for e in found if e.sort is Sort.BUY}
    assert (
        bought.items()
        >= {
            "foil digit 5": 2,
            "foil digit 0": 1,
            "foil letter L": 1,
            "foil shape star": 1,
            "flowers: white roses": 8,
            "11 in latex for helium, white": 14,
        }.items()
    )
    hired = [e for e in found if e.sort is Sort.HIRE]
    assert {e.item.split(",")[0] for e in hired} >= {"hoop"}
    assert {e.wanted_on for e in hired} == {leaving}
    assert by_name["foil digit 5"].wanted_on == making
    # What a shop asks for: the band that holds it is among the supplies.
    assert by_name["foil digit 5"].unit_cost == book.fittings.foils.digit.price
    assert by_name["flowers: white roses"].unit_cost == book.fittings.accents[_FLOWERS].price
    with_the_rest = extras(
        brief, answer, book, {}, in_bags={(11, "white")}, making_on=making, leaves_on=leaving
    )
    assert not [e for e in with_the_rest if e.item.startswith("11 in latex")]
    supplies = {e.item for e in found if e.sort is Sort.SUPPLIES}
    assert supplies >= {"cord", "clips", "tape"}
    said = " ".join(by_name)
    assert "column stand" not in said
    assert "pump" not in said
    assert "sandbag" not in said


def test_what_was_bought_besides_is_not_asked_for_again() -> None:
    book = demo()
    brief = replace(brief_of(2.0, "white"), foils=("50", "5"))
    answer = estimate(brief, book, today=TODAY)
    bought = {"foil digit 5": 1, "foil digit 0": 1, "cord": 1}
    found = extras(brief, answer, book, bought, making_on=None, leaves_on=None)
    left = {each.item: each.count for each in found}
    assert left["foil digit 5"] == 1
    assert "foil digit 0" not in left
