"""What finished jobs really took, as JSON, and their photos."""

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request, Response
from starlette.concurrency import run_in_threadpool

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import actuals as wire
from service.contract.estimate import FieldProblem, Problem
from service.leads import recording
from service.leads.actuals import Actuals, Extra, Finished
from service.leads.compared import Comparison
from service.leads.lead import OWNER, LeadError, NotFound
from service.leads.ports import Ports, UnitOfWork
from service.leads.recording import CannotBe, Entry, NotYet, Seen

router = APIRouter(
    prefix="/leads/{lead_id}/actuals",
    tags=["owner's desk"],
    dependencies=[Depends(allow(Role.OWNER))],
)

_JPEG = "image/jpeg"
_BYTES = {"type": "string", "format": "binary"}
_REFUSED: dict[int | str, dict[str, Any]] = {
    404: {"model": Problem, "description": "There is no such request, or it has no price."},
    409: {"model": Problem, "description": "The job is not done, or this was changed since."},
}

PhotoId = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]


@router.get("", responses=_REFUSED)
def read_actuals(lead_id: str, ports: Given) -> wire.Actuals:
    """What was told of a job, and the job against its estimate."""
    with ports.read() as work:
        return _answer(work, ports, lead_id)


@router.put("", responses=_REFUSED)
def tell(lead_id: str, body: wire.ActualsRequest, ports: Given) -> wire.Actuals:
    """Tell how a job went, in place of what was told before. The same again changes nothing."""
    seen = Seen(quote=body.basis, revision=body.revision, sure=frozenset(body.sure))
    with ports.work() as work:
        try:
            recording.record(
                work, ports, lead_id, _entry(body), seen=seen, who=OWNER, now=ports.clock()
            )
            answer = _answer(work, ports, lead_id)
        except (NotYet, CannotBe) as refused:
            raise _refusal(refused) from None
        work.commit()
    return answer


@router.post(
    "/photos",
    status_code=HTTPStatus.CREATED,
    openapi_extra={
        "requestBody": {
            "required": True,
            "content": {kind: {"schema": _BYTES} for kind in (_JPEG, "image/png", "image/webp")},
        }
    },
    responses=_REFUSED | {422: {"model": Problem, "description": "Not a photo, or one too many."}},
)
async def add_photo(lead_id: str, request: Request, ports: Given) -> wire.Actuals:
    """Keep a photo of a job, of at most 2 MB. The same one again changes nothing."""
    data = await request.body()
    return await run_in_threadpool(_add_photo, ports, lead_id, data)


@router.get(
    "/photos/{photo_id}",
    response_class=Response,
    responses={
        200: {"content": {_JPEG: {}}},
        404: {"model": Problem, "description": "The job has no such photo."},
    },
)
def read_photo(lead_id: str, photo_id: PhotoId, ports: Given) -> Response:
    """A photo of a job."""
    with ports.read() as work:
        photo = recording.photo_of(work, lead_id, photo_id)
    if photo is None:
        raise NotFound("The job has no such photo.")
    return Response(photo.jpeg, media_type=_JPEG)


@router.delete("/photos/{photo_id}", responses=_REFUSED)
def drop_photo(lead_id: str, photo_id: PhotoId, ports: Given) -> wire.Actuals:
    """Throw a photo of a job away."""
    with ports.work() as work:
        recording.drop_photo(work, lead_id, photo_id)
        answer = _answer(work, ports, lead_id)
        work.commit()
    return answer


def _add_photo(ports: Ports, lead_id: str, data: bytes) -> wire.Actuals:
    # Starting the service loads no Pillow.
    from service.rendering.photos import NotAPhoto, reduced

    try:
        jpeg = reduced(data)
    except NotAPhoto as refused:
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(refused)) from None
    with ports.work() as work:
        try:
            recording.keep_photo(work, ports, lead_id, jpeg, who=OWNER, now=ports.clock())
        except (NotYet, CannotBe) as refused:
            raise _refusal(refused) from None
        answer = _answer(work, ports, lead_id)
        work.commit()
    return answer


def _refusal(refused: LeadError) -> Refusal:
    if isinstance(refused, CannotBe):
        errors = [FieldProblem(field=name, detail=text) for name, text in refused.faults.items()]
        return Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(refused), errors=errors)
    return Refusal(HTTPStatus.CONFLICT, str(refused))


def _entry(body: wire.ActualsRequest) -> Entry:
    return Entry(
        actuals=Actuals(
            hours=body.hours,
            drive_h=body.drive_h,
            driven_m=body.driven_m,
            used=body.used,
            used_by={(each.size_class, each.colour): each.count for each in body.used_by},
            burst=body.burst,
            extras=tuple(Extra(what=each.what.strip(), amount=each.amount) for each in body.extras),
            as_planned=body.as_planned,
        ),
        went_wrong=body.went_wrong.strip(),
        back=body.back,
    )


def _answer(work: UnitOfWork, ports: Ports, lead_id: str) -> wire.Actuals:
    try:
        job = recording.job_of(work, ports, lead_id, now=ports.clock())
    except NotYet as refused:
        raise _refusal(refused) from None
    finished = work.actuals.of(lead_id)
    told = finished.actuals if finished else Actuals()
    return wire.Actuals(
        lead_id=lead_id,
        number=job.lead.number,
        basis=job.quote.number,
        revision=finished.revision if finished else 0,
        told=_told(finished) if finished else None,
        done_on=finished.done_on if finished else None,
        changed_at=finished.changed_at if finished else None,
        who=finished.who if finished else None,
        photos=[each.id for each in work.actuals.photos(lead_id)],
        comparison=_comparison(recording.held_against(work, job, told)),
    )


def _told(finished: Finished) -> wire.Told:
    told = finished.actuals
    return wire.Told(
        hours=dict(told.hours),
        drive_h=told.drive_h,
        driven_m=told.driven_m,
        used=told.used,
        used_by=[
            wire.UsedBalloons(size_class=size, colour=name, count=count)
            for (size, name), count in told.used_by.items()
        ],
        burst=dict(told.burst),
        extras=[wire.Extra(what=each.what, amount=each.amount) for each in told.extras],
        went_wrong=finished.went_wrong,
        back=finished.back,
        as_planned=told.as_planned,
    )


def _comparison(found: Comparison) -> wire.Comparison:
    sums = (
        *("planned_cost", "real_cost", "low", "likely", "high", "overhead", "price"),
        *("planned_margin", "real_margin"),
    )
    return wire.Comparison(
        hours=[wire.Figure.model_validate(each) for each in found.hours],
        balloons=[wire.Figure.model_validate(each) for each in found.balloons],
        shared_out=found.shared_out,
        burst=[wire.Figure.model_validate(each) for each in found.burst],
        driven_m=wire.Figure.model_validate(found.driven),
        lines=[wire.CostLine.model_validate(each) for each in found.lines],
        place=found.place.value,
        currency=found.currency,
        **{name: getattr(found, name) for name in sums},
    )
