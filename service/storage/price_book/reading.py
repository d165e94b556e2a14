"""A price book's text as values, each fault with its line."""

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from pydantic import ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.composer import Composer, ComposerError
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import AliasEvent
from ruamel.yaml.scanner import RoundTripScanner, ScannerError

from service.estimating import BookError, FieldProblem, PriceBook
from service.storage.price_book.book import BookEntry

# No client could read them, and some of them no database takes.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_CONTROLLED = "there is a control character in it, written with a backslash; take it out"

# Far more than anybody writes by hand.
_LARGEST = 1024 * 1024

NAME = "price book"
"""What stands before the line in faults of a text that is no file."""

_NO_ENTRIES = "the file holds no entries; start from the example price book"
# A shop's book has two; the library's time grows with the square of their number.
_DEEPEST_BRACKETS = 30
_TOO_DEEP = "brackets stand in brackets too often to be read; close some of them"
_OUT_OF_RANGE = "a number or a date in it is too large to be one; look for a slip of the pen"


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """What is wrong: the keys that lead there, the kind by which pydantic names it, and words.

    `bounds` are what the kind is about: the least, the most, the pattern.
    """

    keys: tuple[str | int, ...]
    kind: str
    said: str
    bounds: Mapping[str, Any]


def read_price_book(text: str, name: str) -> PriceBook:
    """The price book written in `text`; `name` stands in its errors.

    Raises BookError with every fault: the line, the key, what is wrong and what is allowed.
    """
    tree = parsed(text, name)
    book, faults = checked(tree, version_of(text))
    if book is None:
        raise BookError(tuple(_located(tree, name, fault) for fault in faults))
    return book


def version_of(text: str) -> str:
    """The name of a text's version: the same for the same text."""
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def checked(tree: Any, version: str) -> tuple[PriceBook | None, tuple[Fault, ...]]:
    """The book that a parsed text says, or everything that is wrong with it."""
    unreadable = [keys for keys, said in _texts(tree, ()) if _CONTROL.search(said)]
    if unreadable:
        return None, tuple(_own(keys, _CONTROLLED) for keys in unreadable)
    try:
        return BookEntry.model_validate(_plain(tree)).value(version), ()
    except ValidationError as error:
        return None, tuple(_fault(each) for each in error.errors(include_url=False))
    except BookError as error:
        return None, tuple(_own(_keys(each.field), each.detail) for each in error.problems)


@lru_cache(maxsize=4)
def parsed(text: str, name: str) -> Any:
    """The text as a tree that knows its lines and comments; it is shared, so leave it as it is.

    Raises BookError.
    """
    if len(text) > _LARGEST:
        detail = f"it is longer than {_LARGEST // 1024} kB; a price book is a small part of that"
        raise BookError((FieldProblem(field=name, detail=detail),))
    try:
        tree = round_trip().load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"{name}:{mark.line + 1}" if mark else name
        detail = f"{error.problem or 'not readable'}; check indentation, colons and quotes"
        raise BookError((FieldProblem(field=where, detail=detail),)) from None
    except YAMLError as error:
        raise BookError((FieldProblem(field=name, detail=str(error)),)) from None
    except RecursionError:
        raise BookError((FieldProblem(field=name, detail=_TOO_DEEP),)) from None
    except (ValueError, OverflowError):
        raise BookError((FieldProblem(field=name, detail=_OUT_OF_RANGE),)) from None
    if not isinstance(tree, Mapping):
        raise BookError((FieldProblem(field=name, detail=_NO_ENTRIES),))
    return tree


class _NoReferences(Composer):
    """A few lines that refer to one another may stand for gigabytes; a price book needs none."""

    def compose_node(self, parent: Any, index: Any) -> Any:
        if self.parser.check_event(AliasEvent):
            event = self.parser.peek_event()
            said = f"*{event.anchor} refers to another entry; write it out instead"
            raise ComposerError(None, None, said, event.start_mark)
        return super().compose_node(parent, index)


class _ShallowScanner(RoundTripScanner):
    """Refuses brackets in brackets in brackets: a page of them would take seconds."""

    def fetch_flow_collection_start(self, token_class: Any, to_push: str) -> None:
        if len(self.flow_context) >= _DEEPEST_BRACKETS:
            raise ScannerError(None, None, _TOO_DEEP, self.reader.get_mark())
        super().fetch_flow_collection_start(token_class, to_push)


def round_trip() -> YAML:
    """Reads and writes YAML with its comments, in the style of the example price book."""
    yaml = YAML(typ="rt")
    yaml.Composer = _NoReferences
    yaml.Scanner = _ShallowScanner
    yaml.preserve_quotes = True
    yaml.width = 100_000
    yaml.indent(mapping=2, sequence=4, offset=2)
    return yaml


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


def _own(keys: Sequence[Any], said: str) -> Fault:
    return Fault(keys=tuple(keys), kind="value_error", said=said, bounds={})


def _fault(fault: Any) -> Fault:
    kind, message = fault["type"], str(fault["msg"]).removeprefix("Value error, ")
    if kind == "missing":
        said = "this entry is missing; add it"
    elif kind == "extra_forbidden":
        said = "no such entry; check the spelling or take it out"
    else:
        said = f"{message}; found {fault['input']!r:.80}"
    bounds = {"message": message, **fault.get("ctx", {})}
    return Fault(keys=tuple(fault["loc"]), kind=kind, said=said, bounds=bounds)


def _located(tree: Any, name: str, fault: Fault) -> FieldProblem:
    line, path = _line_of(tree, fault.keys), _path(fault.keys)
    return FieldProblem(field=f"{name}:{line} {path}", detail=fault.said)


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
