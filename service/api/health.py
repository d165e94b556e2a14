"""Is it alive, is it ready, and figures for monitoring."""

import os
from collections.abc import Iterator
from http import HTTPStatus

from fastapi import APIRouter, Response
from fastapi.responses import JSONResponse
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from service.api.dependencies import Given
from service.leads.ports import Ports

router = APIRouter(tags=["health"])


@router.get("/healthz")
async def alive() -> dict[str, str | int]:
    """The process answers, and says which one it is."""
    return {"status": "alive", "pid": os.getpid()}


@router.get("/readyz", responses={503: {"description": "The database does not answer."}})
def ready(ports: Given) -> JSONResponse:
    """Ready when the database answers. Without the queue, work is accepted and owed."""
    try:
        with ports.read() as work:
            work.leads.count_by_state()
    except Exception:
        return JSONResponse({"database": "down"}, status_code=HTTPStatus.SERVICE_UNAVAILABLE)
    return JSONResponse(
        {
            "database": "up",
            "queue": "up" if ports.queue.reachable() else "down",
            "price_book": "old" if ports.price_books.problem else "current",
        }
    )


@router.get("/metrics")
def metrics(ports: Given) -> Response:
    """Prometheus text: leads by state, owed and given-up steps. Nothing personal."""
    registry = CollectorRegistry()
    registry.register(_Figures(ports))
    return Response(generate_latest(registry), media_type=CONTENT_TYPE_LATEST)


class _Figures(Collector):
    """Counts read from the database at the moment of asking."""

    def __init__(self, ports: Ports) -> None:
        self._ports = ports

    def collect(self) -> Iterator[Metric]:
        """One gauge for leads, one for steps."""
        leads = GaugeMetricFamily("garlandry_leads", "Leads by state.", labels=["state"])
        steps = GaugeMetricFamily("garlandry_steps", "Steps not done, by state.", labels=["state"])
        with self._ports.read() as work:
            for state, count in work.leads.count_by_state().items():
                leads.add_metric([state], count)
            for step_state, count in work.outbox.count_open(self._ports.clock()).items():
                steps.add_metric([step_state], count)
        yield leads
        yield steps
