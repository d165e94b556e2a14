"""The owner changes the review rules: as plain data, and into the price book."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from service.estimating.book import Condition, Rule, Threshold
from service.leads.lead import NotFound
from service.leads.ports import Ports

SECTION = "review"
_NOTE = "review rules changed"


def plain(rules: Sequence[Rule]) -> list[dict[str, Any]]:
    """The rules as the price book's text has them."""
    return [_plain_rule(rule) for rule in rules]


def save(ports: Ports, rules: Sequence[Rule], *, basis: str, who: str) -> str:
    """Make them the book's; the name of its new version.

    `basis` is the version that the change began with: raises StaleDecision when there is a newer
    one by now, and BookError where the book does not take them.
    """
    books = ports.price_books
    text = books.text_of(basis)
    if text is None:
        raise NotFound("There is no such version of the price book.")
    changed = books.rewritten(text, SECTION, plain(rules))
    return books.save(changed, by=who, note=_NOTE, basis=basis)


def _plain_rule(rule: Rule) -> dict[str, Any]:
    written = _plain(rule.when)
    return written if rule.also is None else written | {"and": _plain(rule.also)}


def _plain(condition: Condition) -> dict[str, Any]:
    return {"when": str(condition.figure), str(condition.test): _threshold(condition.threshold)}


def _threshold(limit: Threshold) -> Any:
    if isinstance(limit, Decimal) and limit == limit.to_integral_value():
        return int(limit)
    return str(limit) if isinstance(limit, str) else limit
