"""Many at once: a month's documents as one file, and open requests by today's figures."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from http import HTTPStatus

from fastapi import APIRouter, Response
from fastapi.responses import JSONResponse, StreamingResponse

from service.leads import long_work, words
from service.leads.chores import Chore, ChoreKind, Part, PartState
from service.leads.lead import NotFound
from service.leads.ports import UnitOfWork
from service.leads.shop_time import today_at
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.form.days import day_in
from service.pages.posted import Posted, Refusals, Sent
from service.pages.visit import Instead, go_to

router = APIRouter(prefix="/many")

_LISTED = 10
_TITLES = {
    ChoreKind.DOCUMENTS: "Documents of all booked jobs",
    ChoreKind.PRICES: "Open requests by today's figures",
}
_PERCENT = Decimal("0.1")


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """A long work in words; `share` of it is over, in percent."""

    path: str
    title: str
    days: str
    begun: str
    state: str
    share: int
    running: bool
    chore: Chore


@dataclass(frozen=True, kw_only=True, slots=True)
class Priced:
    """A request's likely price and cost then and now."""

    path: str
    number: str
    day: str
    was: str
    now: str
    change: str
    cost_was: str
    cost_now: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Missing:
    """A part that could not be made, and why."""

    what: str
    path: str | None
    trouble: str


@router.get("")
def long_work_page(desk: SignedIn) -> Response:
    """What can be made at once, and what was."""
    first, last = _next_month(today_at(desk.visit.now, desk.visit.book))
    return _page(desk, {"first": first.isoformat(), "last": last.isoformat()})


@router.post("")
def begin(desk: Confirmed, sent: Sent) -> Response:
    """Begin one. Pressed twice it is begun once."""
    visit, refusals = desk.visit, Refusals(desk.visit.words)
    first, last = (_read(sent, name, refusals) for name in ("first", "last"))
    kind = next((each for each in ChoreKind if each.value == sent.text("kind")), None)
    if kind is None:
        refusals.refuse("kind", "Choose what is to be made.")
    chore_id = sent.text("chore_id")
    if kind is not None and first and last and not refusals.faults:
        try:
            with visit.ports.work() as work:
                chore = long_work.begin(
                    work,
                    visit.ports,
                    kind,
                    chore_id=chore_id[:32] or visit.ports.new_id(),
                    first=first,
                    last=last,
                    who=desk.who,
                    now=visit.now,
                )
                work.commit()
            return go_to(f"/desk/many/{chore.id}")
        except (long_work.NothingToDo, long_work.TimeRefused) as refused:
            refusals.refuse("last", str(refused))
    values = {name: sent.text(name) for name in ("kind", "first", "last")}
    return _page(desk, values, refusals=refusals)


@router.get("/{chore_id}")
def one_page(chore_id: str, desk: SignedIn) -> Response:
    """How far one is, and what came of it."""
    chore = _chore(desk, chore_id)
    with desk.visit.ports.read() as work:
        parts = work.chores.parts(chore_id)
        missing = tuple(_missing(work, parts))
    return desk.show(
        "desk/long_work_one.html",
        one=_standing(desk, chore),
        documents=chore.kind is ChoreKind.DOCUMENTS,
        files=sum(part.name is not None for part in parts),
        priced=tuple(_priced(part) for part in parts if part.figures),
        missing=missing,
    )


@router.get("/{chore_id}/progress")
def progress(chore_id: str, desk: SignedIn) -> Response:
    """How far one is, for the page's script."""
    chore = _chore(desk, chore_id)
    one = _standing(desk, chore)
    found = {"share": one.share, "state": one.state, "running": one.running}
    return JSONResponse(found, headers={"Cache-Control": "no-store"})


@router.post("/{chore_id}/stop")
def stop(chore_id: str, desk: Confirmed) -> Response:
    """Make no further part."""
    _chore(desk, chore_id)
    with desk.visit.ports.work() as work:
        long_work.stop(work, chore_id, now=desk.visit.now)
        work.commit()
    return go_to(f"/desk/many/{chore_id}")


@router.get("/{chore_id}/documents.zip")
def documents(chore_id: str, desk: SignedIn) -> Response:
    """Everything that was made so far, in one file."""
    from service.rendering.parts_of_work import zipped  # draws: nobody waits for it at the start

    chore = _chore(desk, chore_id)
    name = f"documents-{chore.first.isoformat()}-{chore.last.isoformat()}.zip"
    return StreamingResponse(
        zipped(desk.visit.ports, chore_id),
        media_type="application/zip",
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )


def _page(desk: Desk, values: dict[str, str], *, refusals: Refusals | None = None) -> Response:
    visit = desk.visit
    with visit.ports.read() as work:
        begun = [_standing(desk, each) for each in work.chores.newest(limit=_LISTED)]
    return desk.show(
        "desk/long_work.html",
        status=HTTPStatus.UNPROCESSABLE_ENTITY if refusals else HTTPStatus.OK,
        values={"kind": ChoreKind.DOCUMENTS.value, **values},
        kinds=[(kind.value, title) for kind, title in _TITLES.items()],
        chore_id=visit.ports.new_id(),
        begun=begun,
        faults={fault.field: fault.text for fault in refusals.faults} if refusals else {},
    )


def _chore(desk: Desk, chore_id: str) -> Chore:
    try:
        with desk.visit.ports.read() as work:
            return work.chores.get(chore_id)
    except NotFound:
        gone = "What was made is kept for two weeks. It can always be made again."
        raise Instead(
            desk.trouble(HTTPStatus.NOT_FOUND, "That is not here any more", gone)
        ) from None


def _standing(desk: Desk, chore: Chore) -> Standing:
    progress = chore.progress
    return Standing(
        path=f"/desk/many/{chore.id}",
        title=_TITLES[chore.kind],
        days=f"{words.day(chore.first)} to {words.day(chore.last)}",
        begun=words.moment(chore.made_at.astimezone(desk.visit.zone)),
        state=_state(chore),
        share=100 * (progress.total - progress.left) // progress.total,
        running=chore.running,
        chore=chore,
    )


def _state(chore: Chore) -> str:
    progress = chore.progress
    made = f"{progress.done} of {progress.total} made"
    failed = f", {progress.failed} could not be" if progress.failed else ""
    ended = ", stopped" if chore.stopped_at else ""
    return f"{made}{failed}{ended}"


def _priced(part: Part) -> Priced:
    found = part.figures or {}
    money = {
        name: Decimal(found[name]) for name in ("likely_was", "likely_now", "cost_was", "cost_now")
    }
    said = {name: words.money(amount, found["currency"]) for name, amount in money.items()}
    day = found.get("event_on")
    return Priced(
        path=f"/desk/leads/{part.lead_id}",
        number=found["number"],
        day=words.day(date.fromisoformat(day)) if day else "no day yet",
        was=said["likely_was"],
        now=said["likely_now"],
        change=_change(money["likely_was"], money["likely_now"]),
        cost_was=said["cost_was"],
        cost_now=said["cost_now"],
    )


def _change(was: Decimal, now: Decimal) -> str:
    if was == now or not was:
        return "the same" if was == now else "–"
    share = (100 * (now / was - 1)).quantize(_PERCENT)
    return f"{'+' if share > 0 else '−'}{abs(share)}%"


def _missing(work: UnitOfWork, parts: Sequence[Part]) -> Iterator[Missing]:
    for part in parts:
        if part.state is PartState.FAILED:
            day = f" of {words.day(part.day)}" if part.day else ""
            number = f" of {work.leads.get(part.lead_id).number}" if part.lead_id else ""
            path = f"/desk/leads/{part.lead_id}" if part.lead_id else None
            what = f"{part.about.value}{number}{day}"
            yield Missing(what=what, path=path, trouble=part.trouble or "")


def _next_month(today: date) -> tuple[date, date]:
    first = (today.replace(day=1) + timedelta(days=32)).replace(day=1)
    return first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)


def _read(sent: Posted, name: str, refusals: Refusals) -> date | None:
    day = day_in(sent.text(name))
    if day is None:
        refusals.refuse(name, "Pick a day, or write it as month/day/year.")
    return day
