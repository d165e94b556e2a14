"""The shop's own data as tables, read a few hundred rows at a time."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Select, Text, cast, func, select

from service.leads.exports import Cell
from service.storage import tables as t
from service.storage.leads import number_of

_AT_ONCE = 500

_Cells = Callable[[Any], Sequence[Cell]]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Sheet:
    columns: tuple[str, ...]
    query: Select[Any]
    cells: _Cells = tuple


class SqlExports:
    """`service.leads.exports.Exports` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def columns(self, table: str) -> Sequence[str]:
        return _SHEETS[table].columns

    def rows(self, table: str) -> Iterator[Sequence[Cell]]:
        sheet = _SHEETS[table]
        found = self._connection.execute(sheet.query, execution_options={"yield_per": _AT_ONCE})
        for some in found.partitions():
            yield from map(sheet.cells, some)


def _of_lead(row: Row[Any]) -> Sequence[Cell]:
    """The first of the row is a lead's place, if any; it is said by its number."""
    place, *rest = row
    return (None if place is None else number_of(place), *rest)


def _lead(row: Row[Any]) -> Sequence[Cell]:
    place, client, *rest = row
    return (number_of(place), *_client(client), *rest)


def _client(kept: Mapping[str, Any]) -> Sequence[Cell]:
    return tuple(kept.get(name) for name in ("name", "email", "phone"))


def _person(row: Row[Any]) -> Sequence[Cell]:
    client, *rest = row
    return (*_client(json.loads(client)), *rest)


def _quote(row: Row[Any]) -> Sequence[Cell]:
    *rest, hours = row
    return (*_of_lead(rest), round(sum(hours.values()), 2))  # type: ignore[arg-type]


def _change(row: Row[Any]) -> Sequence[Cell]:
    *rest, detail = row
    return (*_of_lead(rest), json.dumps(detail, ensure_ascii=False) if detail else None)  # type: ignore[arg-type]


def _sheet(
    named: Mapping[str, Any], order: Any, *joins: tuple[Any, Any], cells: _Cells = tuple
) -> _Sheet:
    query = select(*named.values()).order_by(order)
    return _Sheet(columns=tuple(named), query=query, cells=cells)
