"""Values as they were stored, read back. What is damaged is as good as absent."""

import math
import types
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from functools import lru_cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints


def known_fields(kind: type[Any], stored: Mapping[str, Any]) -> dict[str, Any]:
    """Those of the `stored` JSON values that `kind` has a field for, as the field has them."""
    known = {}
    for name, hint in _hints(kind).items():  # type: ignore[arg-type]  # a class has a hash
        if name in stored:
            try:
                known[name] = _read(hint, stored[name])
            except (ValueError, TypeError, ArithmeticError):
                continue
    return known


@lru_cache
def _hints(kind: type) -> Mapping[str, Any]:
    hints = get_type_hints(kind)
    return {one.name: hints[one.name] for one in fields(kind)}


def _read(hint: Any, value: Any) -> Any:
    """Raises ValueError, TypeError or ArithmeticError where the value is of another kind."""
    if hint in _PLAIN:
        return _PLAIN[hint](value)
    if is_dataclass(hint):
        assert isinstance(hint, type)  # noqa: S101  # a field's type, not a value of it
        return hint(**known_fields(hint, _be(dict, value)))
    origin, inner = get_origin(hint), get_args(hint)
    if origin is tuple:
        return tuple(_read(inner[0], one) for one in _be(list | tuple, value))
    if origin is Literal:
        return inner[inner.index(_be(str, value))]
    if origin in (Union, types.UnionType):
        return _first(inner, value)
    return _be(dict, value)


def _first(hints: tuple[Any, ...], value: Any) -> Any:
    for hint in hints:
        try:
            return _read(hint, value)
        except (ValueError, TypeError, ArithmeticError):
            continue
    raise ValueError("none of these")


def _be(kind: Any, value: Any) -> Any:
    if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
        raise TypeError("of another kind")
    return value


def _finite(value: Any) -> float:
    number = _be(int | float, value)
    if not math.isfinite(number):
        raise ValueError("not a number")
    return float(number)


def _amount(value: Any) -> Decimal:
    amount = Decimal(_be(str, value))
    if not amount.is_finite():
        raise ValueError("not an amount")
    return amount


_PLAIN: Mapping[Any, Callable[[Any], Any]] = {
    str: lambda value: _be(str, value),
    int: lambda value: _be(int, value),
    bool: lambda value: _be(bool, value),
    float: _finite,
    date: lambda value: date.fromisoformat(_be(str, value)),
    time: lambda value: time.fromisoformat(_be(str, value)),
    Decimal: _amount,
    type(None): lambda value: _be(type(None), value),
}
