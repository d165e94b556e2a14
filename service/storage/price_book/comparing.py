"""Two texts of the price book side by side: which lines went, and which came in their place."""

import re
from collections.abc import Sequence
from difflib import SequenceMatcher

from service.leads.book_forms import Changed
from service.storage.price_book.naming import label_of
from service.storage.price_book.sections import page_with

_SECTION = re.compile(r"([A-Za-z_]+):")


def compared(old: str, new: str) -> tuple[Changed, ...]:
    """What changed, in the order of the text; spaces that only make columns do not count."""
    before, after = _lines(old), _lines(new)
    matched = SequenceMatcher(None, before, after, autojunk=False)
    found: list[Changed] = []
    for kind, begin, end, first, last in matched.get_opcodes():
        gone, come = _said(before[begin:end]), _said(after[first:last])
        if kind != "equal" and (gone or come):
            where = _where(after, first) if come else _where(before, begin)
            found.append(Changed(where=where, gone=gone, come=come))
    return tuple(found)


def _lines(text: str) -> list[str]:
    return [re.sub(r"(?<=\S) +", " ", line.rstrip()) for line in text.splitlines()]


def _said(lines: Sequence[str]) -> tuple[str, ...]:
    return tuple(line for line in lines if line)


def _where(lines: Sequence[str], at: int) -> str:
    """The page on which a line stands, in words; "" in front of everything."""
    for line in reversed(lines[: at + 1]):
        found = _SECTION.match(line)
        if found:
            page = page_with(found[1])
            return page.title if page else label_of(found[1])
    return ""
