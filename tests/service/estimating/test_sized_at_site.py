"""What others ask of the recipe: sized diameters at the site, and which clusters are fillers."""

import pytest

from service.estimating import (
    Build,
    Fullness,
    Piece,
    PriceBook,
    Support,
    pushed_in,
    sized_diameters,
)
from service.estimating.recipe import make

WALL = Piece(support=Support.WALL, length_m=3.0, fullness=Fullness.LUSH)


@pytest.mark.parametrize("outdoors", [False, True])
def test_an_organic_piece_has_every_size_of_the_book(book: PriceBook, *, outdoors: bool) -> None:
    sized = sized_diameters(WALL, book, outdoors=outdoors)
    assert sized == {
        each.size_class: each.sized_outdoors_m if outdoors else each.sized_indoors_m
        for each in book.sizes
    }


def test_quads_have_one_size_as_the_client_wants_it(book: PriceBook) -> None:
    column = Piece(support=Support.COLUMN, height_m=2.0)
    recipe = book.recipe
    assert sized_diameters(column, book, outdoors=False) == {
        recipe.quads_size: recipe.quads_sized_m
    }
    own = Piece(support=Support.COLUMN, height_m=2.0, build=Build.QUADS, size_class=5, sized_m=0.1)
    assert sized_diameters(own, book, outdoors=True) == {5: 0.1}


def test_fillers_lie_between_clusters_that_are_tied(book: PriceBook) -> None:
    roles = pushed_in(WALL, book, outdoors=False)
    made = make(WALL, book, outdoors=False)
    assert sum(roles) == sum(made.fill.values())
    assert len(roles) == sum(made.clusters.values())
    assert not roles[0]
