"""Figures for Prometheus of one bot process. No ids, no names."""

from collections.abc import Iterator, Sequence

from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    ProcessCollector,
    generate_latest,
)
from prometheus_client.core import CounterMetricFamily, Metric
from prometheus_client.registry import Collector

from service.contract.log_lines import tally

# Seconds.
_TURN_S = (0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
_LEVELS = ("WARNING", "ERROR", "CRITICAL")


class Figures:
    """What this process has done since it started, and what waits for it."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        ProcessCollector(registry=self._registry)
        self._registry.register(_Logged())
        self.updates = self._counter("updates", "Updates that were committed.", "channel")
        self.unanswered = self._counter(
            "updates_put_off", "Updates whose turn failed; they are taken up later.", "channel"
        )
        self.service_away = self._counter(
            "service_unavailable", "Times that the service did not answer.", "channel"
        )
        self.turn_s = Histogram(
            "garlandry_bot_turn_seconds",
            "From an update to its answer, the turns before it included.",
            ["channel"],
            buckets=_TURN_S,
            registry=self._registry,
        )
        self.replayed = self._counter(
            "updates_replayed", "Updates that were left open and answered later.", "channel"
        )
        self.telegram_up = Gauge(
            "garlandry_bot_telegram_up",
            "Whether Telegram was heard of lately; 1 where none is set up.",
            registry=self._registry,
        )
        self.service_up = Gauge(
            "garlandry_bot_service_up", "Whether the service answers.", registry=self._registry
        )

    def start(self, channels: Sequence[str]) -> None:
        """Show these channels from the start, so that none is not unknown."""
        for counted in (self.updates, self.unanswered, self.service_away, self.replayed):
            for channel in channels:
                counted.labels(channel)
        for channel in channels:
            self.turn_s.labels(channel)

    def text(self) -> bytes:
        """All of it, as Prometheus reads it."""
        return generate_latest(self._registry)

    def _counter(self, name: str, about: str, label: str) -> Counter:
        return Counter(f"garlandry_bot_{name}", about, [label], registry=self._registry)


class _Logged(Collector):
    def collect(self) -> Iterator[Metric]:
        """Log lines by level."""
        logged = CounterMetricFamily(
            "garlandry_log_records", "Log lines by level.", labels=["level"]
        )
        for level in _LEVELS:
            logged.add_metric([level.lower()], tally.counts[level])
        yield logged
