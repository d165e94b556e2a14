"""The price book as it is typed: a tree of texts, made of its data and made data again."""

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from service.leads.book_forms import Typed
from service.storage.price_book.naming import unit_of
from service.storage.price_book.shapes import (
    YES,
    Keyed,
    Lines,
    Loose,
    Many,
    Member,
    Record,
    Scalar,
    Shape,
)
from service.storage.price_book.typing_in import Slip, from_yaml, typed_of, value_of, yaml_of

Branch = dict[str, Any]
"""What was typed, as a tree: by name another branch, or the texts of a field."""

# A form has not even thousands of rows.
_LONGEST_NUMBER = 10

ABSENT = object()
"""Nothing was typed, so nothing is to be there."""


def branch_of(typed: Typed) -> Branch:
    """Fields by their full names as a tree."""
    root: Branch = {}
    for name, texts in typed.items():
        *path, last = name.split(".")
        at: Any = root
        for step in path:
            at = at.setdefault(step, {}) if isinstance(at, dict) else {}
        if isinstance(at, dict):
            at[last] = texts
    return root


def typed_from(shape: Shape, data: Any) -> Any:
    """A part of the book as it would have been typed."""
    if isinstance(shape, Scalar):
        return () if data is None else (typed_of(shape, data),)
    if isinstance(shape, Loose):
        return () if data is None else (yaml_of(data),)
    if isinstance(shape, Record):
        known = _known(data)
        return {
            name: typed_from(member.shape, known.get(name, member.usual or None))
            for name, member in shape.members.items()
        }
    if isinstance(shape, Keyed):
        known = {str(key): value for key, value in (data or {}).items()}
        return {key: typed_from(shape.each, known.get(key)) for key in shape.keys}
    if isinstance(shape, Many):
        return {str(i): typed_from(shape.each, each) for i, each in enumerate(data or ())}
    texts = tuple(typed_of(shape.each, each) for each in data or ())
    return texts if shape.each.among else ("\n".join(texts),)


def _known(data: Any) -> Mapping[str, Any]:
    """What stands in a record, or in the entry that stands for it where it was left out."""
    if isinstance(data, BaseModel):
        return dict(data)
    return data if isinstance(data, Mapping) else {}


def compact(shape: Shape, branch: Any) -> Any:
    """The same without rows in which nothing is, the others numbered anew."""
    if isinstance(shape, Record | Keyed):
        parts = branch if isinstance(branch, dict) else {}
        each = members_of(shape)
        return {name: compact(each[name].shape, parts.get(name)) for name in each}
    if isinstance(shape, Many):
        rows = [compact(shape.each, row) for row in rows_of(branch)]
        kept = [row for row in rows if not is_blank(shape.each, row)]
        return {str(i): row for i, row in enumerate(kept)}
    return branch if isinstance(branch, tuple) else ()


def rows_of(branch: Any) -> list[Any]:
    """Rows in their order."""
    known = branch if isinstance(branch, dict) else {}
    return [known[key] for key in sorted(filter(is_row, known), key=int)]


def is_row(key: str) -> bool:
    """Whether a name is the number of a row."""
    return key.isdecimal() and len(key) < _LONGEST_NUMBER


def members_of(shape: Record | Keyed) -> Mapping[str, Member]:
    """The parts of a record or of what is kept by known names."""
    if isinstance(shape, Record):
        return shape.members
    return {key: Member(shape=shape.each, needed=False) for key in shape.keys}


def is_blank(shape: Shape, branch: Any) -> bool:
    """Whether nothing was typed; a tick alone says nothing."""
    if isinstance(shape, Record | Keyed):
        parts = branch if isinstance(branch, dict) else {}
        each = members_of(shape)
        return all(is_blank(each[name].shape, parts.get(name)) for name in each)
    if isinstance(shape, Many):
        return all(is_blank(shape.each, row) for row in rows_of(branch))
    if isinstance(shape, Scalar) and shape.of is bool:
        return True
    return not any(text.strip() for text in texts_of(branch))


def data_from(
    shape: Shape, branch: Any, name: str, slips: dict[str, str], *, old: Any = None
) -> Any:
    """What was typed, as data for the book; ABSENT where it is nothing.

    `slips` gathers what is no figure, by the name of its field; it stays in the data as it was
    typed. `old` is what was there before.
    """
    if isinstance(shape, Scalar):
        return _scalar(shape, branch, name, slips)
    if isinstance(shape, Loose):
        return _loose(branch, name, slips)
    if isinstance(shape, Lines):
        return _lines(shape, branch, name, slips)
    if isinstance(shape, Many):
        return _many(shape, branch, name, slips, old)
    parts = branch if isinstance(branch, dict) else {}
    before = {str(key): value for key, value in old.items()} if isinstance(old, Mapping) else {}
    found: dict[Any, Any] = {}
    for key, member in members_of(shape).items():
        at = f"{name}.{key}"
        value = data_from(member.shape, parts.get(key), at, slips, old=before.get(key))
        if not _left_out(member, parts.get(key), value, known=key in before):
            found[_key_of(key, old)] = value
    return found


def _left_out(member: Member, branch: Any, value: Any, *, known: bool) -> bool:
    if value is ABSENT:
        return True
    if member.needed:
        return False
    # As it would be anyway: there is no need to write it into the book.
    if isinstance(value, bool):
        return value == member.usual and not known
    usual = typed_from(member.shape, member.usual)
    return (branch == usual and not known) or is_blank(member.shape, branch)


def _key_of(key: str, old: Any) -> Any:
    """The name as it stands in the text already, where a size is a number."""
    if isinstance(old, Mapping):
        key_in_text = next((each for each in old if str(each) == key), None)
        if key_in_text is not None:
            return key_in_text
    return int(key) if key.isdecimal() else key


def _many(shape: Many, branch: Any, name: str, slips: dict[str, str], old: Any) -> list[Any]:
    before = dict(enumerate(old or ()))
    return [
        data_from(shape.each, row, f"{name}.{i}", slips, old=before.get(i))
        for i, row in enumerate(rows_of(branch))
    ]


def _lines(shape: Lines, branch: Any, name: str, slips: dict[str, str]) -> list[Any]:
    texts = texts_of(branch)
    lines = texts if shape.each.among else [line for text in texts for line in text.splitlines()]
    found = (_scalar(shape.each, (line,), name, slips) for line in lines)
    return [each for each in found if each is not ABSENT]


def _scalar(shape: Scalar, branch: Any, name: str, slips: dict[str, str]) -> Any:
    text = next(iter(texts_of(branch)), "").strip()
    if shape.of is bool:
        return text == YES
    if not text:
        return ABSENT
    try:
        return value_of(shape, text, unit_of(name))
    except Slip as slip:
        slips.setdefault(name, str(slip))
        return text


def _loose(branch: Any, name: str, slips: dict[str, str]) -> Any:
    text = next(iter(texts_of(branch)), "").strip()
    if not text:
        return ABSENT
    try:
        return from_yaml(text)
    except Slip as slip:
        slips.setdefault(name, str(slip))
        return text


def texts_of(branch: Any) -> tuple[str, ...]:
    return branch if isinstance(branch, tuple) else ()
