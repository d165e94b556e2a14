"""What the crew has to know of a place: the owner writes it down, helpers read it on run sheets."""

from dataclasses import asdict, fields
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import site_noting, words
from service.leads.lead import NotFound, StaleDecision
from service.leads.site_notes import LONGEST, SiteNotes
from service.leads.site_noting import notes_of
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter()

_NAMES = tuple(each.name for each in fields(SiteNotes))


@router.get("/leads/{lead_id}/site")
def site_page(lead_id: str, desk: SignedIn, done: str = "") -> Response:
    """What is known of the place."""
    return _page(desk, lead_id, notice="Kept." if done else None)


@router.post("/leads/{lead_id}/site")
def write_site(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Keep what was written. A second press changes nothing."""
    notes = SiteNotes(**{name: sent.text(name) for name in _NAMES})
    if faults := sent.too_long(LONGEST):
        return _page(
            desk, lead_id, notes=notes, faults=faults, status=HTTPStatus.UNPROCESSABLE_ENTITY
        )
    try:
        with desk.visit.ports.work() as work:
            site_noting.write(
                work, lead_id, notes, seen=sent.text("seen"), who=desk.who, now=desk.visit.now
            )
            work.commit()
    except NotFound:
        return desk.no_request()
    except StaleDecision as changed:
        text = f"{changed} What you typed is below and is not kept yet."
        return _page(desk, lead_id, notes=notes, trouble=text, status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/leads/{lead_id}/site?done=kept")


def _page(
    desk: Desk,
    lead_id: str,
    *,
    notes: SiteNotes | None = None,
    faults: dict[str, str] | None = None,
    notice: str | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    visit = desk.visit
    with visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        standing, written = notes_of(work, lead.id), work.sites.of_lead(lead.id)
        hold = work.holds.of_lead(lead.id)
    return desk.show(
        "desk/site.html",
        status=status,
        lead=lead,
        values=asdict(notes or standing),
        # Whoever saves after a clash has seen what stands there now.
        seen=standing.mark,
        standing=asdict(standing) if trouble else None,
        written=written and words.moment(written.at.astimezone(visit.zone)),
        day=hold and hold.window.starts_at.astimezone(visit.zone).date(),
        longest=LONGEST,
        faults=faults or {},
        notice=notice,
        trouble=trouble,
    )
