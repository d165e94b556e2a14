from collections import Counter

import pytest

from tests.published.rows import ROWS, Row

AGREEING = [row for row in ROWS if row.disagrees is None]
DISAGREEING = [row for row in ROWS if row.disagrees is not None]


@pytest.mark.parametrize("row", AGREEING, ids=lambda row: row.id)
def test_the_answer_agrees_with_the_source(row: Row) -> None:
    answer = row.answer()
    if isinstance(row.expected, str):
        assert answer == row.expected
        return
    assert isinstance(answer, float | int)
    if row.at_least:
        assert answer >= row.expected
    else:
        assert abs(answer - row.expected) <= row.tolerance, f"{answer} against {row.expected}"


@pytest.mark.parametrize("row", DISAGREEING, ids=lambda row: row.id)
def test_the_answer_differs_from_the_source_by_as_much_as_is_explained(row: Row) -> None:
    answer = row.answer()
    assert row.disagrees
    assert isinstance(answer, float | int)
    assert isinstance(row.expected, float | int)
    assert abs(answer - row.expected) > row.tolerance, "it agrees: take the disagreement out"
    assert answer / row.expected - 1 == pytest.approx(row.disagrees.by, abs=0.01)
    assert row.disagrees.because


def test_every_row_names_its_source_once() -> None:
    assert all(row.source for row in ROWS)
    assert max(Counter(row.id for row in ROWS).values()) == 1


def test_the_table_is_large_enough_to_mean_something() -> None:
    marks = Counter(row.mark for row in ROWS)
    assert len(ROWS) >= 40
    assert marks["published"] >= 40
