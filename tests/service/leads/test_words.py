"""How figures are said to people."""

from datetime import date, time
from decimal import Decimal

import pytest

from service.estimating import CostLine, Fullness, Piece, Support
from service.leads import words


@pytest.mark.parametrize(
    ("metres", "said"),
    [
        (2.1336, "7 ft"),
        (1.9812, "6 ft 6 in"),
        (0.2032, "8 in"),
        # 11.96 in is a foot, and not "0 ft 12 in"
        (0.3038, "1 ft"),
    ],
)
def test_feet_and_inches(metres: float, said: str) -> None:
    assert words.feet(metres) == said


@pytest.mark.parametrize(
    ("amount", "said"),
    [("480", "$480"), ("480.00", "$480"), ("1480.5", "$1,480.50"), ("0.05", "$0.05")],
)
def test_money(amount: str, said: str) -> None:
    assert words.money(Decimal(amount), "USD") == said


def test_a_day_names_its_weekday() -> None:
    assert words.day(date(2027, 6, 6)) == "Sunday, June 6, 2027"


def test_a_time_is_said_by_the_twelve_hour_clock() -> None:
    assert words.clock(time(15, 5)) == "3:05 PM"


def test_a_list_reads_as_a_sentence() -> None:
    assert words.listed(["sage"]) == "sage"
    assert words.listed(["sage", "cream", "gold"]) == "sage, cream and gold"
    assert words.listed(["sage", "cream", "gold"], "or") == "sage, cream or gold"


@pytest.mark.parametrize(
    ("line", "leads_to"),
    [
        ("hello@shop.example", "mailto:hello@shop.example"),
        ("Email hello@shop.example", "mailto:hello@shop.example"),
        ("phone +1 617 555 0142", "tel:+16175550142"),
        ("Tel. (617) 555-0142", "tel:6175550142"),
        ("617.555.0142", "tel:6175550142"),
        ("Ida Marsh, Harbor Lane Balloons", None),
        ("12 Harbor Lane, Alder Mills", None),
        ("PO Box 1234567", None),
        ("https://shop.example", None),
    ],
)
def test_a_contact_line_leads_to_what_it_names(line: str, leads_to: str | None) -> None:
    assert words.address(line) == leads_to


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (
            ("Ida Marsh", "12 Harbor Lane", "phone +1 617 555 0142", "hello@shop.example"),
            "phone +1 617 555 0142 or hello@shop.example",
        ),
        (("hello@shop.example",), "hello@shop.example"),
        (("Ida Marsh", "12 Harbor Lane"), "Ida Marsh; 12 Harbor Lane"),
    ],
)
def test_the_shop_is_reached_by_what_one_can_call_or_write_to(
    lines: tuple[str, ...], said: str
) -> None:
    assert words.reached_by(lines) == said


def test_a_piece_is_said_in_feet() -> None:
    frame = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
    assert words.piece(frame) == "round-top frame, 4 ft wide and 7 ft tall, full"
    columns = Piece(support=Support.COLUMN, count=2, height_m=1.8288, fullness=Fullness.AIRY)
    assert words.piece(columns) == "2 columns, 6 ft tall"


def test_a_cost_line_is_said_in_miles_and_costs_the_same() -> None:
    line = CostLine(
        code="vehicle",
        label="car",
        quantity=Decimal("33.77"),
        unit="km",
        rate=Decimal("0.4505"),
        amount=Decimal("15.21"),
    )
    quantity, unit, rate = words.cost(line)
    # 33.77 km / 1.609344; 0.4505 a km × 1.609344
    assert (round(quantity, 2), unit, round(rate, 3)) == (
        Decimal("20.98"),
        "miles",
        Decimal("0.725"),
    )
    assert abs(quantity * rate - line.quantity * line.rate) < Decimal("1e-12")
