"""Parts of the price book as the fields of a form, with what was typed into them."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from service.leads.book_forms import NEW, Choice, Fact, Group, Input, Kind, Part, Rows
from service.storage.price_book.branches import members_of, rows_of, texts_of, typed_from
from service.storage.price_book.naming import counted, hint_of, label_of, said, unit_of
from service.storage.price_book.shapes import Keyed, Lines, Many, Member, Record, Scalar

_MOST_NAMES = 3
_MOST_FACTS = 5
_UNTOLD = (Kind.TICK, Kind.TICKS, Kind.LINES, Kind.LONG)
_COUNTED = (Kind.NUMBER, Kind.MONEY)


def part_of(member: Member, branch: Any, name: str, place: str) -> Part:
    """A part of the form with what was typed into it.

    `name` is its full name, `place` the same without the numbers of rows and names of keys.
    """
    shape, label = member.shape, member.title or label_of(place)
    hint = member.about or hint_of(place)
    if isinstance(shape, Record | Keyed):
        parts = tuple(_parts(shape, branch, name, place))
        return Group(name=name, label=label, hint=hint, parts=parts)
    if isinstance(shape, Many):
        return _rows(shape.each, branch, name, place, label, hint)
    return _input(member, texts_of(branch), name, place, label, hint)


def _parts(shape: Record | Keyed, branch: Any, name: str, place: str) -> Iterator[Part]:
    known = branch if isinstance(branch, dict) else {}
    for key, member in members_of(shape).items():
        inside = f"{place}.{key}" if isinstance(shape, Record) else place
        part = part_of(member, known.get(key), f"{name}.{key}", inside)
        yield part if isinstance(shape, Record) else _named(part, said(key))


def _named(part: Part, label: str) -> Part:
    if isinstance(part, Input):
        return replace(part, label=label, hint="")
    return Group(name=part.name, label=label, parts=part.parts) if isinstance(part, Group) else part


def _rows(shape: Record, branch: Any, name: str, place: str, label: str, hint: str) -> Rows:
    rows = tuple(_row(shape, row, f"{name}.{i}", place) for i, row in enumerate(rows_of(branch)))
    blank = _row(shape, typed_from(shape, None), f"{name}.{NEW}", place)
    return Rows(name=name, label=label, hint=hint, rows=rows, blank=blank, one=_one(label))


def _row(shape: Record, branch: Any, name: str, place: str) -> Group:
    parts = tuple(_parts(shape, branch, name, place))
    told = [part for part in parts if isinstance(part, Input) and part.value]
    names = [_called(part) for part in told if part.kind not in (*_UNTOLD, *_COUNTED)]
    facts = [_fact(part) for part in told if part.kind in _COUNTED]
    return Group(
        name=name,
        label=", ".join(names[:_MOST_NAMES]) or ("" if facts else "New"),
        facts=tuple(facts[:_MOST_FACTS]),
        parts=parts,
    )


def _called(part: Input) -> str:
    return next((each.label for each in part.choices if each.value == part.value), part.value)


def _fact(part: Input) -> Fact:
    return Fact(
        label=part.label[:1].lower() + part.label[1:],
        value=counted(part.value, part.unit),
        money=part.kind is Kind.MONEY,
    )


def _one(label: str) -> str:
    """ "Add a row" names what is added by the list's own label."""
    return label[:1].lower() + label[1:]


def _input(
    member: Member, texts: tuple[str, ...], name: str, place: str, label: str, hint: str
) -> Input:
    shape = member.shape
    many = isinstance(shape, Lines)
    single = shape.each if isinstance(shape, Lines) else shape
    among = single.among if isinstance(single, Scalar) else ()
    return Input(
        name=name,
        label=label,
        hint=hint,
        kind=_kind(single, place, many=many),
        unit=unit_of(place),
        values=texts,
        choices=tuple(Choice(value=each, label=said(each)) for each in among),
        needed=member.needed,
    )


def _kind(shape: Any, place: str, *, many: bool) -> Kind:
    if not isinstance(shape, Scalar):
        return Kind.LONG
    if shape.among:
        return Kind.TICKS if many else Kind.CHOICE
    if many:
        return Kind.LINES
    if shape.of is bool:
        return Kind.TICK
    if shape.cents or "price" in place.rsplit(".", 1)[-1]:
        return Kind.MONEY
    plain = {str: Kind.LONG if shape.long else Kind.TEXT, dt.time: Kind.TIME}
    return plain.get(shape.of, Kind.NUMBER)
