"""The page that asks how a job went, and shows it against the estimate."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, Response

from service.leads import recording, stocking
from service.leads.actuals import MOST_PHOTOS, Actuals
from service.leads.lead import LeadError, StaleDecision
from service.leads.ports import UnitOfWork
from service.leads.recording import CannotBe, Entry, IsItSo, Job, Seen
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.actuals.against import against
from service.pages.desk.actuals.form import layout, read, typed_values, values_of
from service.pages.desk.actuals.photos import take_in, throw_away
from service.pages.posted import Posted, Sent
from service.pages.visit import Instead, go_to

router = APIRouter(prefix="/leads/{lead_id}/actuals")

_DONE = {
    "told": "Kept. New prices are not moved by it until you say so.",
    "planned": "Kept: it went as planned.",
    "back": "It is as if nothing had been told.",
    "photo": "The photos are as you left them.",
}


@router.get("")
def actuals_page(lead_id: str, desk: SignedIn, done: str = "") -> Response:
    """The job against its estimate once something was told, and the form."""
    with desk.visit.ports.read() as work:
        return _show(desk, work, lead_id, notice=_DONE.get(done))


@router.post("")
def tell(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Keep what was typed, and the photos. What is empty went as planned."""
    faults: dict[str, str] = {}
    with desk.visit.ports.read() as work:
        _job(desk, work, lead_id)
    try:
        throw_away(desk, lead_id, sent.every("drop"))
        wrong = take_in(desk, lead_id, sent.files("photo"))
        if wrong:
            faults["photo"] = wrong
        return _told(desk, lead_id, sent, faults)
    except LeadError as error:
        return desk.trouble(HTTPStatus.CONFLICT, "Nothing was changed", str(error))


def _told(desk: Desk, lead_id: str, sent: Posted, faults: dict[str, str]) -> Response:
    visit, values = desk.visit, typed_values(sent)
    with visit.ports.work() as work:
        job = recording.job_of(work, visit.ports, lead_id, now=visit.now)
        typed = read(sent, job.quote.estimate)
        faults |= typed.faults
        if faults:
            return _show(desk, work, lead_id, values=values, faults=faults)
        if _only_photos(work, lead_id, typed.entry, sent):
            return go_to(f"/desk/leads/{lead_id}/actuals?done=photo")
        sure = frozenset(sent.every("asked")) if sent.text("sure") else frozenset()
        seen = Seen(quote=sent.text("quote"), revision=_revision(sent), sure=sure)
        try:
            finished = recording.record(
                work, visit.ports, lead_id, typed.entry, seen=seen, who=desk.who, now=visit.now
            )
        except CannotBe as refused:
            placed = typed.placed(refused.faults)
            asked = (*sure, *refused.faults) if isinstance(refused, IsItSo) else ()
            return _show(desk, work, lead_id, values=values, faults=placed, asked=asked)
        except StaleDecision as stale:
            return _show(desk, work, lead_id, values=values, trouble=str(stale))
        work.commit()
    return go_to(f"/desk/leads/{lead_id}/actuals?done={'told' if finished else 'back'}")


@router.post("/as-planned")
def as_planned(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Keep the owner's word that it all went as planned."""
    entry = Entry(actuals=Actuals(as_planned=True))
    seen = Seen(quote=sent.text("quote"), revision=_revision(sent))
    visit = desk.visit
    with visit.ports.work() as work:
        _job(desk, work, lead_id)
        try:
            recording.record(
                work, visit.ports, lead_id, entry, seen=seen, who=desk.who, now=visit.now
            )
        except LeadError as error:
            return _show(desk, work, lead_id, trouble=str(error))
        work.commit()
    return go_to(f"/desk/leads/{lead_id}/actuals?done=planned")


def _only_photos(work: UnitOfWork, lead_id: str, entry: Entry, sent: Posted) -> bool:
    if entry.actuals != Actuals() or entry.went_wrong or work.actuals.of(lead_id) is not None:
        return False
    return bool(sent.files("photo") or sent.every("drop"))


def _revision(sent: Posted) -> int:
    text = sent.text("revision")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def _show(
    desk: Desk,
    work: UnitOfWork,
    lead_id: str,
    *,
    values: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
    asked: Sequence[str] = (),
    notice: str | None = None,
    trouble: str | None = None,
) -> Response:
    job = _job(desk, work, lead_id)
    finished = work.actuals.of(lead_id)
    entry = recording.said_of(finished) if finished else Entry(actuals=Actuals(), back=True)
    found = recording.held_against(work, job, entry.actuals)
    shown = values_of(entry) if values is None else values
    return desk.show(
        "desk/actuals.html",
        status=_status(faults, trouble),
        lead=job.lead,
        quote=job.quote,
        revision=finished.revision if finished else 0,
        against=against(found, as_planned=entry.actuals.as_planned) if finished else None,
        went_wrong=entry.went_wrong,
        paid_since=finished is not None and finished.real_cost != found.real_cost,
        form=layout(job.quote.estimate, found, shown),
        values=shown,
        photos=[each.id for each in work.actuals.photos(lead_id)],
        most_photos=MOST_PHOTOS,
        ticked=_ticked(entry, values),
        as_planned=entry.actuals.as_planned,
        **_shelf(work, job),
        faults=faults or {},
        asked=asked,
        notice=notice,
        trouble=trouble,
    )


def _job(desk: Desk, work: UnitOfWork, lead_id: str) -> Job:
    desk.lead(work, lead_id)
    try:
        return recording.job_of(work, desk.visit.ports, lead_id, now=desk.visit.now)
    except LeadError as error:
        none = desk.trouble(HTTPStatus.CONFLICT, "Nothing to tell", str(error))
        raise Instead(none) from error


def _status(faults: Mapping[str, str] | None, trouble: str | None) -> HTTPStatus:
    if trouble:
        return HTTPStatus.CONFLICT
    return HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK


def _ticked(entry: Entry, values: Mapping[str, str] | None) -> bool:
    return entry.back if values is None else bool(values.get("back"))


def _shelf(work: UnitOfWork, job: Job) -> dict[str, Any]:
    """Whether the job had anything from stock, and what of it is back."""
    back = work.stock.unused_of(job.lead.id)
    return {
        "has_stock": bool(back or work.stock.of_lead(job.lead.id)),
        "is_back": [stocking.said(n, size, name) for (size, name), n in sorted(back.items())],
    }
