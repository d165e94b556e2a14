"""The shopping list on paper and as a table."""

import csv
import datetime as dt
import io
from dataclasses import replace
from decimal import Decimal
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from service.estimating import StockLine
from service.estimating.book import Holding
from service.rendering import shopping_list, shopping_sheet
from service.rendering.paper import PaperSize
from service.wording import load
from service.workshop.shopping_list import (
    Besides,
    Job,
    Line,
    Shelved,
    ShoppingList,
    Sooner,
    Sort,
    StandIn,
    Supplied,
    Timing,
    Wanted,
)
from tests.service.rendering.reading import clipped, fonts_of, text_of

TODAY = dt.date(2027, 6, 1)
NOON = dt.datetime(2027, 6, 1, 16, tzinfo=dt.UTC)
LONG = "Two Bridges and Lower Mill Street Wholesale Party and Celebration Supply Company"
JOBS = tuple(
    Wanted(lead_id=f"lead{n}", number=f"G10{n:02}", count=9, making_on=dt.date(2027, 6, 3))
    for n in range(7)
)


def a_line(colour: str, size: int, supplier: str = LONG) -> Line:
    return Line(
        id=f"{colour}-{size}",
        supplier=supplier,
        item=f"{colour} {size} in, bag of 50",
        size_class=size,
        colour=colour,
        pack_size=50,
        contents=(Holding(size_class=size, colour=colour, count=50),),
        packs=2,
        unit_price=Decimal("8.75"),
        cost=Decimal("17.50"),
        jobs=JOBS[:2],
        making_on=dt.date(2027, 6, 3),
        order_by=dt.date(2027, 5, 26),
        timing=Timing.LATE,
    )


def kit() -> Line:
    contents = tuple(
        Holding(size_class=size, colour=colour, count=30)
        for colour in ("navy", "grey", "light blue")
        for size in (5, 10)
    )
    return replace(
        a_line("navy", 10),
        item="mixed pack regatta",
        size_class=None,
        colour=None,
        contents=contents,
        jobs=JOBS,
        order_by=dt.date(2027, 6, 9),
        timing=Timing.IN_TIME,
    )


@cache
def a_list() -> ShoppingList:
    """One with everything in it, long names and many lines."""
    lines = (kit(), *(a_line(f"colour number {n}", 10) for n in range(60)))
    sooner = Sooner(
        numbers=("G1000", "G1001"),
        lines=(a_line("navy", 10, supplier="Millrace Party Supply"),),
        cost=Decimal("17.50"),
        in_time=True,
        arrives_on=dt.date(2027, 6, 2),
    )
    supplier = Supplied(
        name=LONG,
        lead_days=4,
        working_days=True,
        lines=lines,
        goods=sum((line.cost for line in lines), Decimal(0)),
        delivery=Decimal("9.50"),
        arrives_on=dt.date(2027, 6, 7),
        order_by=dt.date(2027, 5, 26),
        timing=Timing.LATE,
        sooner=sooner,
    )
    extras = (
        (Sort.BUY, "flowers: =white roses", "stem", 16),
        (Sort.HIRE, "hoop, hired", "piece", 1),
        (Sort.SUPPLIES, "cord", "m", 40),
    )
    return ShoppingList(
        jobs=tuple(
            Job(lead_id=j.lead_id, number=j.number, booked=True, takes=(), alone={}, has={})
            for j in JOBS
        ),
        today=TODAY,
        currency="USD",
        suppliers=(supplier,),
        shelf=(
            Shelved(size_class=5, colour="white", aside=60, free=0),
            Shelved(size_class=10, colour="grey", aside=4, free=8),
        ),
        stand_ins=(StandIn(wanted=(10, "navy"), source=(11, "navy"), count=12),),
        left_over=(StockLine(size_class=10, colour="grey", count=7),),
        besides=tuple(
            Besides(
                id=item,
                sort=sort,
                item=item,
                unit=unit,
                count=count,
                unit_cost=Decimal("2.45"),
                jobs=JOBS[:1],
                wanted_on=dt.date(2027, 6, 4),
            )
            for sort, item, unit, count in extras
        ),
        unknown=(StockLine(size_class=24, colour="white", count=6),),
        proven=False,
        gap=0.012,
    )


def printed(found: ShoppingList, size: PaperSize = PaperSize.LETTER) -> bytes:
    return shopping_list.pdf(
        found,
        name="jobs until Mon, Jun 28",
        shop="Harbor Lane Balloons",
        made_at=NOON,
        size=size,
        words=load(None).as_shipped("en"),
    )


@pytest.mark.parametrize("size", PaperSize)
def test_everything_is_on_paper_and_nothing_is_cut_off(size: PaperSize) -> None:
    pdf = printed(a_list(), size)
    assert clipped(pdf) == []
    assert all(fonts_of(pdf).values())
    said = text_of(pdf)
    for text in (
        LONG,
        "colour number 59 10 in, bag of 50",
        "30 navy 5 in, 30 navy 10 in, 30 gray 5 in",
        "for G1000, G1001, G1002 and 4 more",
        "Balloons $1,077.00, $9.50 of it for delivery.",
        "With what is to be bought and hired besides it comes to about $",
        "For G1000, G1001",
        "Delivery $9.50",
        "Too late: this was to be ordered by Wed, May 26. Ordered today it is there by Mon, Jun 7",
        "For G1000 and G1001 get these elsewhere, there by Wed, Jun 2",
        "8 × gray 10 in",
        "60 × white 5 in",
        "12 navy 11 in instead of navy 10 in",
        "10 in: 7 gray",
        "16 × flowers: =white roses",
        "needed Fri, Jun 4",
        "1 × hoop, hired",
        "cord, 131 ft",
        "Your price book no longer has 6 white 24 in",
        "it could be $12.93 less at most",
        "order by Wed, Jun 9",
    ):
        assert text in said, text


def test_a_list_with_nothing_to_buy_says_so() -> None:
    has = replace(a_list(), suppliers=(), besides=(), unknown=(), stand_ins=(), proven=True)
    said = text_of(printed(has))
    assert "No balloons are to be bought: the shelf has them." in said
    assert "To hire" not in said
    nothing = replace(has, jobs=(), shelf=(), left_over=())
    assert "No booked job needs anything by then." in text_of(printed(nothing))


def test_the_table_adds_up_and_runs_nothing() -> None:
    written = shopping_sheet.sheet(a_list(), ZoneInfo("America/New_York")).decode()
    rows = list(csv.DictReader(io.StringIO(written, newline="")))
    bought = [row for row in rows if row["what"] in ("buy", "delivery")]
    spent = sum((Decimal(row["cost"]) for row in bought if row["supplier"]), Decimal(0))
    assert spent == a_list().cost
    by_what = {row["what"]: row for row in rows}
    assert by_what["sooner"]["supplier"] == "Millrace Party Supply"
    assert by_what["from the shelf"]["number"] == "8"
    assert by_what["left over"]["colour"] == "grey"
    assert by_what["not on sale"]["size_in"] == "24"
    assert (by_what["hire"]["needed_on"], by_what["hire"]["jobs"]) == ("2027-06-04", "G1000")
    assert next(row for row in rows if "roses" in row["item"])["item"] == "flowers: =white roses"
    assert rows[0]["order_by"] == "2027-06-09"
    odd = replace(a_list().besides[0], item="=1+2")
    risky = shopping_sheet.sheet(replace(a_list(), besides=(odd,)), ZoneInfo("UTC")).decode()
    assert "'=1+2" in risky
