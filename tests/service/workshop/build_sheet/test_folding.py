from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.workshop.build_sheet.folding import LONGEST_UNIT, STEP, Fold, folded
from service.workshop.build_sheet.progress import boxes_for

short = st.lists(st.integers(0, 2), max_size=12).map(tuple)
units = st.lists(st.integers(0, 4), min_size=1, max_size=6)
repeating = st.lists(
    st.tuples(units, st.integers(1, 5)).map(lambda unit: unit[0] * unit[1]), max_size=4
).map(lambda parts: tuple(each for part in parts for each in part))


def unfolded(folds: tuple[Fold, ...]) -> tuple[int, ...]:
    return tuple(each for fold in folds for each in fold.unit * fold.times)


def cheapest(sequence: tuple[int, ...]) -> int:
    """By trying every way to cut it and every period of each cut."""

    @cache
    def from_here(start: int) -> int:
        if start == len(sequence):
            return 0
        return min(
            STEP + period + from_here(start + period * times)
            for period in range(1, len(sequence) - start + 1)
            for times in range(1, (len(sequence) - start) // period + 1)
            if sequence[start : start + period] * times == sequence[start : start + period * times]
        )

    return from_here(0)


@settings(max_examples=25, deadline=None)
@given(sequence=repeating)
def test_unfolding_gives_back_the_very_order(sequence: tuple[int, ...]) -> None:
    assert unfolded(folded(sequence)) == sequence
    assert folded(list(sequence)) == folded(sequence)


@settings(max_examples=25, deadline=None)
@given(sequence=short)
def test_no_description_is_shorter(sequence: tuple[int, ...]) -> None:
    assert sum(STEP + len(fold.unit) for fold in folded(sequence)) == cheapest(sequence)


def said(letters: str) -> list[tuple[str, int]]:
    return [("".join(map(chr, fold.unit)), fold.times) for fold in folded([*map(ord, letters)])]


@pytest.mark.parametrize(
    ("letters", "folds"),
    [
        ("", []),
        ("A", [("A", 1)]),
        ("A" * 300, [("A", 300)]),
        ("ABAC" * 5, [("ABAC", 5)]),
        ("AAAA" + "ABAC" * 5, [("A", 4), ("ABAC", 5)]),
        ("AB" * 6 + "CD" * 6, [("AB", 6), ("CD", 6)]),
        # Eight clusters are sooner read as they come than as "A, B, then C, B, A twice over".
        ("ABCBACBA", [("ABCBACBA", 1)]),
        ("ABC" * 4 + "A", [("ABC", 4), ("A", 1)]),
    ],
)
def test_groups_that_repeat_are_said_once(letters: str, folds: list[tuple[str, int]]) -> None:
    assert said(letters) == folds


def test_a_unit_that_is_longer_than_one_keeps_in_view_is_spelled_out() -> None:
    unit = tuple(range(LONGEST_UNIT + 1))
    assert folded(unit * 2) == (Fold(unit=unit * 2, times=1),)


@pytest.mark.parametrize(
    ("times", "count", "per"),
    [(1, 1, 1), (10, 10, 1), (11, 3, 5), (50, 10, 5), (51, 6, 10), (300, 6, 50), (3500, 7, 500)],
)
def test_boxes_are_few_enough_to_be_seen_at_once(times: int, count: int, per: int) -> None:
    boxes = boxes_for(times)
    assert (boxes.count, boxes.per) == (count, per)
