"""A request's history as the owner reads it: who did what, and what was before and after."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from service.leads import words
from service.leads.cancelling import Wish
from service.leads.lead import Change
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Desk
from service.pages.desk.wording import WHAT, WHO

_MONEY: Mapping[str, str] = {
    "price": "%s",
    "amount": "%s",
    "fee": "fee %s",
    "kept": "kept %s",
    "returned": "returned %s",
}
_NAMED = frozenset({"from", "until"})
_WISHES: Mapping[str, str] = {
    Wish.CLIENT: "the client's wish",
    Wish.SHOP: "the shop's own wish",
}
_MOMENTS: Mapping[str, str] = {"from": "before: arriving %s", "starts_at": "arriving %s"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A line of the history."""

    at: str
    text: str
    details: tuple[str, ...]


def history_of(desk: Desk, work: UnitOfWork, lead_id: str) -> list[Entry]:
    """Everything that happened to a request, oldest first."""
    return [_entry(desk, work, change) for change in work.leads.history(lead_id)]


def _entry(desk: Desk, work: UnitOfWork, change: Change) -> Entry:
    did = f"{WHO.get(change.who, change.who)} {WHAT.get(change.what, change.what)}"
    other = change.detail.get("by")
    if other is not None and str(other) not in _WISHES:
        did += f" {work.leads.get(str(other)).number}"
    return Entry(
        at=words.moment(change.at.astimezone(desk.visit.zone)),
        text=did,
        details=tuple(filter(None, _details(desk, change))),
    )


def _details(desk: Desk, change: Change) -> Iterator[str]:
    def money(value: object) -> str:
        return words.money(Decimal(str(value)), desk.visit.shop.currency)

    for key, value in change.detail.items():
        if isinstance(value, list):
            yield from map(str, value)
        elif key == "by":
            # By whose wish a booking was called off; another request stands in the text.
            yield _WISHES.get(str(value), "")
        elif key == "was":
            continue  # told with what is now
        elif key == "now":
            yield _likely(change, money)
        elif key in _MONEY:
            yield _MONEY[key] % money(value)
        elif key in _MOMENTS and "starts_at" in change.detail:
            moment = datetime.fromisoformat(str(value)).astimezone(desk.visit.zone)
            yield _MOMENTS[key] % words.moment(moment)
        elif value is not None:
            yield f"{key} {value}" if key in _NAMED else str(value)


def _likely(change: Change, money: Callable[[object], str]) -> str:
    now = money(change.detail["now"])
    was = change.detail.get("was")
    return f"likely price {money(was)} → {now}" if was else f"likely price {now}"
