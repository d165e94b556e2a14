"""Owed steps: leases, outcomes, and the sweep that hands them over again."""

from datetime import timedelta
from http import HTTPStatus

from fastapi import APIRouter, Depends, Request

from service.api import translate, views
from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.leads import noted
from service.contract import leads as wire
from service.contract import talk
from service.contract.brief import Brief
from service.contract.estimate import Problem
from service.leads import expiring, forgetting, owning, quoting, stepping
from service.leads.chores import KEPT_FOR
from service.leads.ports import UnitOfWork
from service.leads.steps import Step, StepKind, StepRefused

# What is old is forgotten by the hour, not with every sweep.
_FORGET_EVERY = timedelta(hours=1)

router = APIRouter(
    tags=["steps"],
    dependencies=[Depends(allow(Role.WORKER))],
    responses={409: {"model": Problem, "description": "The step is not yours to take."}},
)


owners = APIRouter(tags=["steps"], dependencies=[Depends(allow(Role.OWNER))])


@router.post("/steps/{step_id}/lease")
def lease(step_id: str, ports: Given) -> wire.Lease:
    """Take a step for a few seconds, under a fencing number."""
    with ports.work() as work:
        step = stepping.lease(work, step_id, ports.clock())
        brief = _brief(work, step)
        work.commit()
    if step.lease_until is None:
        raise StepRefused(stepping.TOO_OFTEN)
    return wire.Lease(
        step_id=step.id,
        kind=step.kind.value,
        subject_id=step.subject_id,
        fence=step.fence,
        attempt=step.attempts,
        expires_at=step.lease_until,
        maybe_done=step.unclear,
        brief=brief,
    )


def _brief(work: UnitOfWork, step: Step) -> Brief | None:
    """What a worker would have to ask for next."""
    if step.kind is not StepKind.QUOTE:
        return None
    return translate.brief_to_wire(work.leads.get(step.subject_id).brief)


@router.post("/steps/{step_id}/quote")
def quote(request: Request, step_id: str, ports: Given) -> wire.Quoted:
    """Take a step that owes a lead its quote, estimate, and finish it: the ballpark goes out, or
    the owner looks first."""
    lead, attempt = quoting.quote(ports, step_id)
    outcome = noted(request, ports, lead)
    return wire.Quoted(attempt=attempt, **vars(outcome))


@router.post("/steps/{step_id}/sending", status_code=HTTPStatus.NO_CONTENT)
def sending(step_id: str, body: wire.StepDone, ports: Given) -> None:
    """Say, before the outside is touched, that from now on the step may have happened."""
    with ports.work() as work:
        stepping.sending(work, step_id, body.fence, ports.clock())
        work.commit()


@router.post("/steps/{step_id}/renewals", status_code=HTTPStatus.NO_CONTENT)
def renew(step_id: str, body: wire.StepDone, ports: Given) -> None:
    """Keep a step while it is still worked on: its lease begins anew."""
    with ports.work() as work:
        stepping.renew(work, step_id, body.fence, ports.clock())
        work.commit()


@router.post("/steps/{step_id}/done", status_code=HTTPStatus.NO_CONTENT)
def done(step_id: str, body: wire.StepDone, ports: Given) -> None:
    """Confirm a step's effect."""
    with ports.work() as work:
        stepping.finish(work, stepping.held(work, step_id, body.fence))
        work.commit()


@router.post("/steps/{step_id}/failures", status_code=HTTPStatus.NO_CONTENT)
def failed(step_id: str, body: wire.StepFailure, ports: Given) -> None:
    """Give a step back, to be tried again after a growing pause, or up."""
    after = None if body.retry_after_s is None else timedelta(seconds=body.retry_after_s)
    with ports.work() as work:
        stepping.fail(
            work,
            step_id,
            body.fence,
            error=body.error,
            retry=body.retry,
            unclear=body.unclear,
            retry_after=after,
            attempted=body.attempted,
            now=ports.clock(),
        )
        work.commit()


@owners.post(
    "/steps/{step_id}/again",
    status_code=HTTPStatus.NO_CONTENT,
    responses={409: {"model": Problem, "description": "The step was not given up."}},
)
def again(step_id: str, ports: Given) -> None:
    """Have a step that was given up tried again from the beginning."""
    with ports.work() as work:
        stepping.revive(work, step_id, ports.clock())
        work.commit()


@router.get("/messages/{message_id}")
def delivery(message_id: str, ports: Given) -> talk.Delivery:
    """A message to be handed to a push channel."""
    with ports.read() as work:
        found = work.chats.delivery(message_id)
    return talk.Delivery(
        message_id=found.stored.id,
        channel=found.channel,
        chat_id=found.chat_id,
        delivery_key=found.stored.id,
        message=views.message_to_wire(found.stored.message),
        after_share=found.after_share,
    )


@router.post("/outbox/sweep")
def sweep(ports: Given) -> wire.Swept:
    """Hand every owed step that nobody works on to the queue; let go what has run out.

    In the morning it also tells the owner of the day, once.
    """
    queued = stepping.sweep(ports)
    expiring.free_expired(ports)
    expiring.finish_over(ports)
    expiring.lapse_expired(ports)
    with ports.work() as work:
        now = ports.clock()
        owning.tell_digests(work, ports, now=now)
        if not ports.limits.wait("forgetting", "shop", most=1, per=_FORGET_EVERY):
            forgetting.forget_old(work, ports.price_books.current(), now=now)
            work.chores.forget(now - KEPT_FOR)
        work.commit()
    return wire.Swept(queued=queued)
