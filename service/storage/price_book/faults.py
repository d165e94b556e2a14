"""What is wrong with the price book, in words that say what to do, beside the field it is about."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.leads.book_forms import Group, Part, Rows
from service.storage.price_book.naming import american, label_of, said
from service.storage.price_book.reading import Fault
from service.storage.price_book.sections import page_with

_KIND: Mapping[str, str] = {
    "missing": "Fill this in.",
    "string_too_short": "Write something here.",
    "string_too_long": "Keep it to {max_length} characters.",
    "too_short": "Add at least one.",
    "greater_than_equal": "Write {ge} or more.",
    "greater_than": "Write more than {gt}.",
    "less_than_equal": "Write {le} or less.",
    "less_than": "Write less than {lt}.",
    "decimal_max_places": "Write at most {decimal_places} figures behind the point.",
    "int_type": "Write a whole number, such as 10.",
    "int_from_float": "Write a whole number, such as 10.",
    "float_type": "Write a number, such as 4.5.",
    "decimal_type": "Write a number, such as 4.5.",
    "is_instance_of": "Write a number, such as 4.5.",
    "decimal_parsing": "Write a number, such as 4.5.",
    "string_type": "Write a text.",
    "bool_type": "Say yes or no.",
    "literal_error": "Pick one of the list.",
    "extra_forbidden": "There is no such entry; take it out.",
}

_PATTERNS: Mapping[str, str] = {
    "^[A-Z]{3}$": "Write three capital letters, such as USD.",
    "^#[0-9A-Fa-f]{6}$": "Write # and six of 0 to 9 and A to F, such as #A9B79A.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """Faults beside the parts of a page's form, by name, and whole sentences about other pages."""

    beside: Mapping[str, str]
    elsewhere: Sequence[str]


def placed(faults: Iterable[Fault], parts: Sequence[Part], sections: Sequence[str]) -> Placed:
    """Every fault at the nearest part there is, or told as being elsewhere."""
    names = {name for part in parts for name in _names(part)}
    beside: dict[str, str] = {}
    elsewhere: dict[str, None] = {}
    for fault in faults:
        steps = [str(key) for key in fault.keys if key != "[key]"]
        at = _nearest(steps, names) if steps and steps[0] in sections else None
        if at is None:
            elsewhere.setdefault(_elsewhere(steps, fault))
        else:
            beside.setdefault(at, in_words(fault))
    return Placed(beside=beside, elsewhere=tuple(elsewhere))


def in_words(fault: Fault) -> str:
    """A sentence that says what to do."""
    if fault.kind == "string_pattern_mismatch":
        pattern = str(fault.bounds.get("pattern"))
        return _PATTERNS.get(pattern, "This is not in the form that is wanted.")
    if fault.kind in _KIND:
        return _KIND[fault.kind].format_map(_bounds(fault.bounds))
    own = str(fault.bounds.get("message") or fault.said)
    return american(f"{own[:1].upper()}{own[1:]}".rstrip(".") + ".")


def _bounds(bounds: Mapping[str, Any]) -> dict[str, str]:
    return {
        name: f"{bound:,}" if isinstance(bound, int) else f"{bound:g}"
        for name, bound in bounds.items()
        if isinstance(bound, int | float)
    } | {name: str(bound) for name, bound in bounds.items() if not isinstance(bound, int | float)}


def _nearest(steps: Sequence[str], names: set[str]) -> str | None:
    for length in range(len(steps), 0, -1):
        name = ".".join(steps[:length])
        if name in names:
            return name
    return None


def _names(part: Part) -> Iterable[str]:
    yield part.name
    inside = part.parts if isinstance(part, Group) else part.rows if isinstance(part, Rows) else ()
    for each in inside:
        yield from _names(each)


def _elsewhere(steps: Sequence[str], fault: Fault) -> str:
    page = page_with(steps[0]) if steps else None
    if page is None:
        return in_words(fault)
    inside = [f"row {int(step) + 1}" if step.isdecimal() else said(step).lower() for step in steps]
    where = [label_of(steps[0]), *inside[1:]]
    return f"On “{page.title}”, {', '.join(where)}: {in_words(fault)} Change it there first."
