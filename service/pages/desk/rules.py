"""The rules by which the owner looks first: changed here, and tried on past requests before."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.estimating import BookError
from service.estimating.book import MOST_RULES, Rule
from service.leads import rehearsing, review_words, ruling, words
from service.leads.lead import LeadError
from service.leads.rehearsing import Caught, Outcome, Rehearsal, Tally
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.rules_form import Typed, choices, read, sent_rows, typed
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter(prefix="/rules")

_SHOWN = 40
_USUAL_SPAN = 90

_OUTCOMES: Sequence[tuple[str, frozenset[Outcome]]] = (
    (
        "Worth a look: you changed the price or declined",
        frozenset(each for each in Outcome if each.worth_a_look),
    ),
    ("For nothing: sent as first worked out", frozenset({Outcome.UNCHANGED})),
    ("Not decided", frozenset({Outcome.UNDECIDED})),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A past request that a rule stops, or stops no longer."""

    path: str
    number: str
    who: str
    what: str
    asked: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """Past requests under one heading; `more` are not shown."""

    title: str
    count: int
    entries: Sequence[Entry]

    @property
    def more(self) -> int:
        """How many are left out."""
        return self.count - len(self.entries)


@dataclass(frozen=True, kw_only=True, slots=True)
class Shown:
    """A rehearsal as the page shows it."""

    days: int
    looked_at: int
    more: bool
    total: Tally
    waiting_now: int
    by_rule: Sequence[tuple[str, Tally]]
    groups: Sequence[Group]


@router.get("")
def rules_page(desk: SignedIn, saved: str = "") -> Response:
    """The rules in use."""
    return _page(
        desk,
        rows=typed(desk.visit.book.review),
        basis=desk.visit.ports.price_books.newest().version,
        notice="Saved. New requests go by these rules from now on." if saved else None,
    )


@router.post("")
def change(desk: Confirmed, sent: Sent) -> Response:
    """One press: a row more, less or elsewhere, a rehearsal, or saving."""
    rows, basis, days = sent_rows(sent), sent.text("basis"), _days(sent.text("days"))
    action, _, place = sent.text("do").partition("-")
    if action not in ("try", "save"):
        return _page(desk, rows=_moved(rows, action, place), basis=basis, days=days)
    rules, faults = read(rows)
    if faults:
        return _page(desk, rows=rows, basis=basis, days=days, faults=faults)
    if action == "save":
        return _save(desk, rows, rules, basis, days)
    return _page(desk, rows=rows, basis=basis, days=days, tried=_try(desk, rules, days))


def _save(
    desk: Desk, rows: Sequence[Typed], rules: Sequence[Rule], basis: str, days: int
) -> Response:
    try:
        ruling.save(desk.visit.ports, rules, basis=basis, who=desk.who)
    except BookError as error:
        faults = {"rules": "; ".join(problem.detail for problem in error.problems)}
        return _page(desk, rows=rows, basis=basis, days=days, faults=faults)
    except LeadError as error:
        return desk.trouble(HTTPStatus.CONFLICT, "Not saved", str(error))
    return go_to("/desk/rules?saved=1")


def _page(
    desk: Desk,
    *,
    rows: Sequence[Typed],
    basis: str,
    days: int = _USUAL_SPAN,
    faults: Mapping[str, str] | None = None,
    tried: Shown | None = None,
    notice: str | None = None,
) -> Response:
    currency = desk.visit.book.shop.currency
    return desk.show(
        "desk/rules.html",
        rows=rows,
        said=_said(rows, currency),
        choices=choices(),
        always=review_words.ALWAYS,
        basis=basis,
        days=days,
        spans=rehearsing.SPANS,
        most=rehearsing.MOST,
        full=len(rows) >= MOST_RULES,
        faults=faults or {},
        tried=tried,
        notice=notice,
        status=HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK,
    )


def _said(rows: Sequence[Typed], currency: str) -> list[str]:
    """Each row in words, empty where it is not a rule yet."""
    read_each = (read([row]) for row in rows)
    return [review_words.rule(rules[0], currency) if rules else "" for rules, _ in read_each]


def _moved(rows: Sequence[Typed], action: str, place: str) -> list[Typed]:
    moved = list(rows)
    if action == "add" and len(moved) < MOST_RULES:
        moved.append(Typed())
    with suppress(ValueError, IndexError):
        at = int(place)
        if action == "remove":
            del moved[at]
        elif action == "up" and at > 0:
            moved.insert(at - 1, moved.pop(at))
    return moved


def _days(text: str) -> int:
    return next((span for span in rehearsing.SPANS if text == str(span)), _USUAL_SPAN)


def _try(desk: Desk, rules: Sequence[Rule], days: int) -> Shown:
    book = desk.visit.book
    with desk.visit.ports.read() as work:
        found = rehearsing.rehearse(work, book, rules, days=days, now=desk.visit.now)
    said = [review_words.rule(rule, book.shop.currency) for rule in rules]
    return Shown(
        days=days,
        looked_at=found.looked_at,
        more=found.more,
        total=found.total,
        waiting_now=found.waiting_now,
        by_rule=list(zip(said, found.by_rule, strict=True)),
        groups=_groups(desk, found),
    )


def _groups(desk: Desk, found: Rehearsal) -> list[Group]:
    parts = [
        (title, [each for each in found.waiting if each.outcome in outcomes])
        for title, outcomes in _OUTCOMES
    ]
    parts.append(("Waits by the rules in use, and would go out at once", list(found.let_go)))
    return [
        Group(
            title=title,
            count=len(caught),
            entries=[_entry(desk, each) for each in caught[:_SHOWN]],
        )
        for title, caught in parts
        if caught
    ]


def _entry(desk: Desk, caught: Caught) -> Entry:
    return Entry(
        path=f"/desk/leads/{caught.lead_id}",
        number=caught.number,
        who=caught.client or "A client",
        what=caught.what,
        asked=words.day(caught.came_at.astimezone(desk.visit.zone).date()),
        reasons=caught.reasons,
    )
