"""The shop's tables as CSV files (RFC 4180, UTF-8), written while they are read."""

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import chain, islice
from zoneinfo import ZoneInfo

from service.leads.exports import TABLES, Cell
from service.leads.ports import Ports
from service.leads.shop_time import zone_of

_AT_ONCE = 500

# What begins so is a formula to a spreadsheet, the wide forms to some.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def sheet(ports: Ports, table: str) -> Iterator[bytes]:
    """One table, in parts."""
    with ports.read() as work:
        columns, rows = work.exports.columns(table), work.exports.rows(table)
        yield from csv_of(columns, rows, _zone(ports))


def all_sheets(ports: Ports) -> Iterator[bytes]:
    """A zip of every table as it stands at one moment, in parts."""
    out = Written()
    zone = _zone(ports)
    with ports.read() as work, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for table in TABLES:
            columns, rows = work.exports.columns(table), work.exports.rows(table)
            with archive.open(f"{table}.csv", "w", force_zip64=True) as file:
                for part in csv_of(columns, rows, zone):
                    file.write(part)
                    yield out.taken()
    yield out.taken()


def csv_of(
    columns: Sequence[str], rows: Iterable[Sequence[Cell]], zone: ZoneInfo
) -> Iterator[bytes]:
    """The rows below their columns' names. Times are those of `zone`, with their offset."""
    lines = chain([columns], ([cell_of(value, zone) for value in row] for row in rows))
    while some := list(islice(lines, _AT_ONCE)):
        text = io.StringIO(newline="")
        csv.writer(text).writerows(some)
        yield text.getvalue().encode()


def cell_of(value: Cell, zone: ZoneInfo) -> str:
    """A value as it is written; no text is taken for a formula, and every number stays one."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.astimezone(zone).isoformat()
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return str(value)


def _zone(ports: Ports) -> ZoneInfo:
    return zone_of(ports.price_books.current())


class Written(io.RawIOBase):
    """What is written to it, until it is taken."""

    def __init__(self) -> None:
        super().__init__()
        self._written = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, data: "bytes | bytearray | memoryview") -> int:  # type: ignore[override]
        self._written += data
        return len(data)

    def taken(self) -> bytes:
        """Everything since the last time."""
        part = bytes(self._written)
        self._written.clear()
        return part
