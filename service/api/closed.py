"""The shop's closed times as JSON, for the owner."""

from collections.abc import Sequence
from http import HTTPStatus

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Day, Given
from service.api.problems import Refusal
from service.contract import bookings as wire
from service.contract.estimate import FieldProblem
from service.leads import days_off
from service.leads.closing import ClosedTime, ClosingRefused
from service.leads.lead import Hold
from service.leads.ports import UnitOfWork
from service.leads.shop_time import today_at

router = APIRouter(
    prefix="/closed-times", tags=["calendar"], dependencies=[Depends(allow(Role.OWNER))]
)


@router.get("")
def closed_times(ports: Given, since: Day | None = None) -> list[wire.ClosedTime]:
    """Closed times that are not over, the earliest first; with `since`, not over on that day."""
    with ports.read() as work:
        now = ports.clock()
        day = since or today_at(now, ports.price_books.current())
        return [
            _view(work, each, days_off.kept_in(work, ports, each, now=now))
            for each in work.closed.since(day)
        ]


@router.post("", status_code=HTTPStatus.CREATED)
def close(body: wire.ClosedTimeRequest, ports: Given) -> wire.ClosedTime:
    """Close days, or a time on each of them. What is held or booked there stays; it is named."""
    with ports.work() as work:
        closed = ClosedTime(
            id=ports.new_id(),
            first=body.first,
            last=body.last,
            since=body.since,
            until=body.until,
            note=body.note.strip(),
            made_at=ports.clock(),
        )
        try:
            closed, kept = days_off.close(work, ports, closed)
        except ClosingRefused as error:
            fault = FieldProblem(field=error.field, detail=str(error))
            status = HTTPStatus.UNPROCESSABLE_ENTITY
            raise Refusal(status, "These days cannot be closed.", errors=[fault]) from None
        answer = _view(work, closed, kept)
        work.commit()
        return answer


@router.delete("/{closed_id}", status_code=HTTPStatus.NO_CONTENT)
def open_again(closed_id: str, ports: Given) -> None:
    """Open these days again."""
    with ports.work() as work:
        work.closed.remove(closed_id)
        work.commit()


def _view(work: UnitOfWork, closed: ClosedTime, kept: Sequence[Hold]) -> wire.ClosedTime:
    return wire.ClosedTime(
        id=closed.id,
        first=closed.first,
        last=closed.last,
        since=closed.since,
        until=closed.until,
        note=closed.note,
        kept=[work.leads.get(hold.lead_id).number for hold in kept],
    )
