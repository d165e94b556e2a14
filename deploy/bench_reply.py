"""How soon a client's yes is answered with a price, beside what the libraries take for nothing.

Every ratio is of figures taken side by side in one run: RQ's own forking worker with an empty
job, and a bare FastAPI endpoint, both asked at the same moments as the shop is.
"""

import argparse
import asyncio
import os
import signal
import statistics
import tempfile
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from deploy.bench_reply_asking import Shop, bodies
from deploy.bench_reply_bare import Bare, drained_noops
from deploy.stack import ANY_PORTS, Stack

RATE, MESSAGES, BURST, KILL_EVERY_S, KILLS_RATE = 20.0, 300, 5000, 30.0, 30.0
_WARM = 10

Part = Callable[[Shop, Path, argparse.Namespace], Awaitable[None]]
Ask = Callable[[int], Awaitable[object]]


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One message: when it was due to be sent, and when its answer was seen (perf_counter)."""

    sent: float
    seen: float

    @property
    def ms(self) -> float:
        return (self.seen - self.sent) * 1000


async def at_rate(ask: Ask, *, rate: float, count: int) -> list[Asked]:
    """Ask at fixed moments, whatever is still unanswered; times count from the moment due."""
    begun = time.perf_counter() + 0.1

    async def one(number: int) -> Asked:
        due = begun + number / rate
        await asyncio.sleep(due - time.perf_counter())
        await ask(number)
        return Asked(sent=due, seen=time.perf_counter())

    return list(await asyncio.gather(*(one(number) for number in range(count))))


def cut(taken: Sequence[float], percent: int) -> float:
    """A percentile."""
    if len(taken) < 2:
        return taken[0]
    return statistics.quantiles(taken, n=100, method="inclusive")[percent - 1]


def told(name: str, taken: Sequence[float]) -> str:
    return (
        f"    {name:<34} p50 {cut(taken, 50):7.1f} ms   p99 {cut(taken, 99):7.1f} ms"
        f"   longest {max(taken):7.1f} ms"
    )


async def replies(shop: Shop, folder: Path, options: argparse.Namespace) -> None:
    """Message → reply at a fixed rate, beside an empty forked job and a bare POST."""
    count, rate = options.messages, options.rate
    asks, chances = bodies(2 * (count + _WARM)), iter(range(10**9))
    async with Bare.running(folder) as bare:
        await shop.ready(count + _WARM)
        taken: dict[str, list[float]] = {}
        for name, ask in (
            ("RQ's forking worker, empty job", bare.forked_noop),
            ("bare FastAPI POST", lambda n: bare.post(asks[n])),
            ("request posted → reply visible", lambda _: shop.price(asks[next(chances)])),
            ("yes in the chat → price visible", shop.confirm),
        ):
            await at_rate(ask, rate=rate, count=_WARM)
            taken[name] = [each.ms for each in await at_rate(ask, rate=rate, count=count)]
    print(f"{count} messages at {rate:g}/s, SQLite, one replies worker:")
    for name, each in taken.items():
        print(told(name, each))
    fork, post, *ours = taken.values()
    for name, each in zip(("request → reply", "chat → price"), ours, strict=True):
        ratios = [cut(each, p) / (cut(fork, p) + cut(post, p)) for p in (50, 99)]
        print(f"    {name}: {ratios[0]:.2f} × (job + POST) at the median, {ratios[1]:.2f} × at p99")


async def burst(shop: Shop, folder: Path, options: argparse.Namespace) -> None:
    """So many requests owed at once, until the last has its price, beside as many empty jobs."""
    count = options.burst
    stopped = shop.pid("replies")
    os.kill(stopped, signal.SIGSTOP)
    try:
        await shop.owe(bodies(count))
    finally:
        begun = time.perf_counter()
        os.kill(stopped, signal.SIGCONT)
    await shop.drained()
    ours = count / (time.perf_counter() - begun)
    # The same kind of worker, and one of it, with the shop's processes beside it idle.
    noops = await asyncio.to_thread(drained_noops, folder, count)
    share = ours / noops
    print(f"burst of {count}: {ours:.1f} prices/s beside {noops:.1f} empty jobs/s: {share:.2f}")


async def kills(shop: Shop, _folder: Path, options: argparse.Namespace) -> None:
    """Requests at a fixed rate while the worker is killed again and again."""
    seconds = options.minutes * 60
    asks = bodies(int(seconds * options.kills_rate))
    killed: list[float] = []

    async def kill() -> None:
        while True:
            await asyncio.sleep(KILL_EVERY_S if seconds > KILL_EVERY_S else seconds / 3)
            killed.append(time.perf_counter())
            os.kill(shop.pid("replies"), signal.SIGKILL)

    killing = asyncio.create_task(kill())
    asked = await at_rate(lambda n: shop.price(asks[n]), rate=options.kills_rate, count=len(asks))
    killing.cancel()
    over = [(at, _caught_up(asked, at)) for at in killed]
    calm = [one.ms for one in asked if not any(k < one.seen and one.sent < r for k, r in over)]
    hit = [one.ms for one in asked if any(k < one.seen and one.sent < r for k, r in over)]
    print(
        f"{len(asked)} requests at {options.kills_rate:g}/s for {options.minutes:g} min, the one"
        f" replies worker killed {len(killed)} times; all answered"
    )
    print(told("outside a kill's recovery", calm))
    if hit:
        print(told(f"within one ({len(hit)} requests)", hit))
        longest = [max(o.ms for o in asked if k < o.seen and o.sent < r) for k, r in over]
        print(told("longest wait by kill", longest))


def _caught_up(asked: Sequence[Asked], killed: float) -> float:
    """When nothing that was sent before is unanswered any more: the kill is over."""
    over = killed + 0.5
    while late := max((one.seen for one in asked if one.sent <= over < one.seen), default=0.0):
        if late - over < 0.1:  # what is just being answered, as at any moment
            return late
        over = late
    return over


async def measure(options: argparse.Namespace) -> None:
    """Each part with a shop of its own."""
    for part in (replies, burst, kills):
        if part.__name__ in options.parts:
            with tempfile.TemporaryDirectory() as folder:
                await _with_shop(part, Path(folder), options)


async def _with_shop(part: Part, folder: Path, options: argparse.Namespace) -> None:
    settings = {"PATH": os.environ["PATH"], "GARLANDRY_REFERENCE_DATE": "2027-01-10"}
    data = folder / "data"
    data.mkdir()
    stack = Stack(data, settings, _quiet, ANY_PORTS)
    await stack.start()
    try:
        async with Shop.at(stack, data) as shop:
            await part(shop, folder, options)
    finally:
        await stack.stop()


def _quiet(_line: str) -> None:
    """Kills are meant."""


def main() -> None:
    """Read the command line and print what was measured."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--messages", type=int, default=MESSAGES)
    parser.add_argument("--rate", type=float, default=RATE, help="messages a second")
    parser.add_argument("--burst", type=int, default=BURST, help="requests owed at once")
    parser.add_argument("--minutes", type=float, default=1.0, help="of requests with kills")
    parser.add_argument("--kills-rate", type=float, default=KILLS_RATE)
    parser.add_argument("--parts", nargs="*", default=["replies", "burst", "kills"])
    asyncio.run(measure(parser.parse_args()))


if __name__ == "__main__":
    main()
