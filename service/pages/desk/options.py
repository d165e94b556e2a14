"""Other ways to build what a client wants: fuller, lighter, within the budget."""

import re
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.estimating import BriefError, Option, options
from service.leads import editing, words
from service.leads.differing import changes
from service.leads.editing import Edit, WorkedOut
from service.leads.figures import direct_cost
from service.leads.lead import Lead, LeadError
from service.leads.owner_words import why_not
from service.leads.shop_time import today_at
from service.leads.words import ENGLISH
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.templates import spent
from service.pages.visit import go_to

router = APIRouter()

_GONE = "It comes out differently by now. Look again; nothing was changed."


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One way to build it; `seen` is its likely price, `asked` where the brief says just that."""

    label: str
    price: str
    likely: str
    hours: str
    cost: str
    fits: bool | None
    asked: bool
    seen: str


@router.get("/leads/{lead_id}/options")
def options_page(lead_id: str, desk: SignedIn) -> Response:
    """The options side by side."""
    return _page(desk, lead_id)


@router.post("/leads/{lead_id}/options")
def take_option(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Make one of them the brief; its price waits until it is sent."""
    lead = _lead(desk, lead_id)
    chosen = [each for each in _found(desk, lead) if _key(each) == sent.text("option")]
    if not chosen:
        return _page(desk, lead_id, trouble=_GONE, status=HTTPStatus.CONFLICT)
    option, revision = chosen[0], sent.text("revision")
    edit = Edit(
        lead_id=lead_id,
        brief=option.brief,
        client=lead.client,
        revision=int(revision) if re.fullmatch(r"[0-9]{1,9}", revision) else -1,
    )
    worked_out = WorkedOut(brief=option.brief, estimate=option.estimate)
    try:
        with desk.visit.ports.work() as work:
            editing.save_brief(
                work, desk.visit.ports, edit, worked_out, who=desk.who, now=desk.visit.now
            )
            work.commit()
    except LeadError as error:
        return _page(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/leads/{lead_id}?done=changed")


def _lead(desk: Desk, lead_id: str) -> Lead:
    with desk.visit.ports.read() as work:
        return desk.lead(work, lead_id)


def _found(desk: Desk, lead: Lead) -> tuple[Option, ...]:
    book = desk.visit.book
    brief = editing.placed(desk.visit.ports, lead.brief)
    try:
        calibration = desk.visit.ports.calibrations.current()
        return options(brief, book, calibration, today=today_at(desk.visit.now, book))
    except BriefError:
        return ()


def _key(option: Option) -> str:
    """What names an option as long as it comes out the same."""
    price = option.estimate.price
    return f"{'+'.join(option.changes)}={price.likely}"


def _page(
    desk: Desk, lead_id: str, *, trouble: str | None = None, status: HTTPStatus = HTTPStatus.OK
) -> Response:
    lead = _lead(desk, lead_id)
    most = lead.brief.budget.max if lead.brief.budget else None
    return desk.show(
        "desk/options.html",
        status=status,
        lead=lead,
        budget=most,
        found=[_way(desk, lead, option) for option in _found(desk, lead)],
        trouble=trouble,
    )


def _way(desk: Desk, lead: Lead, option: Option) -> Way:
    price, estimate = option.estimate.price, option.estimate
    wished = editing.placed(desk.visit.ports, lead.brief)
    low, likely, high = (
        words.money(amount, price.currency) for amount in (price.low, price.likely, price.high)
    )
    return Way(
        label=changes(ENGLISH, wished, option.brief),
        price=f"{low} to {high}",
        likely=likely,
        hours=spent(sum(estimate.hours.values())),
        cost=words.money(direct_cost(estimate), price.currency),
        fits=option.fits,
        asked=option.brief == wished,
        seen=_key(option),
    )
