import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Build, Fullness, Piece, PriceBook, Support
from service.estimating.book import Cluster
from service.estimating.clusters import balloons_per_metre, contents, nested_pitch
from service.estimating.recipe import balloons, make, spread

weights = st.dictionaries(
    st.text("abcdefgh", min_size=1), st.floats(0.01, 1), min_size=1, max_size=8
)


@given(total=st.integers(0, 3000), weights=weights)
def test_shares_add_up_exactly_and_stay_within_one_of_their_due(
    total: int, weights: dict[str, float]
) -> None:
    given_out = spread(total, weights)
    assert sum(given_out.values()) == total
    assert all(number >= 0 for number in given_out.values())
    if len(weights) == 2:
        # Webster's method keeps within one of the due share for two colours always.
        whole = sum(weights.values())
        assert all(abs(n - total * weights[c] / whole) <= 1 for c, n in given_out.items())


@given(total=st.integers(0, 500), weights=weights)
def test_one_more_balloon_takes_none_from_another_colour(
    total: int, weights: dict[str, float]
) -> None:
    before, after = spread(total, weights), spread(total + 1, weights)
    assert all(after[name] >= before[name] for name in weights)


@given(length=st.floats(0.1, 30), fullness=st.sampled_from(Fullness))
def test_clusters_and_balloons_agree(book: PriceBook, length: float, fullness: Fullness) -> None:
    made = make(
        Piece(support=Support.WALL, length_m=length, fullness=fullness), book, outdoors=False
    )
    assert made.sizes == balloons(book.recipe, made.clusters)
    assert sum(made.sizes.values()) == sum(
        n * sum(contents(book.recipe, kind).values()) for kind, n in made.clusters.items()
    )


@given(length=st.floats(0.1, 29), more=st.floats(0.001, 1), fullness=st.sampled_from(Fullness))
def test_a_longer_garland_has_no_fewer_clusters_of_any_kind(
    book: PriceBook, length: float, more: float, fullness: Fullness
) -> None:
    short, long = (
        make(Piece(support=Support.WALL, length_m=m, fullness=fullness), book, outdoors=False)
        for m in (length, length + more)
    )
    assert all(long.clusters.get(kind, 0) >= n for kind, n in short.clusters.items())


@pytest.mark.parametrize("fullness", Fullness)
def test_a_long_garland_holds_as_much_rubber_as_its_girth_asks_for(
    book: PriceBook, fullness: Fullness
) -> None:
    made = make(Piece(support=Support.WALL, length_m=20, fullness=fullness), book, outdoors=False)
    mean = made.volume_m3 / sum(made.sizes.values())
    wanted = 20 * balloons_per_metre(book.recipe.solid_fraction, made.girth_m, mean)
    assert sum(made.sizes.values()) == pytest.approx(wanted, rel=0.01)


def test_outdoors_balloons_are_sized_smaller_so_that_more_are_needed(book: PriceBook) -> None:
    piece = Piece(support=Support.WALL, length_m=10)
    indoors, outdoors = (make(piece, book, outdoors=out) for out in (False, True))
    assert sum(outdoors.sizes.values()) > sum(indoors.sizes.values())


def test_a_column_is_nested_quads_of_one_size(book: PriceBook) -> None:
    made = make(Piece(support=Support.COLUMN, height_m=2.0), book, outdoors=False)
    # (2.0 - 0.254) / (2^(-1/4) 0.254) + 1 = 9.17 quads
    assert made.clusters == {Cluster.QUAD: 9}
    assert made.sizes == {11: 36}


def test_a_hoop_of_quads_closes_on_itself(book: PriceBook) -> None:
    hoop = Piece(support=Support.HOOP, width_m=1.8, build=Build.QUADS, size_class=11, sized_m=0.25)
    made = make(hoop, book, outdoors=False)
    assert made.clusters[Cluster.QUAD] == round(1.8 * 3.141592653589793 / nested_pitch(4, 0.25))


def test_half_coverage_takes_half_the_balloons(book: PriceBook) -> None:
    whole, half = (
        make(Piece(support=Support.WALL, length_m=12, coverage=c), book, outdoors=False)
        for c in (1.0, 0.5)
    )
    assert sum(half.sizes.values()) == pytest.approx(sum(whole.sizes.values()) / 2, rel=0.03)
