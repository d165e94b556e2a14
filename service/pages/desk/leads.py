"""The desk's first page: what needs the owner now, then every request, to be searched."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Query, Response

from service.leads import words
from service.leads.finding import Found, Listed, Wanted, cursor_of, words_of
from service.leads.lead import Lead, Standing
from service.leads.merging import twins_among
from service.leads.needs import Needs, needs
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Desk, SignedIn
from service.pages.desk.rows import (
    Row,
    Twins,
    call_of,
    ending_of,
    overdue_of,
    row_of,
    untold_of,
)
from service.pages.desk.stuck_rows import stuck_rows
from service.pages.desk.wording import STATES
from service.pages.form.days import day_in

router = APIRouter()

_PAGE = 25
_LONGEST_SEARCH = 200

# Nobody works by the exact number of hundreds: counting on would only take time.
_COUNTED = 100


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """What the address asks the list for, as it was entered."""

    text: str
    wanted: Wanted

    def path(self, **others: str | None) -> str:
        """This list's address, with other parts; an empty one is left out."""
        wanted = self.wanted
        parts: dict[str, str | None] = {
            "q": self.text,
            "state": wanted.standing,
            "untold": "1" if wanted.untold else None,
            "from": wanted.since.isoformat() if wanted.since else None,
            "to": wanted.until.isoformat() if wanted.until else None,
        } | others
        kept = {name: value for name, value in parts.items() if value}
        return f"/desk?{urlencode(kept)}" if kept else "/desk"

    @property
    def narrowed(self) -> bool:
        """Whether fewer are shown than there are of each standing."""
        return bool(self.text) or self.wanted.by_day or self.wanted.untold

    @property
    def heading(self) -> str:
        """What the list shows, and in which order."""
        if self.text:
            return f"Found by “{self.text}”, newest first"
        if self.wanted.untold:
            return "Done, and not told how it went"
        if not self.wanted.by_day:
            return "Newest first" if self.wanted.standing else "Everything, newest first"
        since, until = self.wanted.since, self.wanted.until
        began = f" from {words.day(since)}" if since else ""
        return f"By event day{began}" + (f" until {words.day(until)}" if until else "")


def _asked(
    q: str = "",
    state: str = "",
    since: Annotated[str, Query(alias="from")] = "",
    until: Annotated[str, Query(alias="to")] = "",
    untold: str = "",
) -> Asked:
    text = " ".join(q[:_LONGEST_SEARCH].split())
    wanted = Wanted(
        words=words_of(text),
        standing=Standing(state) if state in set(Standing) else None,
        since=day_in(since),
        until=day_in(until),
        untold=bool(untold),
    )
    # Words without a letter or a digit find everything, and should not look like a search.
    return Asked(text=text if wanted.words else "", wanted=wanted)


@router.get("")
def desk_page(
    desk: SignedIn, asked: Annotated[Asked, Depends(_asked)], before: str = ""
) -> Response:
    """The list. What needs the owner stands before it where all of it is shown from the start."""
    first = asked.wanted == Wanted() and not before
    with desk.visit.ports.read() as work:
        found = work.listing.find(asked.wanted, after=cursor_of(before), limit=_PAGE)
        counts = work.listing.counts(most=_COUNTED)
        needed = needs(work, desk.visit.ports, now=desk.visit.now) if first else None
        twins = twins_among(_leads(found, needed))
        return desk.show(
            "desk/leads.html",
            **(_needs(desk, work, needed, twins) if needed else {}),
            first=first,
            asked=asked,
            rows=[_row(desk, asked, row, twins) for row in found.rows],
            older=found.next and asked.path(before=found.next),
            states=_states(asked, counts),
            total=_capped(sum(counts.values())),
            in_telegram=bool(work.owner_chats.every()),
            book_problem=desk.visit.ports.price_books.problem,
        )


def _row(desk: Desk, asked: Asked, listed: Listed, twins: Twins) -> Row:
    return untold_of(desk, listed) if asked.wanted.untold else row_of(desk, listed, twins)


def _leads(found: Found, needed: Needs | None) -> Iterator[Lead]:
    """Every request on the page, in whatever list."""
    rows = [*found.rows]
    if needed is not None:
        rows += [*needed.waiting, *(each.row for each in needed.ending), *needed.fresh]
    yield from (row.lead for row in rows)


def _needs(desk: Desk, work: UnitOfWork, found: Needs, twins: Twins) -> dict[str, Any]:
    return {
        "calling": [call_of(desk, call) for call in found.calls],
        "more_calling": found.more_calls,
        "waiting": [row_of(desk, row, twins) for row in found.waiting],
        "more_waiting": found.more_waiting,
        "ending": [ending_of(desk, ending, twins) for ending in found.ending],
        "fresh": [row_of(desk, row, twins) for row in found.fresh],
        "overdue": [overdue_of(due) for due in found.overdue],
        "more_overdue": found.more_overdue,
        "untold": [untold_of(desk, row) for row in found.untold],
        "more_untold": found.more_untold,
        "stuck": stuck_rows(work, found.stuck),
        "in_doubt": stuck_rows(work, found.in_doubt),
        "more_stuck": found.more_stuck,
        "nothing_waits": _nothing_waits(found),
    }


def _nothing_waits(found: Needs) -> str:
    """What stands in place of an empty list: that all is well only where it is."""
    if found.calls:
        return "No request."
    if found.stuck or found.in_doubt:
        return "Nothing else."
    nothing = "No request." if found.overdue else "Nothing."
    if found.answers_owed:
        return f"{nothing} What your clients wait for is on its way."
    return f"{nothing} Every client has an answer."


@dataclass(frozen=True, kw_only=True, slots=True)
class Filter:
    """A way to narrow the list down."""

    path: str
    label: str
    count: str
    chosen: bool


def _states(asked: Asked, counts: Mapping[Standing, int]) -> list[Filter]:
    chosen = asked.wanted.standing
    return [
        Filter(
            path=asked.path(state=each),
            label=STATES[each],
            count=_capped(counts[each]),
            chosen=each is chosen,
        )
        for each in Standing
        if counts[each] or each is chosen
    ]


def _capped(count: int) -> str:
    return f"{_COUNTED - 1}+" if count >= _COUNTED else str(count)
