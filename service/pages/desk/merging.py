"""Bringing two requests together that are one."""

from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import merging, words
from service.leads.lead import Lead, LeadError
from service.leads.merging import Merger
from service.leads.owner_words import CHANNELS, summary_of, why_not
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.wording import STATES
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter()


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """A request that could become a part of this one, or why it cannot."""

    id: str
    number: str
    who: str
    what: str
    state: str
    because: str
    seen: str


@router.get("/leads/{lead_id}/merge")
def merge_page(lead_id: str, desk: SignedIn, number: str = "") -> Response:
    """What looks like the same request; another one is found by its `number`."""
    return _page(desk, lead_id, number=number)


@router.post("/leads/{lead_id}/merge")
def merge(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Make the chosen request a part of this one. A second press is refused."""
    merger = Merger(
        kept_id=lead_id,
        other_id=sent.text("other"),
        kept_seen=sent.text("kept_seen"),
        other_seen=sent.text("other_seen"),
    )
    try:
        with desk.visit.ports.work() as work:
            merging.merge(work, desk.visit.ports, merger, who=desk.who, now=desk.visit.now)
            work.commit()
    except LeadError as error:
        return _page(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/leads/{lead_id}?done=merged")


def _page(
    desk: Desk,
    lead_id: str,
    *,
    number: str = "",
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    with desk.visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        likely = merging.likely(work, lead)
        choices = [_choice(work, each.lead, each.because) for each in likely]
        fault = None
        if number:
            found, fault = _numbered(work, lead, number)
            choices = [found] if found else choices
        return desk.show(
            "desk/merge.html",
            status=status,
            lead=lead,
            kept_seen=merging.standing(work, lead),
            choices=choices,
            number=number,
            faults={"number": fault} if fault else {},
            trouble=trouble,
        )


def _numbered(work: UnitOfWork, lead: Lead, number: str) -> tuple[Choice | None, str | None]:
    try:
        other = merging.numbered(work, number[:24])
        merging.refuse_unfit(lead, other)
    except LeadError as error:
        return None, why_not(error)
    return _choice(work, other, "you named it"), None


def _choice(work: UnitOfWork, lead: Lead, because: str) -> Choice:
    day = lead.brief.event.date
    when = words.day(day) if day else "no day yet"
    return Choice(
        id=lead.id,
        number=lead.number,
        who=lead.client.name or f"a client, by {CHANNELS.get(lead.channel, lead.channel)}",
        what=f"{summary_of(lead.brief)}; {when}",
        state=STATES[lead.standing],
        because=because,
        seen=merging.standing(work, lead),
    )
