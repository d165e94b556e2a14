"""How figures are said to people."""

from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest

from service.estimating import (
    Accent,
    AccentKind,
    CostLine,
    Floating,
    FloatKind,
    Fullness,
    Ground,
    Pattern,
    Piece,
    Placement,
    Price,
    Setting,
    Site,
    Support,
)
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
    assert words.clock(time(15, 5)) == "3:05\N{NO-BREAK SPACE}PM"


def test_a_list_reads_as_a_sentence() -> None:
    assert words.listed(["sage"]) == "sage"
    assert words.listed(["sage", "cream", "gold"]) == "sage, cream and gold"
    assert words.ENGLISH.either(["sage", "cream", "gold"]) == "sage, cream or gold"


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


HOOP: dict[str, Any] = {"support": Support.HOOP, "width_m": 1.8288}


@pytest.mark.parametrize(
    ("said_by_the_client", "said"),
    [
        ({"coverage": 1.0}, "hoop, 6 ft across, full"),
        ({"coverage": 0.7}, "hoop, 6 ft across, full, 70% covered"),
        ({"placement": Placement.ONE_SIDE}, "hoop, 6 ft across, full, on one side"),
        (
            {"placement": Placement.ASYMMETRIC, "coverage": 0.6, "pattern": Pattern.OMBRE},
            "hoop, 6 ft across, full, long on one side and short on the other, 60% covered,"
            " in ombré",
        ),
        ({"pattern": Pattern.STRIPE}, "hoop, 6 ft across, full, striped"),
        (
            {"accents": (Accent(kind=AccentKind.GREENERY), Accent(kind=AccentKind.FABRIC_COVER))},
            "hoop, 6 ft across, full; with greenery and a fabric cover",
        ),
        (
            {"count": 2, "accents": (Accent(kind=AccentKind.RIBBON, count=6),)},
            "2 hoops, 6 ft across, full; each with 6 ribbon streamers",
        ),
    ],
)
def test_a_piece_is_said_with_where_how_and_what_is_on_it(
    said_by_the_client: dict[str, Any], said: str
) -> None:
    assert words.piece(Piece(**HOOP | said_by_the_client)) == said


def test_steps_and_drops_are_measures_too() -> None:
    stairs = Piece(support=Support.STAIRCASE, steps=12)
    assert words.piece(stairs) == "staircase garland, 12 steps, full"
    table = Piece(support=Support.TABLE, length_m=2.4384, drop_m=0.6096)
    assert words.piece(table) == "table garland, 8 ft long and 2 ft down at each end, full"


@pytest.mark.parametrize(
    ("accent", "said"),
    [
        (Accent(kind=AccentKind.FLOWERS), "flowers"),
        (
            Accent(kind=AccentKind.FLOWERS, count=8, words="white roses"),
            "8 stems of flowers (white roses)",
        ),
        (Accent(kind=AccentKind.GREENERY, count=1), "1 stem of greenery"),
        (Accent(kind=AccentKind.SIGN, words="Ahoy"), "a sign (“Ahoy”)"),
    ],
)
def test_accents(accent: Accent, said: str) -> None:
    assert words.accent(accent) == said


def test_what_floats_says_its_size_and_its_kind() -> None:
    latex = Floating(kind=FloatKind.LATEX, size_class=11, count=12, treated=True)
    assert words.floating(latex) == "12 helium balloons, 11 in latex, treated to float longer"
    star = Floating(kind=FloatKind.FOIL_STAR, size_class=19)
    assert words.floating(star) == "1 helium balloon, 19 in foil star"


def test_the_place_is_said_in_degrees_fahrenheit_miles_an_hour_and_feet() -> None:
    site = Site(
        setting=Setting.OUTDOOR,
        temperature_c=29,
        gust_m_s=8.175,
        ground=Ground.GRASS,
        elevation_m=914.4,
    )
    # 29 · 9/5 + 32 = 84.2; 8.175 / 0.44704 = 18.3; 914.4 / 0.3048 = 3000
    assert words.conditions(site) == "84 °F, gusts of 18 mph, on grass, 3,000 ft above the sea"
    assert words.conditions(Site(beaufort=3)) == "wind force 3 (Beaufort)"
    assert words.conditions(Site()) == ""


def test_small_lengths_and_weights() -> None:
    # 0.2159 / 0.0254 = 8.5; 0.254 m is 10 in
    assert (words.inches(0.2159), words.inches(0.254)) == ("8.5 in", "10.0 in")
    # 20.41 / 0.4536 = 45.0; 0.0143 kg is 0.504 oz
    assert (words.pounds(20.41), words.pounds(0.0143)) == ("45 lb", "0.5 oz")


@pytest.mark.parametrize(
    ("rate", "share", "included", "said"),
    [
        ("0.0625", "1", False, "plus about $34 sales tax"),  # 540 · 0.0625 = 33.75
        ("0.0625", "0.4", False, "plus about $14 sales tax"),  # 540 · 0.4 · 0.0625 = 13.5
        ("0.0625", "0.001", False, "plus about $1 sales tax"),  # four cents
        ("0.0625", "0", False, "no sales tax is added"),
        ("0", "1", False, "no sales tax is added"),
        ("0.0625", "1", True, "tax included"),
        ("0", "1", True, "no sales tax is added"),
    ],
)
def test_sales_tax_is_on_top_in_the_price_or_not_at_all(
    rate: str, share: str, included: bool, said: str
) -> None:
    price = Price(
        low=Decimal(480),
        likely=Decimal(540),
        high=Decimal(620),
        currency="USD",
        tax_included=included,
        deposit=Decimal(270),
        tax_rate=Decimal(rate),
        taxable_share=Decimal(share),
    )
    assert words.ENGLISH.tax(price, price.likely) == said


def test_a_count_has_its_unit_in_the_plural_and_metres_in_feet() -> None:
    assert words.counted(Decimal(1), "stem") == (Decimal(1), "stem")
    assert words.counted(Decimal(8), "stem") == (Decimal(8), "stems")
    # 9 m / 0.3048
    much, unit = words.counted(Decimal(9), "m")
    assert (round(much, 2), unit) == (Decimal("29.53"), "ft")
    assert words.counted(Decimal("2.5"), "roll of tape") == (Decimal("2.5"), "roll of tape")


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


@pytest.mark.parametrize(
    ("metres", "said"),
    [
        (4.0, "4 m (13 ft 1 in)"),
        (1.8, "1.8 m (5 ft 11 in)"),
        (4.0005, "13 ft 2 in"),  # 13 ft 1 1/2 in
        (2.4384, "8 ft"),
        (1.27, "4 ft 2 in"),
    ],
)
def test_a_size_keeps_the_unit_in_which_it_was_told(metres: float, said: str) -> None:
    assert words.ENGLISH.measure(metres) == said
    wall = Piece(support=Support.WALL, length_m=metres)
    assert f"{said} long" in words.piece(wall)


@pytest.mark.parametrize(
    ("foils", "said"),
    [
        (("5", "0", "boat"), "50 and boat"),
        (("L", "O", "V", "E", "star", "star", "book"), "LOVE, star ×2 and book"),
        (("ABIERTO", "5"), "ABIERTO and 5"),
    ],
)
def test_foils_are_read_as_numbers_words_and_counted_shapes(
    foils: tuple[str, ...], said: str
) -> None:
    assert words.ENGLISH.foils(foils) == said


@pytest.mark.parametrize(("count", "said"), [(49, "49"), (256, "260"), (3001, "3,000")])
def test_many_balloons_are_said_in_tens(count: int, said: str) -> None:
    assert words.ENGLISH.about(count) == said
