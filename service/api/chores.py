"""Long work: begun and followed by the owner, done part by part through workers."""

from functools import partial
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Response
from fastapi.responses import StreamingResponse

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import chores as wire
from service.contract.estimate import Problem
from service.leads import long_work
from service.leads.chores import Chore, ChoreKind, Part
from service.leads.lead import OWNER
from service.rendering import parts_of_work

router = APIRouter(prefix="/chores", tags=["owner's desk"])
_owner = [Depends(allow(Role.OWNER))]


@router.post("", status_code=HTTPStatus.ACCEPTED, dependencies=_owner)
def begin_chore(body: wire.ChoreAsked, ports: Given) -> wire.Chore:
    """Have all documents of a time made, or its open requests priced by today's figures."""
    with ports.work() as work:
        try:
            begun = long_work.begin(
                work,
                ports,
                ChoreKind(body.kind),
                chore_id=body.chore_id,
                first=body.first,
                last=body.last,
                who=OWNER,
                now=ports.clock(),
            )
        except (long_work.NothingToDo, long_work.TimeRefused) as refused:
            raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(refused)) from None
        work.commit()
    return _chore(begun)


@router.get("", dependencies=_owner)
def list_chores(ports: Given, limit: Annotated[int, Query(ge=1, le=100)] = 20) -> list[wire.Chore]:
    """The latest first."""
    with ports.read() as work:
        return [_chore(each) for each in work.chores.newest(limit=limit)]


@router.get("/{chore_id}", dependencies=_owner)
def read_chore(chore_id: str, ports: Given) -> wire.ChoreInFull:
    """How far it is, and what came of each part."""
    with ports.read() as work:
        chore = work.chores.get(chore_id)
        parts = [_part(part) for part in work.chores.parts(chore_id)]
    return wire.ChoreInFull(chore=_chore(chore), parts=parts)


@router.post("/{chore_id}/stop", dependencies=_owner)
def stop_chore(chore_id: str, ports: Given) -> wire.Chore:
    """Make no further part; what was made can be fetched."""
    with ports.work() as work:
        long_work.stop(work, chore_id, now=ports.clock())
        chore = work.chores.get(chore_id)
        work.commit()
    return _chore(chore)


@router.get(
    "/{chore_id}/documents.zip",
    dependencies=_owner,
    response_class=Response,
    responses={200: {"content": {"application/zip": {}}}},
)
def read_documents(chore_id: str, ports: Given) -> StreamingResponse:
    """Everything that was made so far."""
    with ports.read() as work:
        work.chores.get(chore_id)
    found = parts_of_work.zipped(ports, chore_id)
    return StreamingResponse(found, media_type="application/zip")


@router.post(
    "/parts/{part_id}/due",
    dependencies=[Depends(allow(Role.WORKER))],
    responses={409: {"model": Problem, "description": "The step is not yours."}},
)
def do_part(part_id: str, body: wire.PartDue, ports: Given) -> wire.Chore:
    """Make one part under its step's lease, and close the step."""
    done = long_work.do_part(
        ports,
        part_id,
        step_id=body.step_id,
        fence=body.fence,
        make=partial(parts_of_work.make, ports),
    )
    return _chore(done)


def _chore(chore: Chore) -> wire.Chore:
    progress = chore.progress
    return wire.Chore(
        chore_id=chore.id,
        kind=chore.kind.value,
        first=chore.first,
        last=chore.last,
        made_at=chore.made_at,
        ended_at=chore.ended_at,
        stopped_at=chore.stopped_at,
        total=progress.total,
        done=progress.done,
        failed=progress.failed,
    )


def _part(part: Part) -> wire.Part:
    return wire.Part(
        about=part.about.value,
        lead_id=part.lead_id,
        day=part.day,
        state=part.state.value,
        name=part.name,
        trouble=part.trouble,
        figures=dict(part.figures) if part.figures is not None else None,
    )
