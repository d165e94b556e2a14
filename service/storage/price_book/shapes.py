"""What entries of the price book consist of, read off their models: the ground for its forms."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import MaxLen
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from service.storage.price_book.fields import Among

YES, NO = "yes", "no"

# From so many characters on a text is given room for several lines.
_LONG = 200


@dataclass(frozen=True, kw_only=True, slots=True)
class Scalar:
    """One value. `of` is its type; with `among` it is one of these; `long` has several lines."""

    of: type
    among: tuple[str, ...] = ()
    long: bool = False
    cents: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Member:
    """An entry of a record: its shape, whether it must be there, what stands for it otherwise."""

    shape: "Shape"
    needed: bool
    usual: Any = None
    title: str = ""
    about: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Record:
    """Named entries of different shapes."""

    members: Mapping[str, Member]


@dataclass(frozen=True, kw_only=True, slots=True)
class Keyed:
    """Entries of one shape by names that are known beforehand; any may be left out."""

    keys: tuple[str, ...]
    each: "Shape"


@dataclass(frozen=True, kw_only=True, slots=True)
class Lines:
    """A list of single values."""

    each: Scalar


@dataclass(frozen=True, kw_only=True, slots=True)
class Many:
    """A list of records of one shape."""

    each: Record


@dataclass(frozen=True, kw_only=True, slots=True)
class Loose:
    """What has no shape that a form could have; it is typed as YAML."""


Shape = Scalar | Record | Keyed | Lines | Many | Loose


def record_of(model: type[BaseModel]) -> Record:
    """The shape of an entry."""
    fields = model.model_fields.items()
    return Record(members={info.alias or name: _member(info) for name, info in fields})


def _member(info: FieldInfo) -> Member:
    usual = info.get_default(call_default_factory=True)
    return Member(
        shape=_shape(info.annotation, tuple(info.metadata)),
        needed=info.is_required(),
        usual=None if usual is PydanticUndefined else usual,
        title=info.title or "",
        about=info.description or "",
    )


def _shape(annotation: Any, metadata: tuple[Any, ...]) -> Shape:
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _shape(arguments[0], (*metadata, *arguments[1:]))
    if origin in (Union, UnionType):
        return _union([each for each in arguments if each is not type(None)], metadata)
    if origin is Literal:
        return Scalar(of=str, among=tuple(map(str, arguments)))
    if origin is list:
        return _list(_shape(arguments[0], ()))
    if origin is dict:
        return _keyed(*arguments)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return record_of(annotation)
    return _scalar(annotation, metadata)


def _list(each: Shape) -> Shape:
    if isinstance(each, Scalar):
        return Lines(each=each)
    return Many(each=each) if isinstance(each, Record) else Loose()


def _union(kinds: list[Any], metadata: tuple[Any, ...]) -> Shape:
    if len(kinds) == 1:
        return _shape(kinds[0], metadata)
    names = [each.value for kind in kinds if _is_enum(kind) for each in kind]
    if all(kind is bool or _is_enum(kind) for kind in kinds):
        return Scalar(of=str, among=(YES, NO, *names))
    return Loose()


def _is_enum(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, StrEnum)


def _keyed(key: Any, value: Any) -> Shape:
    known, each = _shape(key, ()), _shape(value, ())
    if isinstance(known, Scalar) and known.among and not isinstance(each, Loose):
        return Keyed(keys=known.among, each=each)
    return Loose()


def _scalar(annotation: Any, metadata: tuple[Any, ...]) -> Shape:
    if _is_enum(annotation):
        return Scalar(of=str, among=tuple(each.value for each in annotation))
    if annotation not in (str, int, float, bool, Decimal, dt.time):
        return Loose()
    bounds = [bound for each in metadata for bound in _unpacked(each)]
    longest = next((each.max_length for each in bounds if isinstance(each, MaxLen)), 0)
    among = next((each.values for each in bounds if isinstance(each, Among)), ())
    places = {getattr(each, "decimal_places", None) for each in bounds}
    return Scalar(
        of=annotation,
        among=tuple(map(str, among)),
        long=annotation is str and longest >= _LONG,
        cents=2 in places,
    )


def _unpacked(each: Any) -> tuple[Any, ...]:
    # Within a list or a mapping, bounds are still wrapped as they were written.
    return tuple(each.metadata) if isinstance(each, FieldInfo) else (each,)
