"""How versions of the price book and its faults are told at the desk."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating import BookError
from service.leads import words
from service.leads.book_forms import BookPage, Fact
from service.leads.price_books import BookVersion
from service.pages.visit import Visit

# Pages of the desk that do more for a section than its form could.
_OWN_PAGES: Mapping[str, str] = {"looking": "/desk/rules", "stock": "/desk/stock"}

_AMOUNT = re.compile(r"[0-9]{1,12}(\.[0-9]{1,4})?", re.ASCII)

_LINE = re.compile(r".*?:(?P<line>[0-9]+)(?: (?P<where>.*))?")


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """A version as a line of a list."""

    version: str
    when: str
    who: str
    note: str


def told(visit: Visit, version: BookVersion) -> Told:
    """A version with its time at the shop."""
    by = {"owner": "you"}.get(version.made_by, version.made_by)
    return Told(
        version=version.version,
        when=words.moment(version.made_at.astimezone(visit.zone)),
        who=by,
        note=version.note,
    )


def fact_told(fact: Fact, currency: str) -> str:
    """A figure of a row; what is no amount stands as it was typed."""
    if not fact.money or not _AMOUNT.fullmatch(fact.value):
        return fact.value
    return words.money(Decimal(fact.value), currency)


def path_of_page(page: BookPage) -> str:
    """Where a page of the book is edited."""
    return _OWN_PAGES.get(page.key, f"/desk/book/{page.key}")


def faults_of(error: BookError) -> tuple[str, ...]:
    """Each fault of a text with its line."""
    return tuple(_fault(problem.field, problem.detail) for problem in error.problems)


def _fault(field: str, detail: str) -> str:
    found = _LINE.fullmatch(field)
    if found is None:
        return f"{detail[:1].upper()}{detail[1:]}."
    where = f", {found['where']}" if found["where"] else ""
    return f"Line {found['line']}{where}: {detail}."
