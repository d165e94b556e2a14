"""Is it alive, and is it ready."""

import os
from http import HTTPStatus

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from service.api.dependencies import Given
from service.leads.ports import Ports
from service.leads.vitals import Database, QueueReading, Readings

router = APIRouter(tags=["health"])

# Without a worker there, nobody is quoted, nothing is swept, no document is made. Deliveries have
# one only where a push channel is set up.
_ALWAYS_WORKED = ("replies", "upkeep", "chores")
# A worker is silent while a job runs, and no job runs longer.
_SILENT_S = 130.0
_SWEPT_S = 30.0
_DISK_LOW = 200 * 1024 * 1024


@router.get("/healthz")
async def alive() -> dict[str, str | int]:
    """The process answers, and says which one it is."""
    return {"status": "alive", "pid": os.getpid()}


@router.get("/readyz", responses={503: {"description": "Send requests elsewhere for now."}})
def ready(request: Request, ports: Given) -> JSONResponse:
    """Ready where requests can be taken and kept: `ready`, `degraded`, `not ready`, `draining`.

    Without queue or workers work is accepted and owed: that is degraded, and the parts say why.
    """
    parts = _parts(ports, ports.vitals.readings())
    status = _status(parts, draining=request.app.state.figures.draining)
    takes = status in ("ready", "degraded")
    return JSONResponse(
        {"status": status, **parts},
        status_code=HTTPStatus.OK if takes else HTTPStatus.SERVICE_UNAVAILABLE,
        headers={"Cache-Control": "no-store"},
    )


def _status(parts: dict[str, str], *, draining: bool) -> str:
    if draining:
        return "draining"
    if parts["database"] != Database.WRITABLE:
        return "not ready"
    return "ready" if parts == _ALL_WELL else "degraded"


def _parts(ports: Ports, readings: Readings) -> dict[str, str]:
    swept = readings.swept_s is not None and readings.swept_s < _SWEPT_S
    return {
        "database": readings.database.value,
        "queue": "down" if readings.queues is None else "up",
        "workers": _workers(readings.queues or ()),
        "sweep": "recent" if swept else "old",
        "price_book": "old" if ports.price_books.problem else "current",
        "keys": "kept" if readings.keys_kept else "missing",
        "disk": "enough" if readings.disk_free > _DISK_LOW else "nearly full",
    }


def _workers(queues: tuple[QueueReading, ...]) -> str:
    """Whether somebody works on each queue that needs it."""
    missing = [
        queue.name
        for queue in queues
        if (queue.name in _ALWAYS_WORKED or queue.waiting)
        and (queue.heard_s is None or queue.heard_s > _SILENT_S)
    ]
    if not queues:
        return "not seen"
    return f"none for {', '.join(missing)}" if missing else "seen"


_ALL_WELL = {
    "database": "up",
    "queue": "up",
    "workers": "seen",
    "sweep": "recent",
    "price_book": "current",
    "keys": "kept",
    "disk": "enough",
}
