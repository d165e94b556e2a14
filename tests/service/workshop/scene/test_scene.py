"""A scene shows what its estimate counts, the same for the same seed."""

from collections import Counter
from dataclasses import replace

import pytest

from service.estimating import (
    Build,
    Floating,
    FloatKind,
    Fullness,
    Piece,
    PriceBook,
    Support,
    sized_diameters,
)
from service.workshop.scene import Material, Scene, scene_of, seed_of
from tests.service.workshop.scene.picturing import FRAME, brief_of, estimate_of, piece_on


def scene(book: PriceBook, *pieces: Piece, seed: int = 1, outdoors: bool = False) -> Scene:
    brief = brief_of(*pieces, outdoors=outdoors)
    return scene_of(brief, estimate_of(brief, book), book, seed=seed)


def test_every_balloon_of_the_estimate_is_drawn_once(book: PriceBook) -> None:
    brief = brief_of(FRAME, piece_on(Support.COLUMN, count=2), piece_on(Support.WALL, count=3))
    counted = estimate_of(brief, book)
    drawn = scene_of(brief, counted, book, seed=1)
    for index, piece in enumerate(counted.pieces):
        balls = Counter((b.size_class, b.colour) for b in drawn.balls if b.piece == index)
        assert balls == {(b.size_class, b.colour): b.count for b in piece.balloons}
        copies = Counter(ball.copy for ball in drawn.balls if ball.piece == index)
        assert set(copies) == set(range(piece.count))
        assert len(set(copies.values())) == 1


def test_every_cluster_holds_what_its_type_says(book: PriceBook) -> None:
    brief = brief_of(piece_on(Support.HOOP, fullness=Fullness.LUSH))
    (counted,) = estimate_of(brief, book).pieces
    inside: Counter[tuple[int, int, str]] = Counter()
    for number, kind in enumerate(counted.order):
        for size, colour, n in counted.cluster_types[kind].balloons:
            inside[number, size, colour] += n
    drawn = scene_of(brief, estimate_of(brief, book), book, seed=1)
    assert Counter((b.cluster, b.size_class, b.colour) for b in drawn.balls) == inside


def test_the_same_seed_gives_the_same_scene_and_another_a_different_one(book: PriceBook) -> None:
    assert scene(book, FRAME, seed=7) == scene(book, FRAME, seed=7)
    assert scene(book, FRAME, seed=7).balls != scene(book, FRAME, seed=8).balls


def test_a_seed_goes_by_the_name_alone() -> None:
    assert seed_of("request-1") == seed_of("request-1") != seed_of("request-2")


def test_copies_have_the_same_balloons_each_tied_its_own_way(book: PriceBook) -> None:
    drawn = scene(book, replace(FRAME, count=2))
    first, second = ([b for b in drawn.balls if b.copy == copy] for copy in (0, 1))
    inside = [[(b.cluster, b.size_class, b.colour) for b in each] for each in (first, second)]
    assert inside[0] == inside[1]
    steps = [b.x - a.x for a, b in zip(first, second, strict=True)]
    assert min(steps) > 1.0
    assert max(steps) - min(steps) > 0.1


def test_columns_of_quads_are_alike(book: PriceBook) -> None:
    drawn = scene(book, piece_on(Support.COLUMN, count=2))
    first, second = ([b for b in drawn.balls if b.copy == copy] for copy in (0, 1))
    assert len({round(b.x - a.x, 9) for a, b in zip(first, second, strict=True)}) == 1


@pytest.mark.parametrize("outdoors", [False, True])
def test_balloons_are_as_large_as_they_are_sized_at_the_site(
    book: PriceBook, *, outdoors: bool
) -> None:
    sized = sized_diameters(FRAME, book, outdoors=outdoors)
    drawn = scene(book, FRAME, outdoors=outdoors)
    assert drawn.outdoors is outdoors
    assert {b.size_class: b.diameter_m for b in drawn.balls}.items() <= sized.items()


def test_colours_are_those_of_the_stock_and_one_not_kept_is_grey(book: PriceBook) -> None:
    brief = brief_of(FRAME, palette=())
    drawn = scene_of(brief, estimate_of(brief, book), book, seed=1)
    assert set(drawn.colours) == set(book.default_palette)
    known = {colour.name: colour.hex for colour in book.colours}
    assert all(known[name] == value for name, value in drawn.colours.items())
    red = brief_of(FRAME, palette=(replace(brief_of(FRAME).palette[0], colour="ultraviolet"),))
    unknown = scene_of(red, estimate_of(red, book), book, seed=1)
    assert unknown.colours == {"ultraviolet": "#BFB8B0"}


def test_an_estimate_from_before_clusters_were_kept_has_no_picture(book: PriceBook) -> None:
    brief = brief_of(FRAME)
    counted = estimate_of(brief, book)
    old = replace(counted, pieces=(replace(counted.pieces[0], order=(), cluster_types=()),))
    with pytest.raises(ValueError, match="before clusters were kept"):
        scene_of(brief, old, book, seed=1)


@pytest.mark.parametrize("support", Support)
def test_the_window_holds_all_but_the_room(book: PriceBook, support: Support) -> None:
    drawn = scene(book, piece_on(support))
    window = drawn.window
    for ball in drawn.balls:
        seen = drawn.seen(ball.centre)
        radius = ball.diameter_m / 2 * seen.scale
        assert window.left < seen.u - radius
        assert seen.u + radius < window.right
        assert window.bottom < seen.v - radius
        assert seen.v + radius < window.top
    feet = drawn.seen(drawn.person.at)
    assert window.left < feet.u < window.right
    assert window.bottom < feet.v < window.top
    for line in drawn.measures:
        for end in (drawn.seen(line.start), drawn.seen(line.end)):
            assert window.left < end.u < window.right
            assert window.bottom < end.v < window.top
    # A room goes on to both sides, so that no edge of it shows.
    walls = [p for p in drawn.panels if p.material is Material.WALL]
    for wall in walls:
        assert min(corner.x for corner in wall.corners) < window.left - 5
        assert max(corner.x for corner in wall.corners) > window.right + 5
    assert len(walls) <= 1


def test_quads_of_a_column_stand_on_the_floor_and_its_person_beside_them(book: PriceBook) -> None:
    drawn = scene(book, piece_on(Support.COLUMN, count=2, build=Build.QUADS))
    assert min(b.y - b.diameter_m / 2 for b in drawn.balls) >= 0
    assert drawn.person.at.x > max(b.x + b.diameter_m / 2 for b in drawn.balls)
    assert drawn.person.height_m == 1.7


def test_helium_balloons_float_beside_in_bunches_with_a_weight_each(book: PriceBook) -> None:
    wanted = (
        Floating(kind=FloatKind.LATEX, size_class=11, count=7),
        Floating(kind=FloatKind.FOIL_HEART, size_class=18, count=2),
    )
    brief = brief_of(FRAME, floating=wanted)
    drawn = scene_of(brief, estimate_of(brief, book), book, seed=1)
    assert Counter(each.kind for each in drawn.floats) == {
        FloatKind.LATEX: 7,
        FloatKind.FOIL_HEART: 2,
    }
    bunches = Counter(each.weight for each in drawn.floats)
    assert max(bunches.values()) <= 4
    assert all(weight.y == 0 for weight in bunches)
    right = max(ball.x + ball.diameter_m / 2 for ball in drawn.balls)
    assert all(each.centre.x - each.diameter_m / 2 > right for each in drawn.floats)
    # They are not among the estimate's air-filled balloons.
    assert len(drawn.balls) == sum(b.count for b in estimate_of(brief, book).pieces[0].balloons)
