"""CSV that any spreadsheet reads back, and that runs as no formula there."""

import csv
import io
from datetime import UTC, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.leads.exports import Cell
from service.rendering.sheets import cell_of, csv_of

BOSTON = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (None, ""),
        (0, "0"),
        (-3, "-3"),
        (Decimal("-12.50"), "-12.50"),
        (Decimal("1E+3"), "1000"),
        (4.78, "4.78"),
        (datetime(2027, 6, 6, 19, tzinfo=UTC), "2027-06-06T15:00:00-04:00"),
        ("G1001", "G1001"),
        ("=1+2", "'=1+2"),
        ("+1 617 555 0110", "'+1 617 555 0110"),
        ("-3", "'-3"),
        ("@everybody", "'@everybody"),
        ("\t=1", "'\t=1"),
        ("\r\n=1", "'\r\n=1"),
        ("＝1", "'＝1"),
        ("a = b", "a = b"),
        ("", ""),
    ],
)
def test_numbers_stay_numbers_and_no_text_is_a_formula(value: Cell, written: str) -> None:
    assert cell_of(value, BOSTON) == written


# A lone surrogate is no text that could have been stored.
_TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=20)


@given(st.lists(st.lists(_TEXT, min_size=2, max_size=2), max_size=5))
def test_what_is_written_is_read_back(rows: list[list[str]]) -> None:
    written = b"".join(csv_of(("one", "two"), rows, BOSTON)).decode()
    read = list(csv.reader(io.StringIO(written, newline="")))
    assert read == [["one", "two"], *[[cell_of(each, BOSTON) for each in row] for row in rows]]
    assert written.endswith("\r\n")


def test_a_long_table_comes_in_parts() -> None:
    parts = list(csv_of(("n",), ([n] for n in range(1_200)), BOSTON))
    assert len(parts) == 3
    assert b"".join(parts).decode().split("\r\n")[:3] == ["n", "0", "1"]
