from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from service.estimating import Brief, Piece, PriceBook, Support
from service.estimating.answer import Fitting
from service.estimating.book import (
    Consumable,
    Cover,
    Fittings,
    Hardware,
    LineAndFixings,
    LineKind,
    Per,
)
from service.estimating.extras import Accent, AccentKind
from service.estimating.fitting import Fitted, Garland, fit, used, uses
from service.estimating.fitting.allotting import allot
from service.estimating.fitting.foils import sort_foils, spelled
from service.estimating.fitting.words import feet
from service.estimating.paths import Placement, Shape, runs

FOOT = 0.3048


@pytest.fixture
def shop(book: PriceBook) -> Fittings:
    return book.fittings


def frame(width_ft: float | None, height_ft: float | None, count: int = 1) -> Hardware:
    size = f"{width_ft:g} x {height_ft:g}" if width_ft and height_ft else "adjustable"
    return Hardware(
        label=f"frame {size}",
        support=Support.SQUARE_FRAME,
        width_m=width_ft and width_ft * FOOT,
        height_m=height_ft and height_ft * FOOT,
        count=count,
        wear=Decimal("9.00"),
        mass_kg=10,
        base_m=0.5,
    )


def square(width_ft: float, height_ft: float, count: int = 1, *accents: Accent) -> Piece:
    return Piece(
        support=Support.SQUARE_FRAME,
        width_m=width_ft * FOOT,
        height_m=height_ft * FOOT,
        count=count,
        accents=accents,
    )


def garland(piece: Piece, *, balloons: int = 250, joins: int = 0) -> Garland:
    stretches = runs(piece.path, piece.coverage, piece.placement)
    return Garland(
        path=piece.path,
        runs=stretches,
        line_m=sum(run.length_m for run in stretches) + 2.0,
        line_lengths=len(stretches) + joins,
        line_joins=joins,
        points=12,
        balloons=balloons,
    )


def fitted(shop: Fittings, *pieces: Piece, foils: tuple[str, ...] = ()) -> Fitted:
    brief = Brief(pieces=pieces, foils=foils)
    return fit(brief, [garland(piece) for piece in pieces], shop)


def of(found: Fitted, code: str) -> list[Fitting]:
    return [fitting for fitting in found.fittings if fitting.code == code]


def taken(pieces: list[Piece], *hardware: Hardware) -> list[tuple[dict[str, int], int]]:
    return [
        ({item.label: number for item, number in use.own}, use.hired)
        for use in uses(pieces, hardware)
    ]


# --- what pieces stand on ---------------------------------------------------------------------


def test_a_frame_of_the_right_size_is_taken_before_one_that_adjusts() -> None:
    assert taken([square(5, 7)], frame(None, None), frame(5, 7)) == [({"frame 5 x 7": 1}, 0)]


def test_the_nearest_of_several_frames_within_a_twentieth_is_taken() -> None:
    near, nearer = frame(5.2, 7), frame(5.1, 7)
    assert taken([square(5, 7)], near, nearer) == [({"frame 5.1 x 7": 1}, 0)]


def test_one_that_adjusts_serves_where_no_frame_has_the_size() -> None:
    assert taken([square(6, 6)], frame(5, 7), frame(None, None)) == [({"frame adjustable": 1}, 0)]


@pytest.mark.parametrize(("width_ft", "hired"), [(5.25, 0), (5.3, 1), (4.75, 1), (4.8, 0)])
def test_a_frame_serves_within_a_twentieth_of_what_was_asked_for(
    width_ft: float, hired: int
) -> None:
    # 5 ft against 5.25 asked for: 0.25 / 5.25 = 4.8 %; against 4.75: 5.3 %.
    assert taken([square(width_ft, 7)], frame(5, 7))[0][1] == hired


def test_no_frame_is_promised_twice() -> None:
    found = taken([square(5, 7, 2), square(5, 7)], frame(5, 7, count=2), frame(None, None))
    assert found == [({"frame 5 x 7": 2}, 0), ({"frame adjustable": 1}, 0)]


def test_a_piece_gives_up_its_frame_to_one_that_nothing_else_serves() -> None:
    # 5.12 ft is nearer to 5.2 than to 5; 5.45 ft is within a twentieth of 5.2 alone.
    first, second = square(5.12, 7), square(5.45, 7)
    found = taken([first, second], frame(5, 7), frame(5.2, 7))
    assert found == [({"frame 5 x 7": 1}, 0), ({"frame 5.2 x 7": 1}, 0)]


def test_walls_and_tables_stand_on_no_hardware() -> None:
    assert not uses([Piece(support=Support.WALL, length_m=3)], [frame(None, None)])


def test_wear_is_paid_for_what_is_owned_and_hire_for_the_rest(shop: Fittings) -> None:
    found = fitted(shop, Piece(support=Support.COLUMN, height_m=2, count=6))
    # Four stands at 4.00 are the shop's; two more are hired at 18.00.
    assert [(f.code, f.count, f.cost) for f in found.fittings[:2]] == [
        ("wear", 4, Decimal("16.00")),
        ("hire", 2, Decimal("36.00")),
    ]
    assert found.uses[0].at_hand == 4


def test_what_the_shop_does_not_have_is_said(shop: Fittings) -> None:
    found = fitted(
        shop,
        Piece(support=Support.COLUMN, height_m=2, count=6),
        Piece(support=Support.HOOP, width_m=8 * FOOT),
    )
    assert [(note.field, note.text) for note in found.notes] == [
        ("pieces[0]", "the shop has only 4 free for a column of this size: 2 to hire"),
        ("pieces[1]", "the shop has no hoop of this size free: 1 to hire"),
    ]


def test_a_stand_that_adjusts_is_told_what_to_be_set_to(shop: Fittings) -> None:
    (stand,) = of(fitted(shop, square(6, 6.5)), "wear")
    assert stand.label == "adjustable backdrop stand"
    assert (
        stand.mount == "Set it to 6 ft wide and 6 ft 6 in high, level, before the garland goes on."
    )


def test_a_hoop_has_no_height_and_so_nothing_to_adjust(shop: Fittings) -> None:
    (hoop,) = of(fitted(shop, Piece(support=Support.HOOP, width_m=6 * FOOT)), "wear")
    assert hoop.mount == "Set it up level, before the garland goes on."


@st.composite
def demands(draw: st.DrawFn) -> tuple[list[int], list[list[int]], list[int]]:
    stock = draw(st.lists(st.integers(0, 4), min_size=1, max_size=5))
    serving = st.lists(st.integers(0, len(stock) - 1), unique=True, max_size=len(stock))
    wanted = draw(st.lists(st.integers(0, 5), min_size=1, max_size=5))
    return wanted, [draw(serving) for _ in wanted], stock


@given(demands())
def test_as_much_is_met_as_by_the_best_flow(
    case: tuple[list[int], list[list[int]], list[int]],
) -> None:
    wanted, serving, stock = case
    shares = allot(wanted, serving, stock)
    out: Counter[int] = Counter()
    for demand, share in enumerate(shares):
        assert set(share) <= set(serving[demand])
        assert sum(share.values()) <= wanted[demand]
        out.update(share)
    assert all(number <= stock[item] for item, number in out.items())
    assert out.total() == _best_flow(wanted, serving, stock)


def _best_flow(wanted: list[int], serving: list[list[int]], stock: list[int]) -> int:
    edges = [(demand, item) for demand, items in enumerate(serving) for item in items]
    if not edges:
        return 0
    rows = [[float(edge[0] == demand) for edge in edges] for demand in range(len(wanted))]
    rows += [[float(edge[1] == item) for edge in edges] for item in range(len(stock))]
    found = linprog([-1.0] * len(edges), A_ub=rows, b_ub=[*wanted, *stock])
    return round(-float(found.fun))


# --- covers -----------------------------------------------------------------------------------

COVERED = Accent(kind=AccentKind.FABRIC_COVER)


def cover(label: str, *fits: str) -> Cover:
    return Cover(label=label, fits=fits, count=1, wear=Decimal("6.00"), seconds=360)


def covered(shop: Fittings, hardware: tuple[Hardware, ...], *covers: Cover) -> Fittings:
    return replace(shop, hardware=hardware, covers=covers)


def test_a_cover_goes_by_the_frame_that_is_used(shop: Fittings) -> None:
    owned = covered(shop, (frame(5, 7), frame(4, 7)), cover("cream", "frame 5 x 7"))
    (one,) = of(fitted(owned, square(5, 7, 1, COVERED)), "covers")
    assert (one.label, one.cost, one.seconds) == ("cream", Decimal("6.00"), 360)
    assert one.place == "Over the frame 5 x 7, under the garland."


def test_a_frame_without_a_cover_of_its_own_gets_a_hired_one_and_a_note(shop: Fittings) -> None:
    owned = covered(shop, (frame(5, 7), frame(4, 7)), cover("cream", "frame 5 x 7"))
    found = fitted(owned, square(4, 7, 1, COVERED))
    (one,) = of(found, "covers")
    rate = shop.accents[AccentKind.FABRIC_COVER]
    assert one.label == "fabric cover, hired"
    assert one.cost == rate.price + rate.mount_price
    assert found.notes[0].text == (
        "the shop has no fabric cover for this square frame free: 1 to hire"
    )


def test_no_cover_is_promised_twice(shop: Fittings) -> None:
    owned = covered(shop, (frame(5, 7, count=2),), cover("cream", "frame 5 x 7"))
    found = of(fitted(owned, square(5, 7, 2, COVERED)), "covers")
    assert [(f.label, f.count) for f in found] == [("cream", 1), ("fabric cover, hired", 1)]


def test_a_hired_frame_gets_a_hired_cover(shop: Fittings) -> None:
    owned = covered(shop, (frame(5, 7),), cover("cream", "frame 5 x 7"))
    (one,) = of(fitted(owned, square(9, 9, 1, COVERED)), "covers")
    assert (one.label, one.place) == (
        "fabric cover, hired",
        "Over the square frame, under the garland.",
    )


def test_the_cover_that_fits_fewer_frames_is_taken_first(shop: Fittings) -> None:
    owned = covered(
        shop,
        (frame(5, 7), frame(4, 7)),
        cover("fits both", "frame 5 x 7", "frame 4 x 7"),
        cover("fits one", "frame 5 x 7"),
    )
    found = of(fitted(owned, square(5, 7, 1, COVERED), square(4, 7, 1, COVERED)), "covers")
    assert [(f.piece, f.label) for f in found] == [(0, "fits one"), (1, "fits both")]


# --- foils ------------------------------------------------------------------------------------


def test_foils_are_digits_letters_and_shapes() -> None:
    found = sort_foils(("5", "0", "LOVE", "Star", "&", "10th"), ("star", "heart"))
    assert found.digits == ("5", "0", "1", "0")
    assert found.words == ("LOVE", "th")
    assert found.shapes == ("Star", "&")


def test_foils_are_priced_with_their_mount_and_pumped_by_hand(shop: Fittings) -> None:
    digits, letters, shapes = of(
        fitted(shop, square(5, 7), foils=("5", "0", "LOVE", "star")), "foils"
    )
    # Two digits at 7.50 + 0.12, six minutes each; four letters at 5.50 + 0.12, five minutes each.
    assert (digits.count, digits.cost, digits.seconds) == (2, Decimal("15.24"), 720)
    assert (letters.count, letters.cost, letters.seconds) == (4, Decimal("22.48"), 1200)
    assert (shapes.count, shapes.cost, shapes.seconds) == (1, Decimal("4.56"), 240)
    assert digits.mount == "A band taped to the back, looped round a cluster."


def test_foils_stand_from_left_to_right_at_the_top_of_an_arch(shop: Fittings) -> None:
    digits, letters, shapes = of(
        fitted(shop, square(5, 7), foils=("5", "0", "LOVE", "star", "heart")), "foils"
    )
    along = "along the garland from left to right"
    assert digits.place == f"At the top, in the middle: “5”, “0”, {along}."
    assert letters.place == f"To the right of the digits: “LOVE”, {along}."
    assert shapes.place == "At both ends of the line, left and right in turn: star, heart."


def test_foils_hang_one_under_the_other_on_a_column(shop: Fittings) -> None:
    column = Piece(support=Support.COLUMN, height_m=2)
    digits, star = of(fitted(shop, column, foils=("5", "0", "star")), "foils")
    assert digits.place == "At the top: “5”, “0”, one under the other."
    assert star.place == "Above the digits: star."


@pytest.mark.parametrize(
    ("piece", "place"),
    [
        (Piece(support=Support.HOOP, width_m=1.8), "At the top, in the middle: star."),
        (
            Piece(support=Support.FREESTANDING_ARCH, width_m=2, height_m=2.2),
            "At the top, in the middle: star.",
        ),
        (
            Piece(
                support=Support.FREESTANDING_ARCH,
                width_m=2,
                height_m=2.2,
                shape=Shape.SEMI_ELLIPSE,
            ),
            "At the top, in the middle: star.",
        ),
        (Piece(support=Support.COLUMN, height_m=2), "At the top: star."),
        (
            Piece(support=Support.COLUMN, height_m=2, count=2),
            "On the first of the 2, at the top: star.",
        ),
        (
            Piece(support=Support.TABLE, length_m=8 * FOOT),
            "At the middle of the garland, 4 ft from its left end: star.",
        ),
        (
            Piece(support=Support.STAIRCASE, rise_m=3 * FOOT, run_m=4 * FOOT),
            # The rail is 5 ft long: 3, 4, 5.
            "At the middle of the garland, 2 ft 6 in from its lower end: star.",
        ),
        (
            # 7 + 5 + 7 = 19 ft, half of it from the left foot on: 9 ft 6 in. Its middle is on the
            # leg; from 7 ft on it lies across the top, the middle of which is at 8 ft 3 in.
            Piece(
                support=Support.SQUARE_FRAME,
                width_m=5 * FOOT,
                height_m=7 * FOOT,
                placement=Placement.ONE_SIDE,
            ),
            "At the top of the garland, 8 ft 3 in from its lower end: star.",
        ),
    ],
)
def test_the_place_of_a_foil_goes_by_the_shape_of_the_garland(
    shop: Fittings, piece: Piece, place: str
) -> None:
    (star,) = of(fitted(shop, piece, foils=("star",)), "foils")
    assert star.place == place


WALL_13_FT = Piece(support=Support.WALL, length_m=13 * FOOT)
COLUMNS = Piece(support=Support.COLUMN, height_m=6 * FOOT, count=2)


@pytest.mark.parametrize(
    ("pieces", "foils", "carrying"),
    [
        # A frame 5 ft wide has room for a 7, and so has a table of 2 m, which is the wider.
        ((square(5, 7), Piece(support=Support.TABLE, length_m=2)), ("7",), 1),
        ((square(5, 7), COLUMNS), ("5", "0"), 0),
        ((COLUMNS, WALL_13_FT), ("BIBLIOTECA",), 1),
        ((COLUMNS, Piece(support=Support.CEILING, length_m=6)), ("star",), 0),
        ((square(5, 7), square(5, 7)), ("star",), 0),
        # Ten letters go on neither side by side: the frame has more garland.
        ((COLUMNS, square(5, 7)), ("BIBLIOTECA",), 1),
    ],
)
def test_foils_are_on_the_widest_piece_that_has_room_for_them(
    shop: Fittings, pieces: tuple[Piece, ...], foils: tuple[str, ...], carrying: int
) -> None:
    found = of(fitted(shop, *pieces, foils=foils), "foils")
    assert [fitting.piece for fitting in found] == [carrying]


def test_letters_named_one_by_one_are_a_word() -> None:
    assert list(spelled(["5", " 0", "L", "O", "V", "E", "star", "A"])) == [
        "50",
        "LOVE",
        "star",
        "A",
    ]
    assert sort_foils(("L", "O", "&", "V", "E"), ()).words == ("LO", "VE")


# --- accents ----------------------------------------------------------------------------------


def accented(
    shop: Fittings, piece: Piece, *accents: Accent, foils: tuple[str, ...] = ()
) -> list[Fitting]:
    return of(fitted(shop, replace(piece, accents=accents), foils=foils), "accents")


def test_the_usual_number_is_taken_where_none_is_given(shop: Fittings) -> None:
    (flowers,) = accented(shop, square(5, 7), Accent(kind=AccentKind.FLOWERS))
    rate = shop.accents[AccentKind.FLOWERS]
    assert flowers.count == rate.usual
    assert flowers.cost == rate.usual * (rate.price + rate.mount_price)
    assert flowers.seconds == rate.usual * rate.seconds


def test_accents_are_counted_on_every_such_piece(shop: Fittings) -> None:
    pair = Piece(support=Support.COLUMN, height_m=2, count=2)
    (ribbon,) = accented(shop, pair, Accent(kind=AccentKind.RIBBON, count=3))
    assert (ribbon.count, ribbon.unit) == (6, "streamer")


def test_flowers_are_spread_evenly_with_distances_to_measure(shop: Fittings) -> None:
    # 12 ft of garland and 6 stems: one every 2 ft, the first half of that in.
    wall = Piece(support=Support.WALL, length_m=12 * FOOT)
    (flowers,) = accented(shop, wall, Accent(kind=AccentKind.FLOWERS, count=6, words="roses"))
    assert flowers.label == "flowers: roses"
    assert flowers.place == (
        "Spread evenly along the garland: one every 2 ft, the first 1 ft from its left end."
    )


def test_flowers_and_greenery_never_share_a_spot(shop: Fittings) -> None:
    wall = Piece(support=Support.WALL, length_m=12 * FOOT)
    stems = tuple(Accent(kind=k, count=6) for k in (AccentKind.FLOWERS, AccentKind.GREENERY))
    flowers, greenery = accented(shop, wall, *stems)
    # A third and two thirds into each 2 ft.
    assert "the first 8 in from" in flowers.place
    assert "the first 1 ft 4 in from" in greenery.place
    assert flowers.at_m == pytest.approx([(2 * i + 2 / 3) * FOOT for i in range(6)], abs=0.001)
    assert greenery.at_m == pytest.approx([(2 * i + 4 / 3) * FOOT for i in range(6)], abs=0.001)


def test_a_single_flower_has_one_distance(shop: Fittings) -> None:
    wall = Piece(support=Support.WALL, length_m=12 * FOOT)
    (flower,) = accented(shop, wall, Accent(kind=AccentKind.FLOWERS, count=1))
    assert flower.place == "On the garland, 6 ft from its left end."


def test_distances_are_counted_on_over_several_stretches(shop: Fittings) -> None:
    ceiling = Piece(support=Support.CEILING, length_m=4, width_m=1.8)
    (flowers,) = accented(shop, ceiling, Accent(kind=AccentKind.FLOWERS, count=6))
    assert flowers.place.endswith("from its left end, counted on from one stretch to the next.")
    # Three rows of 4 m, whose path goes on from row to row.
    assert flowers.at_m == (1.0, 3.0, 5.0, 7.0, 9.0, 11.0)


def test_places_on_a_hoop_that_is_covered_in_part_are_on_its_stretches(shop: Fittings) -> None:
    ribbon = Accent(kind=AccentKind.RIBBON, count=9)
    hoop = Piece(support=Support.HOOP, width_m=1.8, placement=Placement.ASYMMETRIC)
    (streamers,) = accented(shop, hoop, ribbon)
    for at in streamers.at_m:
        assert any(run.start_m - 0.001 <= at <= run.end_m + 0.001 for run in hoop.runs)
    assert len(set(streamers.at_m)) == 9


def test_foils_are_at_the_top_of_what_rises_and_at_the_middle_of_what_does_not(
    shop: Fittings,
) -> None:
    column = Piece(support=Support.COLUMN, height_m=1.8)
    wall = Piece(support=Support.WALL, length_m=3)
    for piece, at_m in ((column, 1.8), (wall, 1.5)):
        (digits,) = of(fitted(shop, piece, foils=("5", "0")), "foils")
        assert digits.at_m == (at_m,)


def test_a_sign_hangs_at_the_middle_and_under_the_foils_where_there_are_any(
    shop: Fittings,
) -> None:
    sign = Accent(kind=AccentKind.SIGN, words="Alder Mills Rowing Club")
    (alone,) = accented(shop, square(5, 7), sign)
    (under,) = accented(shop, square(5, 7), sign, foils=("7", "5"))
    assert alone.label == "sign: Alder Mills Rowing Club"
    assert alone.place == "At the top, in the middle."
    assert under.place == "Just under the foils."


def test_a_sign_hides_no_balloons_where_it_can_hang_free(shop: Fittings) -> None:
    sign = Accent(kind=AccentKind.SIGN, words="Alder Mills Rowing Club")
    one_sided = replace(square(5, 7), placement=Placement.ONE_SIDE)
    (free,) = accented(shop, one_sided, sign, foils=("5", "0"))
    assert free.place == "Hung from the middle of the top, in the opening."
    # 7 + 5 + 7 = 19 ft from foot to foot.
    assert free.at_m == (round(9.5 * FOOT, 3),)
    (under,) = accented(shop, WALL_13_FT, sign)
    middle = "at the middle of the garland, 6 ft 6 in from its left end"
    assert under.place == f"Hung under it, {middle}."


# --- line, fixings, consumables ---------------------------------------------------------------


def line_of(shop: Fittings, piece: Piece, *, joins: int = 0) -> Fitting:
    found = fit(Brief(pieces=(piece,)), [garland(piece, joins=joins)], shop)
    return of(found, "line")[0]


def as_260(line: LineAndFixings) -> LineAndFixings:
    return replace(line, kind=LineKind.LONG_260, length_m=1.5, price_per_m=Decimal("0.20"))


def test_cord_is_cut_in_whole_metres(shop: Fittings) -> None:
    # Two garlands of 3.2 m with 2 m of line besides: 10.4 m, cut from 11.
    cord = line_of(shop, Piece(support=Support.WALL, length_m=3.2, count=2))
    assert (cord.label, cord.count, cord.unit) == ("cord", 11, "m")
    assert cord.cost == 11 * shop.line.price_per_m
    assert cord.mount == "For each of the 2: one length, no joins."


def test_long_balloons_are_counted_and_knotted(shop: Fittings) -> None:
    owned = replace(shop, line=as_260(shop.line))
    longs = line_of(owned, Piece(support=Support.WALL, length_m=5), joins=4)
    # Five of 1.5 m at 0.20 a metre.
    assert (longs.label, longs.count, longs.cost) == ("long 260 balloons", 5, Decimal("1.50"))
    assert longs.mount == (
        "Knot 5 lengths end to end: 4 joins, each knotted twice over an overlap of 6 in."
    )


def test_every_point_is_held_by_clips_and_bands(shop: Fittings) -> None:
    found = fitted(shop, Piece(support=Support.WALL, length_m=5, count=2))
    clips, bands = of(found, "fixings")
    # Two pieces, 12 points each, one clip and two bands at each.
    assert (clips.count, clips.cost) == (24, 24 * shop.line.price_per_clip)
    assert (bands.count, bands.cost) == (48, 48 * shop.line.price_per_band)
    assert bands.place == "2 at each of the 12 points that hold the garland."


def test_a_shop_without_bands_brings_none(shop: Fittings) -> None:
    owned = replace(shop, line=replace(shop.line, bands_per_point=0))
    found = of(fitted(owned, Piece(support=Support.WALL, length_m=5)), "fixings")
    assert [fitting.label for fitting in found] == ["clips"]


def consumable(per: Per, quantity: str) -> Consumable:
    return Consumable(
        label=per.value, per=per, quantity=Decimal(quantity), unit="roll", price=Decimal("4.00")
    )


def test_consumables_are_counted_by_job_piece_and_hundred_balloons(shop: Fittings) -> None:
    wanted = tuple(consumable(per, "0.2") for per in Per)
    wall = Piece(support=Support.WALL, length_m=5, count=3)
    found = fit(
        Brief(pieces=(wall,)), [garland(wall, balloons=111)], replace(shop, consumables=wanted)
    )
    # One job 0.2; three pieces 0.6; 333 balloons 0.666, which counts as 0.67.
    assert {f.label: (f.count, used(f), f.cost) for f in of(found, "consumables")} == {
        "job": (1, Decimal("0.2"), Decimal("0.80")),
        "piece": (1, Decimal("0.6"), Decimal("2.40")),
        "hundred_balloons": (1, Decimal("0.67"), Decimal("2.68")),
    }


# --- whatever the brief -----------------------------------------------------------------------


def some_accents() -> st.SearchStrategy[tuple[Accent, ...]]:
    counts = st.one_of(st.none(), st.integers(1, 200))
    one = st.builds(Accent, kind=st.sampled_from(AccentKind), count=counts)
    return st.lists(one, max_size=4).map(tuple)


def some_pieces() -> st.SearchStrategy[Piece]:
    size = st.floats(0.8, 3)
    counts = st.integers(1, 4)
    accents = some_accents()
    return st.one_of(
        *(
            st.builds(
                Piece,
                support=st.just(support),
                width_m=size,
                height_m=size,
                count=counts,
                accents=accents,
            )
            for support in (Support.SQUARE_FRAME, Support.FREESTANDING_ARCH, Support.DOORWAY)
        ),
        st.builds(
            Piece, support=st.just(Support.HOOP), width_m=size, count=counts, accents=accents
        ),
        st.builds(
            Piece, support=st.just(Support.COLUMN), height_m=size, count=counts, accents=accents
        ),
        st.builds(
            Piece,
            support=st.just(Support.CEILING),
            length_m=size,
            width_m=size,
            count=counts,
            accents=accents,
        ),
    )


SOME_FOILS = st.lists(st.sampled_from(["5", "LOVE", "star", "&"]), max_size=5).map(tuple)


@given(pieces=st.lists(some_pieces(), min_size=1, max_size=4), foils=SOME_FOILS)
def test_costs_are_exact_and_every_fitting_has_its_place(
    book: PriceBook, pieces: list[Piece], foils: tuple[str, ...]
) -> None:
    found = fitted(book.fittings, *pieces, foils=foils)
    for fitting in found.fittings:
        assert used(fitting) * fitting.unit_cost == fitting.cost
        assert fitting.count >= used(fitting) > 0
        assert fitting.seconds >= 0
        for words in (fitting.place, fitting.mount):
            assert (fitting.piece is None) == (not words)
            assert not words or (words[0].isupper() or words[0].isdigit())
            assert not words or words[-1] == "."


@given(pieces=st.lists(some_pieces(), min_size=1, max_size=5))
def test_every_piece_stands_on_as_many_supports_as_there_are_pieces(
    book: PriceBook, pieces: list[Piece]
) -> None:
    out: Counter[str] = Counter()
    for use in uses(pieces, book.fittings.hardware):
        assert use.at_hand + use.hired == use.piece.count
        assert all(item.support is use.piece.support for item, _ in use.own)
        out.update({item.label: number for item, number in use.own})
    assert all(out[item.label] <= item.count for item in book.fittings.hardware)


# 0.3023 m is 11.9 in, a foot to the inch, and not "0 ft 12 in".
@pytest.mark.parametrize(
    ("length_m", "words"),
    [(0.4064, "1 ft 4 in"), (2.1336, "7 ft"), (0.2, "8 in"), (0.3023, "1 ft")],
)
def test_distances_are_said_to_the_inch(length_m: float, words: str) -> None:
    assert feet(length_m) == words
