from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import (
    Brief,
    Build,
    ColourShare,
    Fullness,
    Piece,
    PieceEstimate,
    Placement,
    PriceBook,
    Stretch,
    Support,
    estimate,
    laid,
)

NAVY = (ColourShare(colour="navy"),)

pieces = st.builds(
    Piece,
    support=st.sampled_from([Support.HOOP, Support.CEILING, Support.WALL, Support.COLUMN]),
    fullness=st.sampled_from(Fullness),
    placement=st.sampled_from(Placement),
    build=st.none() | st.sampled_from(Build),
    coverage=st.none() | st.floats(0.1, 1),
    width_m=st.floats(0.6, 4),
    height_m=st.floats(2, 4),
    length_m=st.floats(0.5, 8),
)


def laid_out(piece: Piece, book: PriceBook) -> tuple[PieceEstimate, tuple[Stretch, ...]]:
    brief = Brief(pieces=(piece,), palette=NAVY)
    counted = estimate(brief, book, today=date(2027, 1, 10)).pieces[0]
    return counted, laid(piece, counted, book, outdoors=False)


@settings(max_examples=20, deadline=None)
@given(piece=pieces)
def test_every_cluster_lies_on_its_stretch_in_the_estimates_order(
    book: PriceBook, piece: Piece
) -> None:
    counted, stretches = laid_out(piece, book)
    clusters = [cluster for stretch in stretches for cluster in stretch.clusters]
    assert [cluster.kind for cluster in clusters] == [*counted.order]
    assert [cluster.number for cluster in clusters] == [*range(1, len(clusters) + 1)]
    for stretch in stretches:
        places = [cluster.at_m for cluster in stretch.clusters]
        assert places == sorted(places)
        for at in places:
            assert stretch.run.start_m - 1e-9 <= at <= stretch.run.end_m + 1e-9
    for cluster in clusters:
        assert cluster.filler is counted.cluster_types[cluster.kind].filler


def test_those_that_are_tied_on_are_one_pitch_apart_and_fillers_between_them(
    book: PriceBook,
) -> None:
    _, (stretch,) = laid_out(Piece(support=Support.WALL, length_m=4), book)
    tied = [cluster.at_m for cluster in stretch.clusters if not cluster.filler]
    pitch = 4 / len(tied)
    assert tied == pytest.approx([(i + 0.5) * pitch for i in range(len(tied))])
    pushed = [cluster.at_m for cluster in stretch.clusters if cluster.filler]
    assert pushed
    assert not set(pushed) & set(tied)


def test_rows_of_one_length_are_filled_alike(book: PriceBook) -> None:
    _, stretches = laid_out(Piece(support=Support.CEILING, length_m=4, width_m=2.4), book)
    tied = [sum(not each.filler for each in stretch.clusters) for stretch in stretches]
    assert max(tied) - min(tied) <= 1
    for before, after in pairwise(stretches):
        # What is pushed in behind the last one tied stays on its row.
        assert not after.clusters[0].filler
        assert before.clusters[-1].at_m <= before.run.end_m


def test_nested_quads_go_by_the_rings_that_fit_each_stretch(book: PriceBook) -> None:
    piece = Piece(
        support=Support.HOOP, width_m=2, build=Build.QUADS, placement=Placement.ASYMMETRIC
    )
    _, (long, short) = laid_out(piece, book)
    assert len(long.clusters) == 2 * len(short.clusters)


def test_an_estimate_that_does_not_say_what_is_pushed_in_is_laid_alike(book: PriceBook) -> None:
    piece = Piece(support=Support.WALL, length_m=4, fullness=Fullness.LUSH)
    counted, stretches = laid_out(piece, book)
    kinds = tuple(replace(kind, filler=None) for kind in counted.cluster_types)
    older = replace(counted, cluster_types=kinds)
    assert laid(piece, older, book, outdoors=False) == stretches


def test_an_estimate_without_an_order_has_empty_stretches(book: PriceBook) -> None:
    piece = Piece(support=Support.CEILING, length_m=4, width_m=1.2)
    counted, _ = laid_out(piece, book)
    unordered = replace(counted, cluster_types=(), order=())
    stretches = laid(piece, unordered, book, outdoors=False)
    assert [stretch.clusters for stretch in stretches] == [(), ()]
