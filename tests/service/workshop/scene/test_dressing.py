"""Foils, accents, covers and signs where the fittings say."""

import math
from dataclasses import replace
from itertools import combinations

import pytest

from service.estimating import (
    Accent,
    AccentKind,
    Estimate,
    Fitting,
    Piece,
    Placement,
    PriceBook,
    Support,
)
from service.workshop.scene import FoilSort, Material, Scene, scene_of
from service.workshop.scene.accents import MOST_DRAWN
from service.workshop.scene.foiling import foils_on
from service.workshop.scene.grown import Grown
from service.workshop.scene.hues import UNKNOWN, hue
from service.workshop.scene.lines import Tie
from tests.service.workshop.scene.picturing import (
    FRAME,
    brief_of,
    estimate_of,
    grown_of,
    piece_on,
)


def drawn(book: PriceBook, *pieces: Piece, foils: tuple[str, ...] = ()) -> tuple[Scene, Estimate]:
    brief = brief_of(*pieces, foils=foils)
    counted = estimate_of(brief, book)
    return scene_of(brief, counted, book, seed=3), counted


def fitted(counted: Estimate, code: str, word: str) -> Fitting:
    return next(f for f in counted.fittings if f.code == code and word in f.label)


def tie_at(grown: Grown, at_m: float) -> Tie:
    """The garland's line at a place that a fitting names, to the millimetre."""
    line = next(each for each in grown.lines if at_m <= each.run.end_m + 0.001)
    (tie,) = line.ties([at_m])
    return tie


def dressed(*accents: Accent, support: Support = Support.ROUND_TOP_FRAME, count: int = 1) -> Piece:
    return piece_on(support, accents=accents, count=count)


TWIGS_OF_A_STEM = 3
LONG_WALL = Piece(support=Support.WALL, length_m=4.0)
_BESIDE_M = 0.08


def test_foils_are_read_along_the_garland_with_shapes_at_both_ends(book: PriceBook) -> None:
    scene, _ = drawn(book, FRAME, foils=("5", "0", "LOVE", "star", "heart"))
    assert [foil.text for foil in scene.foils] == ["star", "5", "0", *"LOVE", "heart"]
    across = [foil.centre.x for foil in scene.foils]
    assert across == sorted(across)
    assert [foil.sort for foil in scene.foils].count(FoilSort.LETTER) == 4


def test_a_word_named_letter_by_letter_is_read_from_left_to_right(book: PriceBook) -> None:
    wall = LONG_WALL
    by_letter, _ = drawn(book, wall, foils=tuple("OPEN"))
    as_word, _ = drawn(book, wall, foils=("OPEN",))
    assert by_letter.foils == as_word.foils
    assert len({foil.centre.y for foil in as_word.foils}) == 1


SIX_SHAPES = ("star", "star", "heart", "moon", "sun", "boat")


@pytest.mark.parametrize(
    ("piece", "foils"),
    [
        (FRAME, SIX_SHAPES),
        (FRAME, ("5", "0", "star")),
        (piece_on(Support.SQUARE_FRAME), ("1", "0", "0", *SIX_SHAPES, "&")),
        (piece_on(Support.SQUARE_FRAME, placement=Placement.ONE_SIDE), ("5", "0")),
        (piece_on(Support.MANTEL), ("2", "0", "2", "8")),
        (piece_on(Support.STAIRCASE), ("star",) * 3),
        (piece_on(Support.COLUMN), ("5", "0")),
        (piece_on(Support.HOOP), ("OPEN",)),
        (LONG_WALL, ("BIBLIOTECA",)),
        (LONG_WALL, ("9" * 40,)),
    ],
)
def test_no_foil_is_in_mid_air(book: PriceBook, piece: Piece, foils: tuple[str, ...]) -> None:
    scene, _ = drawn(book, piece, foils=foils)
    assert len(scene.foils) == sum(len(f) if f.isupper() or f.isdigit() else 1 for f in foils)
    for foil in scene.foils:
        behind = [
            ball
            for ball in scene.balls
            if math.hypot(ball.x - foil.centre.x, ball.y - foil.centre.y)
            < ball.diameter_m / 2 + _BESIDE_M
        ]
        assert behind
        assert max(ball.z for ball in behind) < foil.centre.z


def test_foils_do_not_cover_one_another(book: PriceBook) -> None:
    scene, _ = drawn(book, FRAME, foils=("5", "0", *SIX_SHAPES))
    for one, other in combinations(scene.foils, 2):
        wide = (one.width_m + other.width_m) / 2
        high = (one.height_m + other.height_m) / 2
        aside, above = one.centre.x - other.centre.x, one.centre.y - other.centre.y
        assert abs(aside) >= wide or abs(above) >= high


def test_digits_on_a_column_are_read_from_the_top_down(book: PriceBook) -> None:
    scene, _ = drawn(book, piece_on(Support.COLUMN), foils=("5", "0"))
    five, nought = scene.foils
    assert five.text == "5"
    assert five.centre.y > nought.centre.y
    assert five.centre.x == pytest.approx(nought.centre.x, abs=0.01)


def test_foils_are_at_the_crown_before_all_balloons_behind_them(book: PriceBook) -> None:
    scene, _ = drawn(book, FRAME, foils=("4", "0"))
    four, nought = scene.foils
    middle = (four.centre.x + nought.centre.x) / 2
    (left,) = {rod.points[0].x for rod in scene.rods if rod.points[0].y == 0.0}
    assert middle == pytest.approx(left + 1.2192 / 2, abs=0.02)
    assert 1.6 < four.centre.y < 2.2
    behind = [b for b in scene.balls if abs(b.x - middle) < 0.2 and abs(b.y - four.centre.y) < 0.2]
    assert behind
    assert all(ball.z < four.centre.z for ball in behind)


@pytest.mark.parametrize("support", Support)
def test_foils_go_where_the_fitting_says(book: PriceBook, support: Support) -> None:
    piece = piece_on(support)
    counted = estimate_of(brief_of(piece, foils=("star",)), book)
    (at,) = fitted(counted, "foils", "shape").at_m
    grown = grown_of(piece, book)
    (star,) = foils_on(grown, ("star",), at, book, "#C9A24B")
    tie = tie_at(grown, at)
    # What goes on top of a column lies all on it.
    down = star.height_m / 2 if support is Support.COLUMN else 0.02
    assert star.centre.x == pytest.approx(tie.at[0], abs=0.02)
    assert tie.at[1] - down <= star.centre.y <= tie.at[1] + 0.02


@pytest.mark.parametrize("placement", [Placement.WHOLE, Placement.ASYMMETRIC])
def test_stems_are_spread_as_the_fittings_say(book: PriceBook, placement: Placement) -> None:
    accents = (Accent(kind=AccentKind.FLOWERS, count=5), Accent(kind=AccentKind.GREENERY, count=4))
    piece = piece_on(Support.SQUARE_FRAME, placement=placement, accents=accents)
    scene, counted = drawn(book, piece)
    grown = grown_of(piece, book)
    assert len(scene.blooms) == 5
    assert len(scene.sprigs) == 3 * 4
    (left,) = {rod.points[0].x for rod in scene.rods if rod.points[0].y == 0.0}
    for bloom, at in zip(scene.blooms, fitted(counted, "accents", "flowers").at_m, strict=True):
        tie = tie_at(grown, at)
        assert abs(bloom.centre.x - left - tie.at[0]) < grown.girth_m / 2
        assert abs(bloom.centre.y - tie.at[1]) < grown.girth_m / 2


def test_flowers_and_ribbon_take_the_colours_that_the_client_names(book: PriceBook) -> None:
    rose = book.colour("dusty rose")
    assert rose is not None
    piece = dressed(
        Accent(kind=AccentKind.FLOWERS, words="dusty rose peonies"),
        Accent(kind=AccentKind.RIBBON, words="in navy, long", count=3),
    )
    scene, _ = drawn(book, piece)
    assert {bloom.hex for bloom in scene.blooms} == {rose.hex}
    navy = book.colour("navy")
    assert navy is not None
    assert [ribbon.hex for ribbon in scene.streamers] == [navy.hex] * 3
    assert len(scene.blooms) == book.fittings.accents[AccentKind.FLOWERS].usual


def test_streamers_hang_down_and_end_above_the_floor(book: PriceBook) -> None:
    scene, _ = drawn(book, dressed(Accent(kind=AccentKind.RIBBON, count=6)))
    for ribbon in scene.streamers:
        heights = [point.y for point in ribbon.points]
        assert heights == sorted(heights, reverse=True)
        assert heights[-1] > 0


def test_a_sign_hangs_by_two_cords_in_a_frame_and_lies_on_a_wall_garland(
    book: PriceBook,
) -> None:
    sign = Accent(kind=AccentKind.SIGN, words="Fifty years afloat")
    hung, _ = drawn(book, dressed(sign))
    assert [each.words for each in hung.signs] == ["Fifty years afloat"]
    cords = [rod for rod in hung.rods if rod.material is Material.CORD]
    assert len(cords) == 2
    top = hung.signs[0].centre.y + hung.signs[0].height_m / 2
    assert all(rod.points[0].y > top for rod in cords)
    fixed, _ = drawn(book, dressed(sign, support=Support.MANTEL))
    assert not [rod for rod in fixed.rods if rod.material is Material.CORD]
    board = fixed.signs[0]
    near = [b for b in fixed.balls if abs(b.x - board.centre.x) < 0.2]
    assert all(ball.z < board.centre.z for ball in near)


def test_a_sign_is_under_the_foils(book: PriceBook) -> None:
    piece = dressed(Accent(kind=AccentKind.SIGN, words="Welcome"), support=Support.COLUMN)
    scene, _ = drawn(book, piece, foils=("7",))
    (foil,), (sign,) = scene.foils, scene.signs
    assert sign.centre.y + sign.height_m / 2 < foil.centre.y - foil.height_m / 2


@pytest.mark.parametrize(("words", "colour"), [("navy", "navy"), (None, "cream")])
def test_a_fabric_cover_fills_its_frame_in_the_colour_asked_for_or_owned(
    book: PriceBook, words: str | None, colour: str
) -> None:
    cover = Accent(kind=AccentKind.FABRIC_COVER, words=words)
    scene, _ = drawn(book, dressed(cover))
    known = book.colour(colour)
    assert known is not None
    (fabric,) = [panel for panel in scene.panels if panel.material is Material.FABRIC]
    assert fabric.hex == known.hex
    heights = [corner.y for corner in fabric.corners]
    assert (min(heights), max(heights)) == pytest.approx((0, 2.1336))


def test_fabric_behind_what_has_no_frame_hangs_to_the_floor(book: PriceBook) -> None:
    cover = Accent(kind=AccentKind.FABRIC_COVER)
    scene, _ = drawn(book, dressed(cover, support=Support.COLUMN))
    (fabric,) = [panel for panel in scene.panels if panel.material is Material.FABRIC]
    assert min(corner.y for corner in fabric.corners) == 0
    assert all(corner.z <= min(ball.z for ball in scene.balls) for corner in fabric.corners)


def test_only_the_first_of_several_has_the_foils_and_each_its_accents(book: PriceBook) -> None:
    piece = dressed(Accent(kind=AccentKind.FLOWERS, count=4), support=Support.COLUMN, count=3)
    scene, _ = drawn(book, piece, foils=("star",))
    assert len(scene.foils) == 1
    assert len(scene.blooms) == 3 * 4
    first = [ball.x for ball in scene.balls if (ball.piece, ball.copy) == (0, 0)]
    assert min(first) < scene.foils[0].centre.x < max(first)


def test_foils_are_on_the_piece_that_the_estimate_has_them_on(book: PriceBook) -> None:
    brief = brief_of(piece_on(Support.COLUMN), piece_on(Support.WALL), foils=("OPEN",))
    counted = estimate_of(brief, book)
    assert fitted(counted, "foils", "letter").piece == 1
    # As estimates had it before: on the first piece.
    fittings = tuple(replace(each, piece=each.piece and 0) for each in counted.fittings)
    for estimate, piece in ((counted, 1), (replace(counted, fittings=fittings), 0)):
        scene = scene_of(brief, estimate, book, seed=3)
        across = [ball.x for ball in scene.balls if ball.piece == piece]
        assert all(min(across) < foil.centre.x < max(across) for foil in scene.foils)


def test_a_sign_hangs_in_the_opening_that_a_one_sided_garland_leaves(book: PriceBook) -> None:
    sign = Accent(kind=AccentKind.SIGN, words="Fifty years afloat")
    piece = piece_on(Support.SQUARE_FRAME, placement=Placement.ONE_SIDE, accents=(sign,))
    scene, _ = drawn(book, piece)
    (board,) = scene.signs
    (left,) = {rod.points[0].x for rod in scene.rods if rod.points[0].y == 0.0}
    assert board.centre.x == pytest.approx(left + 0.75)
    hidden = [
        ball
        for ball in scene.balls
        if abs(ball.x - board.centre.x) < board.width_m / 2
        and abs(ball.y - board.centre.y) < board.height_m / 2
    ]
    assert len(hidden) <= 2


def test_of_a_thicket_of_accents_a_share_is_drawn(book: PriceBook) -> None:
    greenery = Accent(kind=AccentKind.GREENERY, count=200)
    few, _ = drawn(book, dressed(replace(greenery, count=10)))
    many, _ = drawn(book, dressed(*[greenery] * 5, count=10))
    assert len(few.sprigs) == 10 * TWIGS_OF_A_STEM
    assert len(many.sprigs) <= MOST_DRAWN * TWIGS_OF_A_STEM
    assert len(many.sprigs) > MOST_DRAWN


@pytest.mark.parametrize(
    ("name", "shade"),
    [
        ("chartreuse", "#7FFF00"),
        ("dark salmon", "#E9967A"),
        ("misty teal", "#008080"),
        ("transparent", UNKNOWN),
        ("blorple", UNKNOWN),
    ],
)
def test_a_colour_that_is_not_in_stock_has_the_shade_of_its_word(
    book: PriceBook, name: str, shade: str
) -> None:
    assert hue(name, book) == shade
