"""Turns that are followed and counted: each update begins a trace."""

import logging
import time
from collections.abc import Callable, Mapping
from datetime import datetime

from bot.dialogue.messages import Incoming
from bot.dialogue.phrases import Phrasebook
from bot.gateway import Channel, Gateway, Received, ServiceUnavailable
from bot.metrics import Figures
from bot.turns.finding import PhotoSource
from bot.turns.turns import Turns
from service.contract import tracing

_log = logging.getLogger(__name__)


class WatchedTurns(Turns):
    """`Turns`, with a trace from the update on and figures of what came of it."""

    def __init__(
        self,
        gateway: Gateway,
        clock: Callable[[], datetime],
        phrasebook: Phrasebook,
        photos: Mapping[Channel, PhotoSource],
        figures: Figures,
    ) -> None:
        super().__init__(gateway, clock, phrasebook, photos)
        self._figures = figures

    async def receive(
        self, channel: Channel, chat_id: str, update_id: str, incoming: Incoming
    ) -> Received:
        # Whatever this context does next for the update is on the same way, its turn too.
        tracing.enter()
        try:
            received = await super().receive(channel, chat_id, update_id, incoming)
        except ServiceUnavailable:
            self._figures.service_away.labels(channel).inc()
            raise
        self._figures.updates.labels(channel).inc()
        _log.info("%s: update %d received", channel, received.inbox_id)
        return received

    async def take(
        self, channel: Channel, chat_id: str, received: Received, incoming: Incoming
    ) -> None:
        began = time.monotonic()
        try:
            await super().take(channel, chat_id, received, incoming)
        except ServiceUnavailable:
            self._figures.service_away.labels(channel).inc()
            self._figures.unanswered.labels(channel).inc()
            raise
        except Exception:
            self._figures.unanswered.labels(channel).inc()
            raise
        took = time.monotonic() - began
        self._figures.turn_s.labels(channel).observe(took)
        _log.info("%s: update %d answered in %.0f ms", channel, received.inbox_id, took * 1000)

    async def replay(self, channel: Channel, older_than_s: float) -> int:
        try:
            taken = await super().replay(channel, older_than_s)
        except ServiceUnavailable:
            self._figures.service_away.labels(channel).inc()
            raise
        self._figures.replayed.labels(channel).inc(taken)
        return taken
