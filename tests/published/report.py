"""The table as text for people."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from tests.published.row import Row, Value

_WIDTHS = (60, 32, 24, 10)


def tally(table: Mapping[str, Sequence[Row]]) -> Iterator[str]:
    """How many rows there are, by mark and by subject."""
    rows = [row for subject in table.values() for row in subject]
    marks = Counter(row.mark for row in rows)
    differing = sum(row.disagrees is not None for row in rows)
    yield f"{len(rows)} rows, of which {differing} disagree with their source for a stated reason"
    yield ", ".join(f"{number} {mark}" for mark, number in marks.most_common())
    yield ", ".join(f"{subject} {len(rows)}" for subject, rows in table.items())


def table_lines(table: Mapping[str, Sequence[Row]]) -> Iterator[str]:
    """Every row: what, expected, ours, difference, mark and source; the reason beneath."""
    heads = ("what", "expected", "ours", "off", "mark: source")
    for subject, rows in table.items():
        yield ""
        yield subject.upper()
        yield _columns(*heads)
        for row in rows:
            yield from _row_lines(row)


def _row_lines(row: Row) -> Iterator[str]:
    answer = row.answer()
    off = "" if isinstance(answer, str) else f"{row.off(answer):+.2%}"
    ours = _shown(answer)
    yield _columns(row.id, _expected(row), ours, off, f"{row.mark}: {row.source}")
    if row.disagrees:
        yield f"    differs: {row.disagrees.because}"
    elif not row.agrees(answer):
        yield "    FAILS"


def _columns(*cells: str) -> str:
    *fixed, last = cells
    padded = (f"{cell:<{width}}" for cell, width in zip(fixed, _WIDTHS, strict=True))
    return "  ".join((*padded, last))


def _expected(row: Row) -> str:
    if isinstance(row.expected, str):
        return _shown(row.expected)
    figure = (
        str(row.expected) if not isinstance(row.expected, float | int) else _shown(row.expected)
    )
    tolerance = f" +/- {row.tolerance:.2g}" if row.tolerance else ""
    least = "at least " if row.at_least else ""
    return f"{least}{figure}{tolerance} {row.unit}".rstrip()


def _shown(value: Value) -> str:
    if isinstance(value, str):
        return value if len(value) <= 24 else f"{value[:21]}..."
    return f"{value:.8g}"
