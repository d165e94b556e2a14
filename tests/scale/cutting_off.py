"""A shop on two machines: one is cut off while clients write, and comes back later."""

import asyncio
import contextlib
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from deploy.machine import Machine, Shared, free_ports
from tests.bot_api import BotApiServer
from tests.faults.evidence import Cut, Posted
from tests.faults.links import Link
from tests.scale.clients import Clients, Evidence
from tests.scale.judging import Chat, Counted, Said, Stored, answered, judge
from tests.scale.load import Rate, rate
from tests.scale.network import Network, network
from tests.scale.servers import postgres, redis

CHATS = 6
_MESSAGE_EVERY_S, _FORM_EVERY_S = 0.8, 1.0
_SETTLES_WITHIN_S = 30.0
# A second copy of anything would come within so long.
_SECOND_COPY_S = 3.0
# A bar: where one machine is gone, whoever waits is answered by the other so much later at most.
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
    counted: Counted
    longest_s: float
    longest_ordinary_s: float
    rates: tuple[Rate, ...]

    @property
    def is_well(self) -> bool:
        """Whether nothing was lost or doubled, everybody was answered, and nobody waited long."""
        seen = self.counted
        faults = seen.lost, seen.unanswered, seen.doubled, seen.out_of_order, seen.again
        return not any(faults) and self.longer_s < GOES_ON_WITHIN_S

    @property
    def longer_s(self) -> float:
        """By how much the longest wait was longer than the longest before the cut."""
        return self.longest_s - self.longest_ordinary_s


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
    chats = range(700, 700 + CHATS)
    for chat in chats:
        telegram.meet(chat)
    until = time.monotonic() + times.before + times.without + times.after
    busy = [clients.chat(chat, until, _MESSAGE_EVERY_S) for chat in chats]
    writing = asyncio.gather(*busy, clients.forms(until, _FORM_EVERY_S))
    try:
        await asyncio.sleep(times.before)
        pulled = time.monotonic()
        switch.plugs[0].pull()
        await asyncio.sleep(times.without)
        switch.plugs[0].plug()
        cut = Cut(
            number=0, kind="unplug", target="deliveries", began=pulled, ended=time.monotonic()
        )
        await asyncio.wait_for(writing, times.after + _SETTLES_WITHIN_S)
        heard = await _settled(clients, telegram)
        counted = judge(heard, clients.evidence.forms, await clients.listed(), cut)
        return _seen(clients.evidence, counted, pulled, rates)
    finally:
        switch.plugs[0].plug()
        writing.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await writing
        await clients.aclose()


async def _settled(clients: Clients, telegram: BotApiServer) -> list[Chat]:
    """The conversations once all in them is answered, and a copy would have come."""
    deadline = time.monotonic() + _SETTLES_WITHIN_S
    while True:
        heard = [
            await _heard(clients, telegram, chat, said)
            for chat, said in clients.evidence.said.items()
        ]
        if all(len(list(answered(chat))) == len(chat.said) for chat in heard):
            break
        if time.monotonic() > deadline:
            return heard
        await asyncio.sleep(0.5)
    await asyncio.sleep(_SECOND_COPY_S)
    return [
        await _heard(clients, telegram, chat, said) for chat, said in clients.evidence.said.items()
    ]


async def _heard(clients: Clients, telegram: BotApiServer, chat: int, said: Sequence[Said]) -> Chat:
    listed = await clients.ask("bot", f"/v1/conversations/telegram/{chat}/messages")
    return Chat(
        said=said,
        stored=[Stored(text=m["text"], ours=m["direction"] == "out") for m in listed],
        posted=[
            Posted(chat_id=str(chat), text=one.text, at=one.at, answered=True)
            for one in telegram.sent(chat)
        ],
    )


def _seen(evidence: Evidence, counted: Counted, pulled: float, rates: tuple[Rate, ...]) -> Seen:
    waits = counted.waits + evidence.quoted_s
    return Seen(
        messages=sum(map(len, evidence.said.values())),
        forms=len(evidence.forms),
        counted=counted,
        longest_s=max((took for _, took in waits), default=0.0),
        longest_ordinary_s=max((took for at, took in waits if at + took < pulled), default=0.0),
        rates=rates,
    )


def told(seen: Seen) -> str:
    """The figures in words."""
    counted = seen.counted
    lines = [
        f"{seen.messages} messages in {CHATS} chats and {seen.forms} requests, to whichever of two"
        " machines answered, one of them cut off in the middle:",
        f"lost {counted.lost}, without an answer at Telegram {counted.unanswered}, doubled"
        f" {counted.doubled}, chats out of order {counted.out_of_order}; sent to Telegram again"
        f" {counted.again}, and {counted.excused} that the cut excuses",
        f"longest from first try to answered or priced: {seen.longest_s:.1f} s"
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
