"""Carries faults out, and writes down what came of each."""

import asyncio
import contextlib
import os
import shutil
import signal
import time
from collections.abc import AsyncIterator, Iterator
from typing import TypeVar

import httpx

from tests.bot_api import BotApiServer
from tests.faults.disk import Disk
from tests.faults.evidence import Cut
from tests.faults.plan import KILLS, Fault
from tests.faults.shop import ASKING, Shop

_T = TypeVar("_T")

_OWN = ("service", *ASKING)
_SIGNALS = (*KILLS, "stop", "long stop")
_BOT_API_FAULTS = ("429", "500", "repeat", "slow", "lose answer", "hang")
_LINK_FAULTS = ("delay", "cut", "hush", "stutter")
# A target that asks for nothing meanwhile is struck all the same.
_AIM_PATIENCE_S = 1.5
_SLOW_S = 3.0
# Longer than the sender waits for an answer.
_HANG_S = 40.0
_RETRY_AFTER_S = 2
# Without these nothing can be confirmed until they are there again.
_SERVING = ("service", "postgres", "everything")
_BACK_WITHIN_S, _LOOK_EVERY_S = 30.0, 0.1


class Injector:
    """Breaks a shop as faults say. `cuts` is what happened."""

    def __init__(self, shop: Shop, bot_api: BotApiServer, disk: Disk | None) -> None:
        self._shop = shop
        self._bot_api = bot_api
        self._disk = disk
        self.cuts: list[Cut] = []

    async def strike(self, fault: Fault) -> None:
        """Carry one fault out, from its aim to its end."""
        hit = await self._aim(fault)
        struck = self._is_there(fault)
        began = time.monotonic()
        async with self._during(fault):
            await asyncio.sleep(fault.lasts_s)
        ended = time.monotonic() if fault.lasts_s else began
        silenced = fault.kind in KILLS and fault.target in _SERVING
        self.cuts.append(
            Cut(
                number=fault.number,
                kind=fault.kind,
                target=fault.target,
                began=began,
                ended=ended,
                hit=hit,
                struck=struck,
                back=await self._back() if silenced else 0.0,
            )
        )

    async def _back(self) -> float:
        """When the service answers again, and its database with it."""
        deadline = time.monotonic() + _BACK_WITHIN_S
        async with httpx.AsyncClient(timeout=1, trust_env=False) as http:
            while time.monotonic() < deadline:
                await asyncio.sleep(_LOOK_EVERY_S)
                with contextlib.suppress(httpx.TransportError):
                    if (await http.get(f"{self._shop.service}/readyz")).is_success:
                        break
        return time.monotonic()

    def _is_there(self, fault: Fault) -> bool:
        """Whether there is something to strike: a process may be between two lives."""
        if fault.kind not in _SIGNALS or fault.target == "everything":
            return True
        return self._shop.pid(fault.target) is not None

    async def _aim(self, fault: Fault) -> bool:
        """Wait for the target's next request; whether there was one."""
        if fault.aim_s is None:
            return False
        # Service and Redis are at work whenever anybody asks for something.
        names = (fault.target,) if fault.target in ASKING else ASKING
        waits = [asyncio.create_task(self._shop.links[name].asked()) for name in names]
        done, open_ = await asyncio.wait(
            waits, timeout=_AIM_PATIENCE_S, return_when=asyncio.FIRST_COMPLETED
        )
        for wait in open_:
            wait.cancel()
        if done:
            await asyncio.sleep(fault.aim_s)
        return bool(done)

    @contextlib.asynccontextmanager
    async def _during(self, fault: Fault) -> AsyncIterator[None]:
        if fault.kind in ("stop", "long stop"):
            with self._stopped(fault.target):
                yield
        elif fault.kind in _LINK_FAULTS:
            async with self._shop.links[fault.target].faulty(fault.kind):
                yield
        elif fault.kind == "fill":
            with self._full():
                yield
        elif fault.kind == "unplug":
            with self._unplugged():
                yield
        else:
            self._at_once(fault)
            yield

    def _at_once(self, fault: Fault) -> None:
        if fault.kind in _BOT_API_FAULTS:
            self._trouble_at_bot_api(fault)
        elif fault.kind == "wipe":
            self._wipe_redis()
        elif fault.kind == "quit":
            self._signal(fault.target, signal.SIGQUIT)
        elif fault.target == "everything":
            for name in (*_OWN, "redis"):
                self._signal(name, signal.SIGKILL)
        else:
            self._signal(fault.target, signal.SIGKILL)

    def _signal(self, name: str, number: signal.Signals) -> int | None:
        """The process that got it; None where none runs just now."""
        pid = self._shop.pid(name)
        if pid is not None:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, number)
        return pid

    @contextlib.contextmanager
    def _stopped(self, name: str) -> Iterator[None]:
        pid = self._signal(name, signal.SIGSTOP)
        try:
            yield
        finally:
            if pid is not None:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGCONT)

    @contextlib.contextmanager
    def _full(self) -> Iterator[None]:
        disk = _there(self._disk)
        disk.fill()
        try:
            yield
        finally:
            disk.free()

    @contextlib.contextmanager
    def _unplugged(self) -> Iterator[None]:
        cable = _there(self._shop.cable)
        cable.pull()
        try:
            yield
        finally:
            cable.plug()

    def _wipe_redis(self) -> None:
        """Killed, and what it had stored is gone before it is started again."""
        self._signal("redis", signal.SIGSTOP)
        for folder in (self._shop.logs.parent / "redis").glob("appendonlydir*"):
            shutil.rmtree(folder, ignore_errors=True)
        self._signal("redis", signal.SIGKILL)

    def _trouble_at_bot_api(self, fault: Fault) -> None:
        api, method = self._bot_api, fault.target
        if fault.kind == "429":
            api.fail(method, 429, retry_after=_RETRY_AFTER_S)
        elif fault.kind == "500":
            api.fail(method, 500)
        elif fault.kind == "slow":
            api.stall(method, _SLOW_S)
        elif fault.kind == "hang":
            api.stall(method, _HANG_S)
        elif fault.kind == "lose answer":
            api.lose(method)
        elif (latest := api.latest_update) is not None:
            api.repeat(latest)


def _there(thing: _T | None) -> _T:
    """What the plan counts on."""
    if thing is None:
        raise ValueError("the plan asks for what is not to be had here")
    return thing
