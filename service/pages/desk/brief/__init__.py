"""A request's brief at the desk: every field of it, and what it would come to while one types."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, Response

from service.estimating import (
    SIZE_CLASSES,
    AccentKind,
    BriefError,
    FloatKind,
    Ground,
    Pattern,
    Placement,
)
from service.leads import editing, vocabulary
from service.leads.edited import client_edits, edits
from service.leads.editing import Edit, WorkedOut
from service.leads.lead import Lead, LeadError, LeadState, Quote, StaleDecision
from service.leads.owner_words import why_not
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.brief.figures import figures
from service.pages.desk.brief.pieces import ASKED, MOST_PIECES
from service.pages.desk.brief.reading import Reading, read_brief
from service.pages.desk.brief.shown import fields_of
from service.pages.desk.wording import STATES
from service.pages.form.pieces import FULLNESS, PLACEMENTS
from service.pages.form.supports import ASKED as NAMED
from service.pages.posted import Posted, Sent
from service.pages.visit import go_to

router = APIRouter()

_MOST_COLOURS, _MOST_FLOATING, _MOST_ACCENTS = 12, 20, 20
_KEPT = (LeadState.HELD, LeadState.BOOKED)

_OFFERED = {
    "supports": {support: (NAMED[support].label, ASKED[support]) for support in NAMED},
    "fullness": {value: label for value, (label, _) in FULLNESS.items()},
    "placements": {value: PLACEMENTS[value] for value in Placement if value in PLACEMENTS},
    "patterns": {Pattern.MIXED: "Mixed", Pattern.OMBRE: "Ombré", Pattern.BLOCKS: "In blocks"}
    | {Pattern.STRIPE: "Striped"},
    "sizes": SIZE_CLASSES,
    "accents": {kind: vocabulary.SOME[kind] for kind in AccentKind},
    "floats": {kind: kind.value.replace("_", " ") for kind in FloatKind},
    "occasions": vocabulary.OCCASIONS,
    "grounds": {ground: ground.value for ground in Ground},
}


@dataclass(frozen=True, kw_only=True, slots=True)
class _Opened:
    """What the form is about: the request as it stands, and its newest price."""

    lead: Lead
    quote: Quote | None


@router.get("/leads/{lead_id}/brief")
def brief_page(lead_id: str, desk: SignedIn) -> Response:
    """The form, filled in with what is stored."""
    opened = _open(desk, lead_id)
    if not editing.may_edit(opened.lead):
        return desk.trouble(HTTPStatus.CONFLICT, "This request is over, and its brief stays")
    fields = {**fields_of(opened.lead), "revision": str(opened.lead.revision)}
    return _form(desk, opened, Posted({name: (text,) for name, text in fields.items()}))


@router.post("/leads/{lead_id}/brief/estimate")
def estimate_brief(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """What the typed brief comes to; nothing is stored. The script asks for that part alone."""
    opened = _open(desk, lead_id)
    reading = _read(desk, opened.lead, sent)
    worked_out = _worked_out(desk, reading)
    if sent.text("part") == "figures":
        shown = _figures(desk, opened, reading, worked_out)
        return desk.visit.show("desk/_brief_figures.html", alone=True, **shown)
    return _form(desk, opened, sent, reading=reading, worked_out=worked_out)


@router.post("/leads/{lead_id}/brief")
def save_brief(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Store the brief; its new price waits on the request's page until it is sent."""
    opened = _open(desk, lead_id)
    reading = _read(desk, opened.lead, sent)
    worked_out = _worked_out(desk, reading)
    if reading.brief is None or worked_out is None:
        return _form(desk, opened, sent, reading=reading, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    edit = Edit(
        lead_id=lead_id,
        brief=reading.brief,
        client=reading.client,
        revision=_revision(sent),
    )
    try:
        with desk.visit.ports.work() as work:
            editing.save_brief(
                work, desk.visit.ports, edit, worked_out, who=desk.who, now=desk.visit.now
            )
            work.commit()
    except LeadError as error:
        return _refused(desk, lead_id, sent, error)
    return go_to(f"/desk/leads/{lead_id}?done=changed")


def _refused(desk: Desk, lead_id: str, sent: Posted, error: LeadError) -> Response:
    """What was typed stays, to be held against the brief as it is by now."""
    trouble = why_not(error)
    if isinstance(error, StaleDecision):
        trouble = (
            f"{error} Nothing of yours was saved. It still stands below: look at what it would"
            " change by now, and save once more if that is what you want."
        )
    opened = _open(desk, lead_id)
    reading = _read(desk, opened.lead, sent)
    return _form(
        desk,
        opened,
        sent,
        reading=reading,
        worked_out=_worked_out(desk, reading),
        trouble=trouble,
        status=HTTPStatus.CONFLICT,
    )


def _open(desk: Desk, lead_id: str) -> _Opened:
    with desk.visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        return _Opened(lead=lead, quote=work.quotes.latest(lead_id))


def _read(desk: Desk, lead: Lead, sent: Posted) -> Reading:
    return read_brief(sent, lead, desk.visit.book, today=desk.visit.now.date())


def _worked_out(desk: Desk, reading: Reading) -> WorkedOut | None:
    """What it comes to; None with the fault noted where it cannot be estimated."""
    if reading.brief is None:
        return None
    try:
        return editing.work_out(desk.visit.ports, reading.brief, now=desk.visit.now)
    except BriefError as error:
        reading.faults["p1-support"] = "; ".join(problem.detail for problem in error.problems)
        return None


def _revision(sent: Posted) -> int:
    text = sent.text("revision")
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else -1


def _figures(
    desk: Desk, opened: _Opened, reading: Reading | None, worked_out: WorkedOut | None
) -> dict[str, Any]:
    """What the part of the page that follows the typing shows."""
    lead, brief = opened.lead, reading.brief if reading else None
    changed: tuple[str, ...] = ()
    if reading is not None and brief is not None:
        of_brief = edits(lead.brief, brief, desk.visit.shop.currency)
        changed = (*of_brief, *client_edits(lead.client, reading.client))
    return {
        "figures": figures(worked_out.estimate, opened.quote) if worked_out else (),
        "changed": changed,
        "asked": reading is not None,
        "fit": _fit(worked_out) if worked_out else (),
        "faults": reading.faults if reading else {},
    }


def _fit(worked_out: WorkedOut) -> tuple[str, ...]:
    return tuple(assumption.text for assumption in worked_out.estimate.assumptions)


def _form(
    desk: Desk,
    opened: _Opened,
    sent: Posted,
    *,
    reading: Reading | None = None,
    worked_out: WorkedOut | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    lead = opened.lead
    return desk.show(
        "desk/brief.html",
        status=status,
        lead=lead,
        state=STATES[lead.standing],
        keeps_date=lead.state in _KEPT,
        sent=sent,
        # A page that was refused goes on from the brief as it is by now.
        revision=lead.revision if trouble else sent.text("revision"),
        offered=_OFFERED,
        colours=desk.visit.book.colours,
        rows=_rows(sent),
        trouble=trouble,
        alone=False,
        **_figures(desk, opened, reading, worked_out),
    )


def _rows(sent: Posted) -> Mapping[str, int]:
    """How many rows of each kind the form has: all that are filled in, and one to add."""
    pieces = _last(sent, r"p([0-9]{1,2})-support")
    rows = {
        "p": min(pieces + 1, MOST_PIECES),
        "c": min(_last(sent, r"c([0-9]{1,2})-colour") + 1, _MOST_COLOURS),
        "f": min(_last(sent, r"f([0-9]{1,2})-kind") + 1, _MOST_FLOATING),
    }
    for number in range(1, rows["p"] + 1):
        accents = _last(sent, rf"p{number}-a([0-9]{{1,2}})-kind")
        rows[f"p{number}-a"] = min(accents + 1, _MOST_ACCENTS)
    return rows


def _last(sent: Posted, pattern: str) -> int:
    found = (re.fullmatch(pattern, name) for name, values in sent.items() if values)
    return max((int(number[1]) for number in found if number), default=0)
