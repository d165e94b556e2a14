"""A shop on two machines: one is cut off while clients write, and comes back later."""

import asyncio
import contextlib
import itertools
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from deploy.machine import Machine, Shared, free_ports
from tests.bot_api import BotApiServer
from tests.faults.links import Link
from tests.scale.clients import Clients
from tests.scale.load import Rate, rate
from tests.scale.network import Network, network
from tests.scale.servers import postgres, redis

CHATS = 6
_MESSAGE_EVERY_S, _FORM_EVERY_S = 0.8, 1.0
_SETTLES_WITHIN_S = 30.0
# A bar: so long after one machine is gone, the other has answered whoever waits.
GOES_ON_WITHIN_S = 10.0


@dataclass(frozen=True, kw_only=True)
class Times:
    """Seconds with both machines, with one cut off, with both again; of asking for estimates."""

    before: float
    without: float
    after: float
    load: float


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What an onlooker counts at the end."""

    messages: int
    forms: int
    lost: int
    doubled: int
    out_of_order: int
    longest_s: float
    longest_ordinary_s: float
    again: int
    rates: tuple[Rate, ...]

    @property
    def is_well(self) -> bool:
        """Whether nothing was lost or doubled, and nobody waited too long."""
        faults = self.lost, self.doubled, self.out_of_order
        return not any(faults) and self.longest_s < GOES_ON_WITHIN_S


def cut_off(times: Times) -> Seen | None:
    """Run it; None where no namespaces can be made."""
    with tempfile.TemporaryDirectory() as folder, network() as switch:
        if switch is None:
            return None
        return _with_servers(switch, Path(folder), times)


def _with_servers(switch: Network, folder: Path, times: Times) -> Seen:
    with (
        postgres(switch.host, folder) as database,
        redis(switch.host, folder) as queue,
        BotApiServer() as telegram,
    ):
        return asyncio.run(_run(switch, folder, times, database, queue, telegram))


async def _run(
    switch: Network,
    folder: Path,
    times: Times,
    database: str,
    queue: str,
    telegram: BotApiServer,
) -> Seen:
    port = int(telegram.base_url.rpartition(":")[2])
    way_out = Link(lambda: ("127.0.0.1", port), switch.host)
    shared = Shared(
        database=database,
        redis=queue,
        token=telegram.token,
        telegram_api=f"http://{switch.host}:{await way_out.open()}",
        settings={"GARLANDRY_REFERENCE_DATE": "2027-01-10"},
    )
    machines = [
        Machine(
            name,
            folder / name,
            shared,
            lambda _: None,
            host=plug.address,
            ports=free_ports(3),
            within=plug.within,
        )
        for name, plug in zip("ab", switch.plugs, strict=False)
    ]
    try:
        # Both at once: they migrate an empty database, and one of them does it.
        await asyncio.gather(*(machine.start() for machine in machines))
        rates = await _rates(machines, shared, times.load)
        return await _cut(switch, machines, shared, times, telegram, rates)
    finally:
        await asyncio.gather(*(machine.stop() for machine in machines))
        await way_out.close()


async def _rates(machines: list[Machine], shared: Shared, seconds: float) -> tuple[Rate, ...]:
    if not seconds:
        return ()
    key = shared.keys.worker
    return (
        await rate(machines[:1], key, seconds, seed=1),
        await rate(machines, key, seconds, seed=2),
    )


async def _cut(
    switch: Network,
    machines: list[Machine],
    shared: Shared,
    times: Times,
    telegram: BotApiServer,
    rates: tuple[Rate, ...],
) -> Seen:
    clients = Clients(machines, shared)
    until = time.monotonic() + times.before + times.without + times.after
    busy = [clients.chat(700 + n, until, _MESSAGE_EVERY_S) for n in range(CHATS)]
    writing = asyncio.gather(*busy, clients.forms(until, _FORM_EVERY_S))
    try:
        await asyncio.sleep(times.before)
        pulled = time.monotonic()
        switch.plugs[0].pull()
        await asyncio.sleep(times.without)
        switch.plugs[0].plug()
        await asyncio.wait_for(writing, times.after + _SETTLES_WITHIN_S)
        heard = await _settled(clients, telegram)
        return _seen(clients, heard, telegram, pulled, rates)
    finally:
        switch.plugs[0].plug()
        writing.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await writing
        await clients.aclose()


Heard = dict[int, tuple[list[str], list[str]]]


async def _settled(clients: Clients, telegram: BotApiServer) -> Heard:
    """What stands in each conversation, said and answered, once all of it has been sent."""
    deadline = time.monotonic() + _SETTLES_WITHIN_S
    while True:
        heard = {}
        for chat in clients.evidence.said:
            path = f"/v1/conversations/telegram/{chat}/messages"
            listed = await clients.ask("bot", path)
            by = {
                way: [m["text"] for m in listed if m["direction"] == way] for way in ("in", "out")
            }
            heard[chat] = by["in"], by["out"]
        if time.monotonic() > deadline or all(
            len(heard[chat][0]) >= len(said) for chat, said in clients.evidence.said.items()
        ):
            return heard
        await asyncio.sleep(0.5)


def _seen(
    clients: Clients, heard: Heard, telegram: BotApiServer, pulled: float, rates: tuple[Rate, ...]
) -> Seen:
    lost = doubled = out_of_order = 0
    for chat, said in clients.evidence.said.items():
        stored = heard[chat][0]
        counted = Counter(stored)
        lost += sum(1 for text in said if not counted[text])
        doubled += sum(max(0, number - 1) for number in counted.values())
        out_of_order += list(dict.fromkeys(stored)) != [t for t in said if counted[t]]
    leads = [lead for found in clients.evidence.forms.values() for lead in found]
    doubled += len(leads) - len(clients.evidence.forms)
    waits = clients.evidence.taken_s + clients.evidence.quoted_s
    return Seen(
        messages=sum(map(len, clients.evidence.said.values())),
        forms=len(clients.evidence.forms),
        lost=lost,
        doubled=doubled,
        out_of_order=out_of_order,
        longest_s=max((took for _, took in waits), default=0.0),
        longest_ordinary_s=max((took for at, took in waits if at + took < pulled), default=0.0),
        again=sum(_repeated(telegram, chat) for chat in heard),
        rates=rates,
    )


def _repeated(telegram: BotApiServer, chat: int) -> int:
    """Messages that reached Telegram, and whose sender could not know it and sent them again."""
    sent = [one.text for one in telegram.sent(chat)]
    return sum(1 for before, after in itertools.pairwise(sent) if before == after)


def told(seen: Seen) -> str:
    """The figures in words."""
    lines = [
        f"{seen.messages} messages in {CHATS} chats and {seen.forms} requests, to whichever of two"
        " machines answered, one of them cut off in the middle:",
        f"lost {seen.lost}, doubled {seen.doubled}, chats out of order {seen.out_of_order};"
        f" same text twice in a row at Telegram {seen.again}",
        f"longest from first try to taken or priced: {seen.longest_s:.1f} s"
        f" (before the cut {seen.longest_ordinary_s:.1f} s)",
    ]
    if seen.rates:
        one, two = seen.rates
        lines += [
            f"estimates a second: one machine {one.per_s:.0f}, two {two.per_s:.0f}"
            f" ({two.per_s / one.per_s:.2f} ×)",
            f"processors busy: with one {one.services_cpu:.2f} (service) + {one.asking_cpu:.2f}"
            f" (asking), with two {two.services_cpu:.2f} + {two.asking_cpu:.2f}",
        ]
    return "\n".join(lines)
