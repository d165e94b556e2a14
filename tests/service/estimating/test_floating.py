import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Brief, BriefError, Piece, PriceBook, Site, Support, estimate
from service.estimating.book import Cylinder, HeliumRates, Workshop
from service.estimating.extras import Floating, FloatKind
from service.estimating.floating import AIR_ONLY, float_all

TODAY = dt.date(2027, 6, 1)
CUBIC_FOOT = 0.3048**3
ELEVENS = Floating(kind=FloatKind.LATEX, size_class=11, count=12)
HEARTS = Floating(kind=FloatKind.FOIL_HEART, size_class=18, count=3)


@pytest.fixture(name="shop")
def _shop(book: PriceBook) -> PriceBook:
    """A shop by the sea at 15 C with round prices; two sizes of cylinder."""
    rates = HeliumRates(
        cylinders=(
            Cylinder(label="small", contents_m3=0.5, price=Decimal(50)),
            Cylinder(label="large", contents_m3=2.0, price=Decimal(110)),
        ),
        loss_share=0.0,
        balloon_price={11: Decimal("0.30"), 16: Decimal("0.90"), 36: Decimal(8)},
        foil_price=Decimal(4),
        treatment_price=Decimal("0.40"),
        weight_price=Decimal("0.60"),
        weight_factor=1.5,
        seconds_each=45.0,
        treatment_seconds=15.0,
    )
    by_the_sea = Workshop(temperature_c=15.0, elevation_m=0.0, largest_share=0.95)
    return replace(book, helium=rates, workshop=by_the_sea)


def test_what_is_filled_with_air_needs_no_helium(shop: PriceBook) -> None:
    assert float_all((), Site(), shop) == AIR_ONLY
    wall = Piece(support=Support.WALL, length_m=3)
    answer = estimate(Brief(pieces=(wall,)), shop, today=TODAY)
    assert not answer.helium.needed
    assert (answer.helium.volume_m3, answer.helium.balloons, answer.helium.cylinders) == (0, (), ())
    assert answer.hours["helium"] == 0
    assert not [line for line in answer.cost_lines if line.code == "helium"]


def test_gas_weights_and_hours_are_those_of_the_balloons_that_float(shop: PriceBook) -> None:
    found = float_all((ELEVENS, HEARTS), Site(), shop).helium
    elevens, hearts = found.balloons
    # Twelve of 0.5 cu ft, 6.6 % more for the rubber's pressure; three of 0.4 cu ft, just taut.
    assert elevens.gas_m3 == pytest.approx(6 * CUBIC_FOOT * 1.0658, rel=1e-3)
    assert hearts.gas_m3 == pytest.approx(1.2 * CUBIC_FOOT)
    assert found.volume_m3 == pytest.approx(elevens.gas_m3 + hearts.gas_m3)
    assert elevens.net_lift_kg == pytest.approx(0.010, abs=0.001)
    assert elevens.weight_kg == pytest.approx(1.5 * elevens.net_lift_kg)
    assert (elevens.float_low_h, elevens.float_high_h) == (8, 24)
    assert hearts.float_low_h == 24


def test_gas_that_goes_astray_is_drawn_besides(shop: PriceBook) -> None:
    wasteful = replace(shop, helium=replace(shop.helium, loss_share=0.2))
    careful, lost = (float_all((ELEVENS,), Site(), each).helium for each in (shop, wasteful))
    assert lost.volume_m3 == pytest.approx(careful.volume_m3 / 0.8)


def test_the_cylinders_that_come_cheapest_are_taken(shop: PriceBook) -> None:
    def taken(count: int) -> list[tuple[str, int]]:
        wanted = Floating(kind=FloatKind.LATEX, size_class=36, count=count)
        return [(c.label, c.count) for c in float_all((wanted,), Site(), shop).helium.cylinders]

    # 15 cu ft and its pressure are 0.4527 m3: one small at 50, then a large at 110 for two smalls
    # at 100; three smalls would be 150.
    assert taken(1) == [("small", 1)]
    assert taken(2) == [("small", 2)]
    assert taken(3) == [("large", 1)]
    assert taken(5) == [("large", 2)]


def test_latex_floats_in_the_palettes_colours_in_turn_with_one_of_each_to_spare(
    shop: PriceBook,
) -> None:
    colours = ("navy", "white", "gold")
    latex, hearts = float_all((ELEVENS, HEARTS), Site(), shop, colours=colours).helium.balloons
    assert [(e.colour, e.placed) for e in latex.colours] == [(name, 4) for name in colours]
    assert all(each.taken > each.placed for each in latex.colours)
    assert hearts.colours == ()
    (one,) = float_all((replace(ELEVENS, count=1),), Site(), shop, colours=colours).helium.latex
    assert one.colour == "navy"


def test_everything_that_floating_takes_is_paid_for(shop: PriceBook) -> None:
    treated = replace(ELEVENS, treated=True)
    found = float_all((treated, HEARTS), Site(), shop)
    assert {(f.label, f.count, f.cost) for f in found.fittings} == {
        ("11 in latex for helium", 12, Decimal("3.60")),
        ("treatment to float on", 12, Decimal("4.80")),
        ("18 in foil heart for helium", 3, Decimal(12)),
        ("helium balloon weight", 15, Decimal(9)),
        ("small", 1, Decimal(50)),
    }
    # Fifteen at 45 s, twelve treated at 15 s more.
    assert found.seconds == 15 * 45 + 12 * 15
    assert all(f.cost == f.count * f.unit_cost for f in found.fittings)
    assert found.helium.balloons[0].float_low_h == 48


def test_up_high_a_balloon_lifts_less_and_takes_less_gas(shop: PriceBook) -> None:
    low, high = (
        float_all((ELEVENS,), Site(elevation_m=height), shop).helium for height in (0, 1600)
    )
    assert high.balloons[0].net_lift_kg < low.balloons[0].net_lift_kg
    assert high.volume_m3 < low.volume_m3


def test_what_does_not_lift_its_own_skin_is_refused_in_plain_words(shop: PriceBook) -> None:
    # At 3,500 m the air weighs two thirds: an 18 in foil's 4.2 g of lift are gone.
    with pytest.raises(BriefError) as refused:
        float_all((ELEVENS, HEARTS), Site(elevation_m=3500.0), shop)
    (problem,) = refused.value.problems
    assert problem.field == "floating[1].size_class"
    assert problem.detail == (
        "a foil heart of 18 in does not lift its own weight at this site; use a larger one, or"
        " fill it with air"
    )


def test_a_size_that_the_shop_does_not_fill_is_refused_with_those_it_does(shop: PriceBook) -> None:
    twenty_fours = Floating(kind=FloatKind.LATEX, size_class=24)
    star = Floating(kind=FloatKind.FOIL_STAR, size_class=20)
    with pytest.raises(BriefError) as refused:
        float_all((twenty_fours, ELEVENS, star), Site(), shop)
    assert [(problem.field, problem.detail) for problem in refused.value.problems] == [
        (
            "floating[0].size_class",
            "the shop fills no 24 in latex with helium; use one of 11, 16, 36",
        ),
        (
            "floating[2].size_class",
            "no lift is known for a star foil of 20 in; of 19, 36 in it is",
        ),
    ]


@given(
    sizes=st.lists(st.sampled_from([11, 16, 36]), min_size=1, max_size=4),
    count=st.integers(1, 60),
    celsius=st.floats(-5, 40),
)
def test_the_cylinders_hold_all_the_gas_and_none_is_too_many(
    book: PriceBook, sizes: list[int], count: int, celsius: float
) -> None:
    wanted = tuple(Floating(kind=FloatKind.LATEX, size_class=s, count=count) for s in sizes)
    found = float_all(wanted, Site(temperature_c=celsius), book).helium
    (line,) = found.cylinders
    assert line.count * line.contents_m3 >= found.volume_m3 * (1 - 1e-6)
    assert (line.count - 1) * line.contents_m3 < found.volume_m3
    assert all(each.weight_kg > each.net_lift_kg > 0 for each in found.balloons)


def test_each_thing_is_told_where_it_goes(shop: PriceBook) -> None:
    found = float_all((replace(ELEVENS, treated=True),), Site(), shop).fittings
    said = {each.label: f"{each.place} {each.mount}" for each in found}
    assert "chained" in said["small"]
    assert "not left at the event" in said["small"]
    assert "before it is filled" in said["treatment to float on"]
    assert "something that cannot move" in said["helium balloon weight"]
    assert not [label for label, words in said.items() if label != "small" and "chained" in words]
