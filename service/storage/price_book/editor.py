"""The price book as forms: pages out of a text, and a new text out of what was typed."""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from service.estimating import BookError
from service.leads.book_forms import BookPage, Changed, Form, Part, Typed
from service.storage.price_book import branches
from service.storage.price_book.book import BookEntry
from service.storage.price_book.comparing import compared
from service.storage.price_book.faults import placed
from service.storage.price_book.forms import part_of
from service.storage.price_book.reading import NAME, checked, parsed
from service.storage.price_book.sections import PAGES, sections_of
from service.storage.price_book.shapes import Many, Member, Record, record_of
from service.storage.price_book.weaving import rewritten, say_the_same


class Editor:
    """`service.leads.price_books.BookEditor`."""

    def pages(self) -> Sequence[BookPage]:
        return [page for page, _ in PAGES.values()]

    def form(self, text: str, page: str) -> Form:
        about, sections = sections_of(page)
        tree = parsed(text, NAME)
        branch = {
            name: branches.typed_from(_members()[name].shape, tree.get(name)) for name in sections
        }
        return Form(page=about, parts=_parts(sections, branch))

    def reshaped(self, page: str, typed: Typed, *, add: str = "", remove: str = "") -> Form:
        about, sections = sections_of(page)
        branch = branches.branch_of(typed)
        fresh = _add(branch, sections, add) if add else ""
        if remove:
            _remove(branch, remove)
        return Form(page=about, parts=_parts(sections, branch), fresh=fresh)

    def entered(self, text: str, page: str, typed: Typed) -> tuple[Form, str | None]:
        about, sections = sections_of(page)
        typed_in, tree, slips = branches.branch_of(typed), parsed(text, NAME), dict[str, str]()
        branch = {
            name: branches.compact(_members()[name].shape, typed_in.get(name)) for name in sections
        }
        new = text
        for name in sections:
            new = _with(new, name, branch[name], tree.get(name), slips)
        parts = _parts(sections, branch)
        try:
            book, faults = checked(parsed(new, NAME), "")
        except BookError as error:
            # What was typed as YAML does not stand in its place.
            said = tuple(problem.detail for problem in error.problems)
            return Form(page=about, parts=parts, faults=slips, elsewhere=said), None
        found = placed(faults, parts, sections)
        form = Form(
            page=about, parts=parts, faults={**found.beside, **slips}, elsewhere=found.elsewhere
        )
        return form, new if book is not None and not slips else None

    def compared(self, old: str, new: str) -> Sequence[Changed]:
        return compared(old, new)


@cache
def _members() -> Mapping[str, Member]:
    return record_of(BookEntry).members


def _parts(sections: Sequence[str], branch: branches.Branch) -> tuple[Part, ...]:
    return tuple(part_of(_members()[name], branch.get(name), name, name) for name in sections)


def _with(text: str, name: str, branch: Any, old: Any, slips: dict[str, str]) -> str:
    member = _members()[name]
    data = branches.data_from(member.shape, branch, name, slips, old=old)
    if data is branches.ABSENT or (not member.needed and old is None and not data):
        return text if old is None else rewritten(text, name, None)
    return text if say_the_same(old, data) else rewritten(text, name, data)


def _add(branch: branches.Branch, sections: Sequence[str], name: str) -> str:
    """Put an empty row at the end of a list; its name, "" where there is no such list."""
    shape = _record_at(sections, name)
    if shape is None:
        return ""
    rows = _at(branch, name, make=True)
    numbers = [int(key) for key in rows if branches.is_row(key)]
    rows[str(max(numbers, default=-1) + 1)] = branches.typed_from(shape, None)
    # Rows are numbered by their order wherever they are shown.
    return f"{name}.{len(numbers)}"


def _remove(branch: branches.Branch, name: str) -> None:
    where, _, number = name.rpartition(".")
    rows = _at(branch, where, make=False)
    rows.pop(number, None)


def _at(branch: branches.Branch, name: str, *, make: bool) -> dict[str, Any]:
    at = branch
    for step in name.split("."):
        found = at.setdefault(step, {}) if make else at.get(step)
        if not isinstance(found, dict):
            found = {}
            if make:
                at[step] = found
        at = found
    return at


def _record_at(sections: Sequence[str], name: str) -> Record | None:
    first, *steps = name.split(".")
    if first not in sections:
        return None
    shape: Any = _members()[first].shape
    for step in steps:
        if isinstance(shape, Many):
            shape = shape.each
        elif isinstance(shape, Record) and step in shape.members:
            shape = shape.members[step].shape
        else:
            return None
    return shape.each if isinstance(shape, Many) else None
