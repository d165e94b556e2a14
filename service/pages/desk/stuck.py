"""All that did not go through or may not have arrived: tried again, or put away."""

import re
from contextlib import suppress
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import stepping, stuck
from service.leads.lead import NotFound
from service.leads.steps import StepRefused, StepState
from service.leads.stuck import Verdict
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.sessions import within_desk
from service.pages.desk.stuck_rows import stuck_rows
from service.pages.posted import Posted, Sent
from service.pages.visit import go_to

router = APIRouter()

_PAGE = 25
_TRIED_SINCE = "It was tried again, or is just now. Nothing was changed: this is how it stands."


@router.get("/stuck")
def stuck_page(desk: SignedIn, before: str = "") -> Response:
    """Everything that is stuck or in doubt, newest first, a page at a time."""
    return _page(desk, before=_number(before))


@router.post("/steps/{step_id}/again")
def again(step_id: str, desk: Confirmed, sent: Sent) -> Response:
    """What was given up is tried once more from the beginning; a second press changes nothing."""
    with desk.visit.ports.work() as work, suppress(StepRefused):
        stepping.revive(work, step_id, desk.visit.now, seen=_number(sent.text("seen")))
        work.commit()
    return _back(sent)


@router.post("/steps/{step_id}/away")
def away(step_id: str, desk: Confirmed, sent: Sent) -> Response:
    """It did arrive, or is not wanted any more; a second press changes nothing."""
    verdict = Verdict.ARRIVED if sent.text("verdict") == Verdict.ARRIVED else Verdict.UNWANTED
    visit = desk.visit
    try:
        with visit.ports.work() as work:
            stuck.put_away(
                work,
                visit.ports,
                step_id,
                verdict,
                seen=_number(sent.text("seen")) or 0,
                who=desk.who,
                now=visit.now,
            )
            work.commit()
    except StepRefused:
        if not _is_done(desk, step_id):
            return _page(desk, trouble=_TRIED_SINCE, status=HTTPStatus.CONFLICT)
    except NotFound:
        pass  # erased with its client
    return _back(sent)


def _is_done(desk: Desk, step_id: str) -> bool:
    with desk.visit.ports.read() as work:
        return work.outbox.get(step_id).state is StepState.DONE


def _back(sent: Posted) -> Response:
    return go_to(within_desk(sent.text("to")))


def _number(text: str) -> int | None:
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else None


def _page(
    desk: Desk,
    *,
    before: int | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    with desk.visit.ports.read() as work:
        found = work.outbox.troubled(limit=_PAGE + 1, before=before)
        shown = found[:_PAGE]
        return desk.show(
            "desk/stuck.html",
            status=status,
            rows=stuck_rows(work, shown),
            older=shown[-1].position if len(found) > _PAGE else None,
            notice=None,
            trouble=trouble,
        )
