"""A price book's text as values, each fault with its line."""

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from service.estimating import BookError, FieldProblem, PriceBook
from service.storage.price_book.book import BookEntry

# No client could read them, and some of them no database takes.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


def read_price_book(text: str, name: str) -> PriceBook:
    """The price book written in `text`; `name` stands in its errors.

    Raises BookError with every fault: the line, the key, what is wrong and what is allowed.
    """
    tree = _parse(text, name)
    unreadable = [keys for keys, said in _texts(tree, ()) if _CONTROL.search(said)]
    if unreadable:
        detail = "there is a control character in it, written with a backslash; take it out"
        raise BookError(tuple(_located(tree, name, keys, detail) for keys in unreadable))
    try:
        entries = BookEntry.model_validate(_plain(tree))
    except ValidationError as error:
        faults = error.errors(include_url=False)
        raise BookError(
            tuple(_problem(tree, name, fault["loc"], fault) for fault in faults)
        ) from None
    version = hashlib.sha256(text.encode()).hexdigest()[:12]
    try:
        return entries.value(version)
    except BookError as error:
        located = (_located(tree, name, _keys(p.field), p.detail) for p in error.problems)
        raise BookError(tuple(located)) from None


def _parse(text: str, name: str) -> Any:
    try:
        tree = YAML(typ="rt").load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"{name}:{mark.line + 1}" if mark else name
        detail = f"{error.problem or 'not readable'}; check indentation, colons and quotes"
        raise BookError((FieldProblem(field=where, detail=detail),)) from None
    except YAMLError as error:
        raise BookError((FieldProblem(field=name, detail=str(error)),)) from None
    if not isinstance(tree, Mapping):
        detail = "the file holds no entries; start from the example price book"
        raise BookError((FieldProblem(field=name, detail=detail),))
    return tree


def _texts(node: Any, keys: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], str]]:
    """Every text in the tree, names among them, with the keys that lead to it."""
    if isinstance(node, str):
        yield keys, node
    elif isinstance(node, Mapping):
        for key, value in node.items():
            yield from _texts(key, (*keys, key))
            yield from _texts(value, (*keys, key))
    elif isinstance(node, Sequence):
        for index, value in enumerate(node):
            yield from _texts(value, (*keys, index))


def _plain(node: Any) -> Any:
    if isinstance(node, Mapping):
        return {key: _plain(value) for key, value in node.items()}
    if isinstance(node, Sequence) and not isinstance(node, str):
        return [_plain(value) for value in node]
    if isinstance(node, float):
        return float(node)
    return str(node) if isinstance(node, str) else node


def _problem(tree: Any, name: str, keys: Sequence[Any], fault: Any) -> FieldProblem:
    message = str(fault["msg"]).removeprefix("Value error, ")
    if fault["type"] == "missing":
        return _located(tree, name, keys, "this entry is missing; add it")
    if fault["type"] == "extra_forbidden":
        return _located(tree, name, keys, "no such entry; check the spelling or take it out")
    return _located(tree, name, keys, f"{message}; found {fault['input']!r}")


def _located(tree: Any, name: str, keys: Sequence[Any], detail: str) -> FieldProblem:
    line, path = _line_of(tree, keys), _path(keys)
    return FieldProblem(field=f"{name}:{line} {path}", detail=detail)


def _line_of(tree: Any, keys: Sequence[Any]) -> int:
    """The line on which the deepest part of the key path that exists begins, from one."""
    node, line = tree, 0
    for key in keys:
        try:
            line = node.lc.data[key][0]
            node = node[key]
        except (AttributeError, KeyError, IndexError, TypeError):
            break
    return line + 1


def _path(keys: Sequence[Any]) -> str:
    path = ""
    for key in keys:
        if key == "[key]":  # pydantic's mark for a fault of the name before it
            continue
        path += f"[{key}]" if isinstance(key, int) else f".{key}" if path else str(key)
    return path


def _keys(path: str) -> list[str | int]:
    parts = path.replace("]", "").replace("[", ".").split(".")
    return [int(part) if part.isdigit() else part for part in parts]
