"""What review rules would have done with past requests, held against what the owner did."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from service.estimating import PriceBook
from service.estimating.book import Rule
from service.leads.lead import LeadState, LostBecause
from service.leads.owner_words import summary_of
from service.leads.past import PastRequest
from service.leads.ports import UnitOfWork
from service.leads.review import Case
from service.leads.shop_time import zone_of

MOST = 500
"""So many requests are looked at, the newest ones: a page should not keep its reader waiting."""

SPANS = (30, 90, 365)
"""How many days back one may look."""


class Outcome(StrEnum):
    """What became of the price that was worked out first."""

    CHANGED = "changed"
    DECLINED = "declined"
    UNCHANGED = "unchanged"
    UNDECIDED = "undecided"

    @property
    def worth_a_look(self) -> bool:
        """Whether the owner's eye made a difference."""
        return self in (Outcome.CHANGED, Outcome.DECLINED)


@dataclass(frozen=True, kw_only=True, slots=True)
class Caught:
    """A request that waits by the rules on trial, by those in use, or by both.

    `by` are the places, from 0, of the rules on trial that stop it; `reasons` say why it would
    wait, and are empty where it would not.
    """

    lead_id: str
    number: str
    client: str | None
    what: str
    came_at: datetime
    outcome: Outcome
    by: tuple[int, ...]
    reasons: tuple[str, ...]
    waits_now: bool

    @property
    def would_wait(self) -> bool:
        """Whether the rules on trial, or what always waits, stop it."""
        return bool(self.reasons)


@dataclass(frozen=True, kw_only=True, slots=True)
class Tally:
    """What one rule would have stopped; `alone` are those that no other reason stops."""

    caught: int = 0
    worth_a_look: int = 0
    for_nothing: int = 0
    undecided: int = 0
    alone: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Rehearsal:
    """The outcome over `looked_at` requests; `more` says that there were too many for all."""

    looked_at: int
    more: bool
    caught: tuple[Caught, ...]
    by_rule: tuple[Tally, ...]

    @property
    def waiting(self) -> tuple[Caught, ...]:
        """What would have waited."""
        return tuple(each for each in self.caught if each.would_wait)

    @property
    def let_go(self) -> tuple[Caught, ...]:
        """What waits by the rules in use, and would not any more."""
        return tuple(each for each in self.caught if not each.would_wait)

    @property
    def waiting_now(self) -> int:
        """How many wait by the rules in use."""
        return sum(each.waits_now for each in self.caught)

    @property
    def total(self) -> Tally:
        """What all rules together, and what always waits, would have stopped."""
        return _tally(self.waiting, alone=0)


def rehearse(
    work: UnitOfWork, book: PriceBook, rules: Sequence[Rule], *, days: int, now: datetime
) -> Rehearsal:
    """Try `rules` in place of the book's on the requests of the last `days`."""
    past = work.past.requests(now - timedelta(days=days), limit=MOST + 1)
    return over(past, book, rules)


def over(past: Iterable[PastRequest], book: PriceBook, rules: Sequence[Rule]) -> Rehearsal:
    """Try `rules` on past requests, one by one; beyond the first `MOST` none is looked at."""
    caught: list[Caught] = []
    looked_at, more = 0, False
    for request in past:
        if looked_at == MOST:
            more = True
            break
        looked_at += 1
        found = _judge(request, book, rules)
        if found.would_wait or found.waits_now:
            caught.append(found)
    return Rehearsal(
        looked_at=looked_at,
        more=more,
        caught=tuple(caught),
        by_rule=tuple(_by(rule, caught) for rule in range(len(rules))),
    )


def outcome_of(request: PastRequest) -> Outcome:
    """What the owner made of the first price."""
    cancelled = request.lost_because == LostBecause.CLIENT_CANCELLED
    if request.state is LeadState.DECLINED and not cancelled:
        return Outcome.DECLINED
    if request.edited or any(amount != request.likely for amount in request.sent):
        return Outcome.CHANGED
    return Outcome.UNCHANGED if request.sent else Outcome.UNDECIDED


def _judge(request: PastRequest, book: PriceBook, rules: Sequence[Rule]) -> Caught:
    zone = zone_of(book)
    case = Case(
        brief=request.brief,
        estimate=request.estimate,
        book=book,
        today=request.came_at.astimezone(zone).date(),
    )
    by_rule = [(place, case.caught(rule)) for place, rule in enumerate(rules)]
    always = tuple(case.always())
    said = tuple(why for _, why in by_rule if why is not None)
    return Caught(
        lead_id=request.lead_id,
        number=request.number,
        client=request.client,
        what=summary_of(request.brief),
        came_at=request.came_at,
        outcome=outcome_of(request),
        by=tuple(place for place, why in by_rule if why is not None),
        reasons=(*always, *said),
        waits_now=bool(always or any(case.caught(rule) is not None for rule in book.review)),
    )


def _by(place: int, caught: Sequence[Caught]) -> Tally:
    own = [each for each in caught if place in each.by]
    return _tally(own, alone=sum(len(each.reasons) == 1 for each in own))


def _tally(caught: Sequence[Caught], *, alone: int) -> Tally:
    return Tally(
        caught=len(caught),
        worth_a_look=sum(each.outcome.worth_a_look for each in caught),
        for_nothing=sum(each.outcome is Outcome.UNCHANGED for each in caught),
        undecided=sum(each.outcome is Outcome.UNDECIDED for each in caught),
        alone=alone,
    )
