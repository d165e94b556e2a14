from collections import Counter

import pytest

from tests.published.report import tally
from tests.published.row import Between, Row
from tests.published.table import TABLE

NAMED = [(f"{subject}: {row.id}", row) for subject, rows in TABLE.items() for row in rows]
EVERY = [row for _, row in NAMED]
AGREEING = [pytest.param(row, id=name) for name, row in NAMED if not row.disagrees]
DISAGREEING = [pytest.param(row, id=name) for name, row in NAMED if row.disagrees]


@pytest.mark.parametrize("row", AGREEING)
def test_the_answer_agrees_with_the_source(row: Row) -> None:
    answer = row.answer()
    assert row.agrees(answer), f"{answer} against {row.expected}"


@pytest.mark.parametrize("row", DISAGREEING)
def test_the_answer_differs_from_the_source_by_as_much_as_is_explained(row: Row) -> None:
    answer = row.answer()
    assert row.disagrees
    assert not isinstance(answer, str)
    assert not row.agrees(answer), "it agrees: take the disagreement out"
    # Said to three decimals, or to two where it is more than the figure itself.
    assert row.off(answer) == pytest.approx(row.disagrees.by, abs=0.001, rel=0.005)
    assert row.disagrees.because


def test_every_row_names_its_source_and_is_there_once() -> None:
    assert all(row.source.strip() for row in EVERY)
    assert max(Counter(name for name, _ in NAMED).values()) == 1


def test_no_tolerance_is_so_wide_that_a_row_could_not_fail() -> None:
    # A range is the source's own; a single figure may not be a quarter off and still agree.
    for row in EVERY:
        if isinstance(row.expected, Between):
            assert row.expected.low < row.expected.high
        if isinstance(row.expected, float | int) and not row.at_least:
            assert row.tolerance <= abs(row.expected) / 4, row.id


def test_the_table_is_large_enough_to_mean_something(capsys: pytest.CaptureFixture[str]) -> None:
    with capsys.disabled():
        print("", *tally(TABLE), sep="\n")
    marks = Counter(row.mark for row in EVERY)
    assert len(EVERY) >= 500
    assert marks["published"] >= 415
