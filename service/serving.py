"""The web server around the application, and how it stops without cutting anybody off."""

import asyncio
import logging
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn
from fastapi import FastAPI

from service.config import Settings

_log = logging.getLogger(__name__)

# What is under way may take this long, such as the documents of a month.
_GRACE_S = 20


def serve(app: FastAPI, settings: Settings) -> None:
    """Serve until SIGTERM or SIGINT; finish what is under way, or at a second one stop at once."""
    config = configured(app, settings)
    with asyncio.Runner(loop_factory=config.get_loop_factory()) as runner:
        runner.run(_until_signalled(_Server(config), app, settings.drain_s))


def configured(app: FastAPI, settings: Settings) -> uvicorn.Config:
    """How the web server is set up."""
    return uvicorn.Config(
        app,
        host=settings.service_host,
        port=settings.service_port,
        # Paths of pages hold signed links: they do not belong in a log.
        access_log=False,
        log_config=None,
        timeout_graceful_shutdown=_GRACE_S,
        # Anybody can write such headers; only a proxy that is named here is believed.
        proxy_headers=bool(settings.trusted_proxies),
        forwarded_allow_ips=settings.trusted_proxies,
    )


async def _until_signalled(server: uvicorn.Server, app: FastAPI, drain_s: float) -> None:
    loop = asyncio.get_running_loop()

    def close() -> None:
        app.state.assembly.watch.close()
        server.should_exit = True

    def stop(number: signal.Signals) -> None:
        if app.state.figures.draining:
            # All that was accepted stands in the ledger: nothing is lost by that.
            os._exit(128 + number)
        _log.info("stopping: what is under way is finished")
        app.state.figures.draining = True
        loop.call_later(drain_s, close)

    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, stop, number)
    _log.info("serving on %s, port %d", server.config.host, server.config.port)
    await server.serve()
    _log.info("stopped")


class _Server(uvicorn.Server):
    """Leaves signals alone: one place of the process decides when all of it stops."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield
