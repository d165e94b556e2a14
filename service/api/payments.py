"""Money as JSON: a job's account, recording and voiding, canceling, what is still due."""

from http import HTTPStatus
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.idempotency import DECLARED, attempt, once
from service.api.problems import Refusal
from service.contract import payments as wire
from service.contract.estimate import FieldProblem, Problem
from service.leads import cancelling, dues, paying
from service.leads.cancelling import Cancellation, ReasonNeeded, TooMuchBack, Wish
from service.leads.lead import OWNER, Lead, LeadError, Quote
from service.leads.owner_words import why_not
from service.leads.paying import Doubtful, Entry, NotRecordable, Seen
from service.leads.payments import PaymentKind
from service.leads.ports import Ports, UnitOfWork

router = APIRouter(tags=["money"], dependencies=[Depends(allow(Role.OWNER))])


_REFUSED: dict[int | str, dict[str, Any]] = {
    404: {"model": Problem, "description": "There is no such request, or it has no price yet."},
    409: {"model": Problem, "description": "Not now, or not as asked: the detail says why."},
}


@router.get("/leads/{lead_id}/payments", responses=_REFUSED)
def read_account(lead_id: str, ports: Given) -> wire.Account:
    """A job's account with every entry, also those that were voided."""
    with ports.read() as work:
        return _account(work, ports, work.leads.get(lead_id))


@router.post(
    "/leads/{lead_id}/payments",
    status_code=HTTPStatus.CREATED,
    response_model=wire.Account,
    responses=_REFUSED | {400: {"model": Problem, "description": "No Idempotency-Key."}},
    openapi_extra=DECLARED,
)
async def record(
    lead_id: str, body: wire.PaymentRequest, request: Request, ports: Given
) -> Response:
    """Record an entry, once per Idempotency-Key. The client is told."""
    this = await attempt(request, scope="payments")

    def act(work: UnitOfWork) -> tuple[int, str]:
        entry = Entry(
            id=ports.new_id(),
            kind=PaymentKind(body.kind),
            **body.model_dump(include={"amount", "paid_on", "method", "reference"}),
        )
        seen = Seen(quote=body.basis, hold=body.hold)
        now = ports.clock()
        try:
            paying.record(
                work, ports, lead_id, entry, seen=seen, who=OWNER, now=now, sure=body.sure
            )
        except Doubtful as doubt:
            detail = f"{doubt} If so, send it again with sure."
            raise Refusal(HTTPStatus.CONFLICT, detail) from None
        except NotRecordable as refused:
            raise _field(refused.field, str(refused)) from None
        answer = _account(work, ports, work.leads.get(lead_id))
        return HTTPStatus.CREATED, answer.model_dump_json()

    return await run_in_threadpool(once, ports, this, act)


@router.post("/leads/{lead_id}/payments/{payment_id}/void", responses=_REFUSED)
def void(lead_id: str, payment_id: str, ports: Given) -> wire.Account:
    """An entry was a mistake: it stays, and counts for nothing."""
    with ports.work() as work:
        paying.void(work, ports, lead_id, payment_id, who=OWNER, now=ports.clock())
        answer = _account(work, ports, work.leads.get(lead_id))
        work.commit()
    return answer


@router.get("/leads/{lead_id}/cancel", responses=_REFUSED)
def what_goes_back(
    lead_id: str, by: Annotated[Literal["client", "shop"], Query()], ports: Given
) -> wire.Proposal:
    """What the shop's rules return if the booking is called off today."""
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        found = cancelling.proposal(work, ports, lead, Wish(by), now=ports.clock())
    return wire.Proposal.model_validate(found)


@router.post("/leads/{lead_id}/cancel", responses=_REFUSED)
def cancel(lead_id: str, body: wire.CancelRequest, ports: Given) -> wire.Account:
    """Call a booking off; date, equipment and stock are free again, and the client is told."""
    now = ports.clock()
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        by = Wish(body.by)
        returned = body.returned
        if returned is None:
            returned = cancelling.proposal(work, ports, lead, by, now=now).returned
        decided = Cancellation(by=by, returned=returned, reason=body.reason, text=body.text)
        seen = Seen(quote=body.basis, hold=body.hold)
        try:
            lead = cancelling.cancel(work, ports, lead_id, decided, seen=seen, who=OWNER, now=now)
        except ReasonNeeded as needed:
            raise _field("reason", str(needed)) from None
        except TooMuchBack as much:
            raise _field("returned", str(much)) from None
        except LeadError as error:
            raise Refusal(HTTPStatus.CONFLICT, why_not(error)) from None
        answer = _account(work, ports, lead)
        work.commit()
    return answer


@router.get("/money")
def still_due(ports: Given) -> list[wire.Due]:
    """Open accounts: first what has to go back, then what is due, the earliest first."""
    with ports.read() as work:
        found = dues.dues(work, ports, now=ports.clock())
    return [
        wire.Due(
            lead_id=each.lead.id,
            number=each.lead.number,
            due=each.account.due,
            owed_back=each.account.owed_back,
            currency=each.account.currency,
            due_on=each.on,
            overdue=each.overdue,
        )
        for each in found
    ]


def _account(work: UnitOfWork, ports: Ports, lead: Lead) -> wire.Account:
    quote: Quote = paying.quote_of(work, lead.id)
    hold = work.holds.of_lead(lead.id)
    account = paying.of_lead(work, lead, quote)
    sums = ("price", "tax", "fees", "given", "total", "paid", "refunded", "due", "owed_back")
    return wire.Account(
        lead_id=lead.id,
        number=lead.number,
        basis=quote.number,
        hold=hold and hold.id,
        currency=account.currency,
        deposit=quote.deposit,
        due_on=paying.due_on(work, ports, lead, quote, hold),
        payments=[wire.Payment.model_validate(each) for each in work.payments.of_lead(lead.id)],
        **{name: getattr(account, name) for name in sums},
    )


def _field(name: str, detail: str) -> Refusal:
    errors = [FieldProblem(field=name, detail=detail)]
    return Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, errors=errors)
