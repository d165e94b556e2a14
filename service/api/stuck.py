"""What did not go through: all of it, and the owner's word that puts it away."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Query

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import listing as wire
from service.contract.estimate import Problem
from service.leads.lead import OWNER
from service.leads.stuck import Stuck, Verdict, concerning, put_away
from service.leads.stuck_words import reason_of

router = APIRouter(tags=["steps"], dependencies=[Depends(allow(Role.OWNER))])

_HIGHEST = 2**31 - 1


@router.get("/steps/stuck")
def stuck(
    ports: Given,
    before: Annotated[int | None, Query(ge=1, le=_HIGHEST, description="`next` of a page.")] = None,
    limit: Annotated[int, Query(ge=1, le=100)] = 50,
) -> wire.StuckPage:
    """Steps that were given up or may have happened without our knowing, newest first."""
    with ports.read() as work:
        found = work.outbox.troubled(limit=limit + 1, before=before)
        steps = [stuck_to_wire(concerning(work, step)) for step in found[:limit]]
    return wire.StuckPage(
        steps=steps, next=found[limit - 1].position if len(found) > limit else None
    )


@router.post(
    "/steps/{step_id}/away",
    status_code=HTTPStatus.NO_CONTENT,
    responses={409: {"model": Problem, "description": "It is not stuck, or was tried since."}},
)
def away(step_id: str, body: wire.PutAway, ports: Given) -> None:
    """Put away what was given up or is in doubt: it did arrive, or is not wanted any more.

    A request without a price then waits for the owner, and its client is told so.
    """
    with ports.work() as work:
        put_away(
            work,
            ports,
            step_id,
            Verdict(body.verdict),
            seen=body.seen,
            who=OWNER,
            now=ports.clock(),
        )
        work.commit()


def stuck_to_wire(found: Stuck) -> wire.StuckStep:
    """One of them."""
    step, delivery, lead = found.step, found.delivery, found.lead
    return wire.StuckStep(
        step_id=step.id,
        kind=step.kind.value,
        state="dead" if step.state == "dead" else "owed",
        subject_id=step.subject_id,
        fence=step.fence,
        attempts=step.attempts,
        error=step.last_error,
        reason=reason_of(step),
        maybe_done=step.unclear,
        lead_id=lead.id if lead else None,
        number=lead.number if lead else None,
        channel=delivery.channel if delivery else None,
        chat_id=delivery.chat_id if delivery else None,
    )
