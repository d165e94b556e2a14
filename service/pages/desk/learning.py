"""What finished jobs teach: taken or left by the owner, and every decision that was made."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from http import HTTPStatus
from itertools import islice

from fastapi import APIRouter, Response

from service.estimating import Price
from service.leads import lesson_words, words
from service.leads.calibrations import CalibrationVersion, Verdict
from service.leads.effects import MOST_QUOTES, Effect, Trial
from service.leads.lead import OWNER, NotFound, StaleDecision
from service.leads.learning import Learning, decide, learn_ahead, learning, take_back
from service.leads.lessons import Lesson, Stands
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter(prefix="/learning")

_DONE = {
    "use": "It is in use from the next estimate on.",
    "leave": "Left as it was. You are asked again when your jobs say something else.",
    "stop": "The book's word stands there again.",
    "back": "Everything is as it was before.",
}

_MOST_DECISIONS = 100

_GONE = "Nothing was learned of that, or it is no longer there. Nothing was changed."


@dataclass(frozen=True, kw_only=True, slots=True)
class Moves:
    """One quote by its number: its likely price and its range now, and with the lesson."""

    number: str
    before: str
    before_range: str
    after: str
    after_range: str
    more: str

    @property
    def same(self) -> bool:
        """Whether nothing of it moves."""
        return (self.before, self.before_range) == (self.after, self.after_range)


@dataclass(frozen=True, kw_only=True, slots=True)
class Card:
    """One lesson as the page shows it; `key` names what was looked at."""

    subject: str
    name: str
    key: str
    finding: str
    rests_on: str
    supports: str
    in_use: str
    moves: Sequence[Moves] = ()

    @property
    def moves_prices(self) -> bool:
        """Whether any price is another one with it."""
        return not all(each.same for each in self.moves)


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One decision of the past; `undo` where taking it back changes anything."""

    seq: int
    when: str
    who: str
    what: str
    moved: Sequence[str]
    undo: bool
    later: int


@router.get("")
def learning_page(desk: SignedIn, done: str = "") -> Response:
    """What there is to decide, what is in use, and what was decided."""
    return _page(desk, notice=_DONE.get(done))


@router.post("/lessons/{subject}")
def decide_lesson(subject: str, desk: Confirmed, sent: Sent) -> Response:
    """Take a lesson, leave it, or go by the book there again."""
    said = sent.text("verdict")
    if said not in (Verdict.USE, Verdict.LEAVE, Verdict.STOP):
        return _page(desk, trouble=_GONE, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    visit, verdict = desk.visit, Verdict(said)

    def act(work: UnitOfWork) -> None:
        decide(
            work,
            visit.ports,
            subject=subject,
            verdict=verdict,
            seen=sent.text("seen"),
            who=desk.who,
            now=visit.now,
        )

    return _acted(desk, act, done=verdict.value)


@router.post("/decisions/{seq}/back")
def take_decision_back(seq: str, desk: Confirmed, sent: Sent) -> Response:
    """Have everything as it was before a decision."""
    visit, number, seen = desk.visit, _number(seq), _number(sent.text("seen"))

    def act(work: UnitOfWork) -> None:
        take_back(work, visit.ports, number, seen=seen, who=desk.who, now=visit.now)

    return _acted(desk, act, done="back")


def _number(text: str) -> int:
    """The number of a decision, or one that none has."""
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else -1


def _acted(desk: Desk, act: Callable[[UnitOfWork], None], *, done: str) -> Response:
    learn_ahead(desk.visit.ports)
    try:
        with desk.visit.ports.work() as work:
            act(work)
            work.commit()
    except NotFound:
        return _page(desk, trouble=_GONE, status=HTTPStatus.NOT_FOUND)
    except StaleDecision as error:
        trouble = f"{error} Nothing was changed just now."
        return _page(desk, trouble=trouble, status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/learning?done={done}")


def _page(
    desk: Desk,
    *,
    notice: str | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    ports = desk.visit.ports
    with ports.read() as work:
        known = learning(work, ports)
        quotes = work.quotes.newest(MOST_QUOTES)
    trial = Trial(quotes, ports.price_books, known.applied)
    return desk.show(
        "desk/learning.html",
        status=status,
        jobs=known.jobs,
        offered=[_card(desk, each, known, trial) for each in known.standing(Stands.OFFERED)],
        left=[_card(desk, each, known) for each in known.standing(Stands.LEFT)],
        in_use=[_card(desk, each, known) for each in known.lessons if each.in_use != 1.0],
        settled=[_card(desk, each, known) for each in known.standing(Stands.AS_BOOKED)],
        too_early=[_card(desk, each, known) for each in known.standing(Stands.TOO_EARLY)],
        entries=list(islice(_entries(desk, known), _MOST_DECISIONS)),
        seq=known.seq,
        notice=notice,
        trouble=trouble,
    )


def _card(desk: Desk, lesson: Lesson, known: Learning, trial: Trial | None = None) -> Card:
    effects = trial.of(known.with_lesson(lesson.subject)) if trial else ()
    return Card(
        subject=lesson.subject,
        name=lesson_words.name_of(lesson.subject),
        key=lesson.key,
        finding=lesson_words.finding(lesson, desk.visit.book),
        rests_on=lesson_words.rests_on(lesson),
        supports=lesson_words.on_supports(lesson),
        in_use=lesson_words.factor_said(lesson.subject, lesson.in_use),
        moves=[_moves(effect) for effect in effects],
    )


def _moves(effect: Effect) -> Moves:
    more = effect.after.likely - effect.before.likely
    return Moves(
        number=effect.number,
        before=words.money(effect.before.likely, effect.before.currency),
        before_range=_range(effect.before),
        after=words.money(effect.after.likely, effect.after.currency),
        after_range=_range(effect.after),
        more=_signed(more, effect.after.currency),
    )


def _range(price: Price) -> str:
    low, high = (words.money(amount, price.currency) for amount in (price.low, price.high))
    return f"{low} to {high}"


def _signed(amount: Decimal, currency: str) -> str:
    if not amount:
        return "same"
    return f"{'+' if amount > 0 else '−'}{words.money(abs(amount), currency)}"


def _entries(desk: Desk, known: Learning) -> Iterator[Entry]:
    for later, version in enumerate(known.versions):
        before = known.before(version.seq)
        yield Entry(
            seq=version.seq,
            when=words.moment(version.made_at.astimezone(desk.visit.zone)),
            who="you" if version.made_by == OWNER else version.made_by,
            what=lesson_words.decided(version.decision),
            moved=[
                lesson_words.moved_said(each, version.decision.verdict)
                for each in version.decision.moves
            ],
            undo=_changed(version) and bool(known.moves_to(before)),
            later=sum(_changed(each) for each in known.versions[:later]),
        )


def _changed(version: CalibrationVersion) -> bool:
    return version.decision.verdict is not Verdict.LEAVE
