"""Figures for Prometheus: what this process did, and how the shop's work stands."""

import platform
from collections.abc import Iterator
from datetime import timedelta

from fastapi import APIRouter, Depends, Request, Response
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, generate_latest
from prometheus_client.core import (
    CounterMetricFamily,
    GaugeMetricFamily,
    InfoMetricFamily,
    Metric,
)
from prometheus_client.registry import Collector

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.watching import Figures
from service.contract.log_lines import tally
from service.leads.lead import LeadState
from service.leads.ports import Ports, UnitOfWork
from service.leads.steps import StepKind, StepState
from service.leads.vitals import Database, QueueReading

router = APIRouter(tags=["health"])

_SOON = timedelta(hours=24)
_LEVELS = ("WARNING", "ERROR", "CRITICAL")


@router.get(
    "/metrics",
    dependencies=[Depends(allow(Role.METRICS, Role.OWNER))],
    response_class=Response,
    responses={200: {"content": {"text/plain": {"schema": {"type": "string"}}}}},
)
def metrics(request: Request, ports: Given) -> Response:
    """Prometheus text. Nothing personal, yet how many book is nobody else's business."""
    figures: Figures = request.app.state.figures
    now = CollectorRegistry()
    now.register(_Process(figures, ports))
    readings = ports.vitals.readings()
    if readings.queues is not None:
        now.register(_Queues(readings.queues, readings.swept_s))
    if readings.database is not Database.DOWN:
        now.register(_Ledger(ports))
    text = generate_latest(figures.registry) + generate_latest(now)
    return Response(text, media_type=CONTENT_TYPE_LATEST)


class _Process(Collector):
    """This process, and what it stands on."""

    def __init__(self, figures: Figures, ports: Ports) -> None:
        self._figures, self._ports = figures, ports

    def collect(self) -> Iterator[Metric]:
        """One family for each thing."""
        readings = self._ports.vitals.readings()
        for name, about, value in (
            ("database_up", "Whether the database answers.", readings.database != Database.DOWN),
            (
                "database_writable",
                "Whether it can be written, and its tables are ours.",
                readings.database == Database.WRITABLE,
            ),
            (
                "redis_up",
                "Whether the queue's Redis answers, and takes what is written.",
                readings.queues is not None,
            ),
            ("keys_kept", "Whether the file with the keys is still there.", readings.keys_kept),
            (
                "price_book_problem",
                "Whether the newest price book cannot be read, so that an older one is used.",
                self._ports.price_books.problem is not None,
            ),
            ("draining", "Whether the process is about to stop.", self._figures.draining),
            ("data_free_bytes", "What is left for the data folder.", readings.disk_free),
        ):
            yield GaugeMetricFamily(f"garlandry_{name}", about, float(value))
        build = {"python": platform.python_version(), "schema": self._ports.vitals.schema}
        yield InfoMetricFamily("garlandry_build", "Which program this is.", build)
        logged = CounterMetricFamily(
            "garlandry_log_records", "Log lines by level.", labels=["level"]
        )
        for level in _LEVELS:
            logged.add_metric([level.lower()], tally.counts[level])
        yield logged


class _Queues(Collector):
    """What waits in Redis, and who works on it."""

    def __init__(self, queues: tuple[QueueReading, ...], swept_s: float | None) -> None:
        self._queues, self._swept_s = queues, swept_s

    def collect(self) -> Iterator[Metric]:
        """One family for each thing, by queue."""
        jobs = _by("queue", "queue_jobs", "Jobs that wait.")
        ages = _by("queue", "queue_age_seconds", "How long the first of them has waited.")
        workers = _by("queue", "workers", "Workers that listen.")
        heard = _by("queue", "worker_heard_seconds", "How long ago one of them was heard of.")
        for queue in self._queues:
            jobs.add_metric([queue.name], queue.waiting)
            ages.add_metric([queue.name], queue.oldest_s)
            workers.add_metric([queue.name], queue.workers)
            if queue.heard_s is not None:
                heard.add_metric([queue.name], queue.heard_s)
        yield from (jobs, ages, workers, heard)
        if self._swept_s is not None:
            yield GaugeMetricFamily(
                "garlandry_sweep_age_seconds", "Since owed steps were swept.", self._swept_s
            )


class _Ledger(Collector):
    """Counts read from the database at the moment of asking."""

    def __init__(self, ports: Ports) -> None:
        self._ports = ports

    def collect(self) -> Iterator[Metric]:
        """One family for each thing."""
        with self._ports.read() as work:
            yield _leads(work)
            yield from self._steps(work)
            yield from self._holds(work)

    def _steps(self, work: UnitOfWork) -> Iterator[Metric]:
        now = self._ports.clock()
        steps = GaugeMetricFamily(
            "garlandry_steps",
            "Steps that are due and not done: owed, or dead, which only the owner can help.",
            labels=["kind", "state"],
        )
        ages = _by("kind", "outbox_age_seconds", "How long the oldest owed step has been due.")
        owed = {(each.kind, each.state): each for each in work.outbox.ages(now)}
        for kind in StepKind:
            for state in (StepState.OWED, StepState.DEAD):
                found = owed.get((kind, state))
                steps.add_metric([kind, state], found.count if found else 0)
            late = owed.get((kind, StepState.OWED))
            ages.add_metric([kind], late.oldest_s if late else 0.0)
        unclear = _by("state", "unclear_steps", "Steps that may have reached a client unnoticed.")
        doubtful = work.outbox.unclear(now)
        unclear.add_metric(["owed"], doubtful.owed)
        unclear.add_metric(["given_up"], doubtful.given_up)
        unclear.add_metric(["settled"], doubtful.settled)
        yield from (steps, ages, unclear)
        yield GaugeMetricFamily(
            "garlandry_unclear_age_seconds", "Age of the oldest open doubt.", doubtful.oldest_s
        )

    def _holds(self, work: UnitOfWork) -> Iterator[Metric]:
        now = self._ports.clock()
        yield GaugeMetricFamily(
            "garlandry_holds",
            "Dates that are held without a deposit.",
            work.holds.count_ending(now),
        )
        yield GaugeMetricFamily(
            "garlandry_holds_ending",
            "Those of them that run out within a day.",
            work.holds.count_ending(now, now + _SOON),
        )


def _leads(work: UnitOfWork) -> Metric:
    leads = _by("state", "leads", "Leads by state.")
    counts = work.leads.count_by_state()
    for state in LeadState:
        leads.add_metric([state], counts.get(state, 0))
    return leads


def _by(label: str, name: str, about: str) -> GaugeMetricFamily:
    return GaugeMetricFamily(f"garlandry_{name}", about, labels=[label])
