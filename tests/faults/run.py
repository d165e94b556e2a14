"""A whole run: the shop, its clients, the faults, and what was seen of it all."""

import asyncio
import contextlib
import json
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path

from tests.bot_api import BotApiServer
from tests.faults import kinds
from tests.faults.cables import Cable, cable
from tests.faults.disk import Disk, small_disk
from tests.faults.evidence import Evidence
from tests.faults.injecting import Injector
from tests.faults.plan import Plan
from tests.faults.posts import ApiClient, FormClient
from tests.faults.reading import leads_of, read_bot_api
from tests.faults.shop import Shop, free_port, open_shop
from tests.faults.telegram import TelegramClient
from tests.faults.web import WebClient

REFERENCE_DATE = "2027-01-10"

# A second copy of anything would come within so long.
_SECOND_COPY_S = 3.0
_LOOK_BACK_AT_ONCE = 4
_TELL_EVERY_S = 10

Actor = WebClient | TelegramClient | FormClient | ApiClient


@dataclass(frozen=True, kw_only=True)
class Ground:
    """What a run stands on: a folder of its own, and what may be done with it."""

    folder: Path
    disk: Disk | None
    cable: Cable | None
    postgres: bool
    webhook: bool = False

    @property
    def lacks(self) -> frozenset[str]:
        """The needs that are not met here."""
        return frozenset({kinds.POSTGRES, kinds.MOUNTS, kinds.NAMESPACES}) - self.allows

    @property
    def allows(self) -> frozenset[str]:
        """The needs that are met here."""
        have = {
            kinds.POSTGRES: self.postgres,
            kinds.MOUNTS: self.disk is not None,
            kinds.NAMESPACES: self.cable is not None,
        }
        return frozenset(need for need, met in have.items() if met)


async def run(
    plan: Plan,
    ground: Ground,
    *,
    patience_s: float,
    tell: Callable[[str], None],
    keep: Path | None = None,
) -> Evidence:
    """Carry a plan out. After its last fault nobody waits longer than `patience_s`."""
    data = ground.folder / "shop"
    data.mkdir(mode=0o700)
    began = time.monotonic()
    with BotApiServer() as api:
        async with open_shop(
            data,
            _settings(api.token, webhook=ground.webhook),
            bot_api=api.base_url,
            postgres=ground.folder / "postgres" if ground.postgres else None,
            cable=ground.cable,
        ) as shop:
            start_s = time.monotonic() - began
            tell(f"the shop runs at {shop.service}, logs in {shop.logs}")
            try:
                evidence = await _live(plan, shop, api, ground.disk, patience_s, tell)
            finally:
                if keep is not None:
                    shutil.copytree(shop.logs, keep, dirs_exist_ok=True)
                    (keep / "told.txt").write_text("\n".join(shop.told))
    evidence.start_s, evidence.first_start_s = start_s, shop.first_start_s
    if keep is not None:
        (keep / "evidence.json").write_text(json.dumps(asdict(evidence), default=sorted, indent=1))
    return evidence


def _settings(token: str, *, webhook: bool) -> dict[str, str]:
    always = {
        "PATH": os.environ["PATH"],
        "GARLANDRY_REFERENCE_DATE": REFERENCE_DATE,
        "GARLANDRY_TELEGRAM_TOKEN": token,
    }
    if not webhook:
        return always
    port = free_port()
    return always | {
        "GARLANDRY_TELEGRAM_WEBHOOK_URL": f"http://127.0.0.1:{port}/telegram",
        "GARLANDRY_TELEGRAM_WEBHOOK_SECRETS": "anchors-aweigh-since-1931",
        "GARLANDRY_TELEGRAM_WEBHOOK_PORT": str(port),
    }


async def _live(
    plan: Plan,
    shop: Shop,
    api: BotApiServer,
    disk: Disk | None,
    patience_s: float,
    tell: Callable[[str], None],
) -> Evidence:
    injector = Injector(shop, api, disk)
    actors = _actors(plan, shop, api)
    began = time.monotonic()
    clients = [
        asyncio.create_task(_at(began + client.at_s, actor.run))
        for client, actor in zip(plan.clients, actors, strict=True)
    ]
    progress = asyncio.create_task(_tell_progress(plan, injector, clients, began, tell))
    try:
        await asyncio.gather(
            *(_at(began + fault.at_s, partial(injector.strike, fault)) for fault in plan.faults)
        )
        left_s = max(0.0, began + plan.lasts_s - time.monotonic()) + patience_s
        if clients:
            await asyncio.wait(clients, timeout=left_s)
        await asyncio.sleep(_SECOND_COPY_S)
    finally:
        progress.cancel()
        for client in clients:
            client.cancel()
        ends = await asyncio.gather(*clients, return_exceptions=True)
    for actor, end in zip(actors, ends, strict=True):
        if isinstance(end, Exception):
            actor.story.odd.append(f"could not go on: {end!r}")
    return await _evidence(shop, api, actors, injector)


async def _evidence(
    shop: Shop, api: BotApiServer, actors: Sequence[Actor], injector: Injector
) -> Evidence:
    few = asyncio.Semaphore(_LOOK_BACK_AT_ONCE)

    async def look_back(actor: Actor) -> None:
        async with few:
            await actor.look_back()

    await asyncio.gather(*map(look_back, actors))
    evidence = Evidence(stories=[actor.story for actor in actors], cuts=injector.cuts)
    evidence.leads = await leads_of(shop)
    read_bot_api(api.calls, api.all_sent, evidence)
    return evidence


def _actors(plan: Plan, shop: Shop, api: BotApiServer) -> list[Actor]:
    made: list[Actor] = []
    for number, client in enumerate(plan.clients):
        if client.channel == "webchat":
            made.append(WebClient(client, number, shop.chat))
        elif client.channel == "telegram":
            made.append(TelegramClient(client, number, api, shop.service, shop.keys["bot"]))
        elif client.channel == "form":
            made.append(FormClient(client, number, shop.service))
        else:
            made.append(ApiClient(client, number, shop.service, shop.keys["owner"]))
    return made


async def _at(moment: float, act: Callable[[], Awaitable[None]]) -> None:
    await asyncio.sleep(max(0.0, moment - time.monotonic()))
    await act()


async def _tell_progress(
    plan: Plan,
    injector: Injector,
    clients: Sequence[asyncio.Task[None]],
    began: float,
    tell: Callable[[str], None],
) -> None:
    while True:
        await asyncio.sleep(_TELL_EVERY_S)
        served = sum(client.done() for client in clients)
        tell(
            f"{time.monotonic() - began:6.0f} s: {len(injector.cuts)} of {len(plan.faults)} faults,"
            f" {served} of {len(clients)} clients served"
        )


def print_line(line: str) -> None:
    """Tell a person."""
    print(line, flush=True, file=sys.stdout)


@contextlib.contextmanager
def ground(*, postgres: bool, webhook: bool = False) -> Iterator[Ground]:
    """A small disk and a cable, where this user may have them."""
    with small_disk() as disk, cable() as line, tempfile.TemporaryDirectory() as plain:
        folder = disk.folder if disk else Path(plain)
        yield Ground(folder=folder, disk=disk, cable=line, postgres=postgres, webhook=webhook)
