"""Leads: taken once, quoted by a worker, decided on by the owner."""

from datetime import datetime
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from starlette.concurrency import run_in_threadpool

from service.api import translate, views
from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.idempotency import DECLARED, attempt, is_repeated, once
from service.api.problems import Refusal
from service.api.visitors import keep_visitor_to
from service.api.watching import Figures
from service.contract import leads as wire
from service.contract import tracing
from service.contract.estimate import Problem
from service.estimating import Estimate, Option
from service.leads import forgetting, handling, limits, paying, quoting
from service.leads.lead import OWNER, Lead, LeadState, LostBecause, NotFound, PriceLine
from service.leads.payments import PaymentKind
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import today_at

router = APIRouter(prefix="/leads", tags=["leads"])

_CHATS = ("telegram", "webchat")


@router.post(
    "",
    status_code=HTTPStatus.ACCEPTED,
    response_model=wire.LeadReceipt,
    responses={
        400: {"model": Problem, "description": "The Idempotency-Key is missing."},
        422: {"model": Problem, "description": "What to correct, field by field."},
        429: {"model": Problem, "description": "Too many from one address; see Retry-After."},
    },
    openapi_extra=DECLARED,
)
async def take_lead(
    body: wire.LeadRequest,
    request: Request,
    ports: Given,
    role: Annotated[Role, Depends(allow(Role.BOT, Role.WEBSITE, Role.OWNER))],
) -> Response:
    """Take a lead. It is stored, and its ballpark owed, before this answers 202.

    Ask `status_url` for the ballpark; it is usually there within a second or two.
    """
    if body.channel in _CHATS and role is not Role.BOT:
        raise Refusal(HTTPStatus.FORBIDDEN, "Only the bot takes leads from a chat.")
    shop = ports.price_books.current().shop
    brief = translate.brief_to_core(body.brief, request.app.state.places, shop)
    this = await attempt(request, scope=f"leads:{role}")
    if role is Role.WEBSITE and not await run_in_threadpool(is_repeated, ports, this):
        await keep_visitor_to(request, ports, limits.LEADS, limits.LEADS_IN_ALL)

    def act(work: UnitOfWork) -> tuple[int, str]:
        lead = handling.take_lead(
            work,
            lead_id=ports.new_id(),
            brief=brief,
            client=views.client(body.client),
            channel=body.channel,
            chat_id=body.chat_id if body.channel in _CHATS else None,
            language=body.language,
            revises=body.revises,
            source=body.source,
            now=ports.clock(),
        )
        forgetting.note_consent(work, ports, lead, now=ports.clock())
        tracing.note(lead_id=lead.id)
        receipt = wire.LeadReceipt(
            lead_id=lead.id,
            number=lead.number,
            state=lead.state.value,
            status_url=f"{ports.public_url}/v1/leads/{lead.id}",
        )
        return HTTPStatus.ACCEPTED, receipt.model_dump_json()

    return await run_in_threadpool(once, ports, this, act)


@router.get(
    "/{lead_id}",
    responses={404: {"model": Problem, "description": "There is no such lead."}},
)
def read_lead(
    lead_id: str,
    ports: Given,
    role: Annotated[Role, Depends(allow(Role.BOT, Role.WORKER, Role.WEBSITE, Role.OWNER))],
) -> wire.Lead | wire.LeadStatus:
    """One lead. The website's key sees how far it is and the ballpark, nothing personal, and of
    what came by a chat nothing at all."""
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        if role is Role.WEBSITE:
            if lead.channel in _CHATS:
                raise NotFound("There is no such lead.")
            return views.status(work, ports, lead)
        return views.lead(work, ports, lead)


@router.post(
    "/{lead_id}/quotes",
    dependencies=[Depends(allow(Role.WORKER))],
    responses={409: {"model": Problem, "description": "The lease has passed to another."}},
)
def finish_quote(
    request: Request, lead_id: str, body: wire.QuoteRequest, ports: Given
) -> wire.StepOutcome:
    """A worker's quoting step is done: the ballpark goes out, or the owner looks first.

    For who estimates elsewhere, as workers of the last release do.
    """
    estimate = translate.estimate_to_core(body.estimate)
    with ports.read() as work:
        brief = work.leads.get(lead_id).brief
    fitting = quoting.within_budget(ports, brief, estimate, now=ports.clock())
    lead = _finish(ports, lead_id, body, estimate=estimate, fitting=fitting)
    return noted(request, ports, lead)


@router.post(
    "/{lead_id}/reviews",
    dependencies=[Depends(allow(Role.WORKER))],
    responses={409: {"model": Problem, "description": "The lease has passed to another."}},
)
def finish_without_estimate(
    request: Request, lead_id: str, body: wire.ReviewRequest, ports: Given
) -> wire.StepOutcome:
    """A worker's quoting step found that no estimate can be made: the owner must look."""
    lead = _finish(ports, lead_id, body, problems=tuple(body.reasons))
    return noted(request, ports, lead)


def noted(request: Request, ports: Ports, lead: Lead) -> wire.StepOutcome:
    """What became of a lead; and have it in the figures how long the client waited for it."""
    figures: Figures = request.app.state.figures
    outcome = "review" if lead.state is LeadState.REVIEW else "price"
    figures.answered(outcome, (ports.clock() - lead.created_at).total_seconds())
    return wire.StepOutcome(lead_id=lead.id, number=lead.number, state=lead.state.value)


@router.post(
    "/{lead_id}/decisions",
    dependencies=[Depends(allow(Role.OWNER))],
    responses={409: {"model": Problem, "description": "It has changed in the meantime."}},
)
def decide(lead_id: str, body: wire.Decision, ports: Given) -> wire.Lead:
    """The owner sends a firm quote, with a changed price if they like, or declines."""
    with ports.work() as work:
        now = ports.clock()
        if body.action == "decline":
            handling.decline(
                work,
                ports,
                lead_id=lead_id,
                text=body.text,
                because=LostBecause(body.because),
                reason=body.reason or "",
                basis_number=body.basis,
                now=now,
            )
        elif body.action == "deposit":
            _deposit_came(work, ports, lead_id, now)
        else:
            handling.send_firm(
                work,
                ports,
                lead_id=lead_id,
                basis_number=body.basis,
                price=body.price,
                lines=_lines(body),
                reason=body.reason,
                text=body.text,
                now=now,
            )
        return _committed(work, ports, lead_id)


def _lines(body: wire.Decision) -> tuple[PriceLine, ...] | None:
    if body.lines is None:
        return None
    return tuple(PriceLine(label=line.label, amount=line.amount) for line in body.lines)


def _deposit_came(work: UnitOfWork, ports: Ports, lead_id: str, now: datetime) -> None:
    """The whole deposit, today; more is said with a payment of its own."""
    work.leads.get(lead_id, lock=True).moved_to(LeadState.BOOKED)
    quote, hold = paying.quote_of(work, lead_id), work.holds.of_lead(lead_id)
    if hold is None:
        raise NotFound("Nothing is held for this request any more.")
    entry = paying.Entry(
        id=ports.new_id(),
        kind=PaymentKind.DEPOSIT,
        amount=quote.deposit,
        paid_on=today_at(now, ports.price_books.current()),
        method="",
        reference="",
    )
    seen = paying.Seen(quote=quote.number, hold=hold.id)
    paying.record(work, ports, lead_id, entry, seen=seen, who=OWNER, now=now, sure=True)


def _committed(work: UnitOfWork, ports: Ports, lead_id: str) -> wire.Lead:
    answer = views.lead(work, ports, work.leads.get(lead_id))
    work.commit()
    return answer


def _finish(
    ports: Ports,
    lead_id: str,
    step: wire.QuoteRequest | wire.ReviewRequest,
    *,
    estimate: Estimate | None = None,
    problems: tuple[str, ...] = (),
    fitting: tuple[Option, ...] = (),
) -> Lead:
    with ports.work() as work:
        lead = quoting.finish_quote(
            work,
            ports,
            lead_id=lead_id,
            step_id=step.step_id,
            fence=step.fence,
            estimate=estimate,
            problems=problems,
            fitting=fitting,
            now=ports.clock(),
        )
        work.commit()
    return lead
