"""How soon a client's yes is answered with a price, beside what the libraries take for nothing.

Every ratio is of figures taken in turn in one run, a few seconds each, round by round: RQ's own
forking worker with an empty job, a bare FastAPI endpoint, and the shop.
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
_WARM, _ROUNDS = 10, 5
# Whoever is not answered by then waits for something else than the kill: that is the bar.
_RECOVERED_S = 10.0
# A worker that was started again cannot have answered sooner: what is seen before was on its way.
_NO_SOONER_S = 0.3

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
    each, rate = max(2, options.messages // _ROUNDS), options.rate
    asks, chances = bodies((_ROUNDS + 1) * (each + _WARM)), iter(range(10**9))
    async with Bare.running(folder) as bare:
        await shop.ready(_ROUNDS * each + _WARM)
        kinds: dict[str, Ask] = {
            "RQ's forking worker, empty job": bare.forked_noop,
            "bare FastAPI POST": lambda n: bare.post(asks[n]),
            "request posted → reply visible": lambda _: shop.price(asks[next(chances)]),
            "yes in the chat → price visible": shop.confirm,
        }
        taken: dict[str, list[float]] = {name: [] for name in kinds}
        for ask in kinds.values():
            await at_rate(ask, rate=rate, count=_WARM)
        for _ in range(_ROUNDS):
            for name, ask in kinds.items():
                taken[name] += [one.ms for one in await at_rate(ask, rate=rate, count=each)]
    print(f"{_ROUNDS} times {each} messages at {rate:g}/s, SQLite, one replies worker:")
    for name, times in taken.items():
        print(told(name, times))
    fork, post, *ours = taken.values()
    both = [job + bare_post for job, bare_post in zip(fork, post, strict=True)]
    for name, times in zip(("request → reply", "chat → price"), ours, strict=True):
        ratios = [cut(times, p) / cut(both, p) for p in (50, 99)]
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
    usual = _usual(asked, killed)
    over = [(at, caught_up(asked, at, usual)) for at in killed]
    calm = [one.ms for one in asked if not any(k < one.seen and one.sent < r for k, r in over)]
    hit = [one.ms for one in asked if any(k < one.seen and one.sent < r for k, r in over)]
    print(
        f"{len(asked)} requests at {options.kills_rate:g}/s for {options.minutes:g} min, the one"
        f" replies worker killed {len(killed)} times; all answered"
    )
    print(told("outside a kill's recovery", calm))
    if hit:
        print(told(f"within one ({len(hit) / len(asked):.0%} of requests)", hit))
        longest = [max(o.ms for o in asked if k < o.seen and o.sent < r) for k, r in over]
        print(told("longest wait by kill", longest))


def _open(asked: Sequence[Asked], at: float) -> int:
    return sum(one.sent <= at < one.seen for one in asked)


def _usual(asked: Sequence[Asked], killed: Sequence[float]) -> int:
    """How many were unanswered at once before the first kill, at most times."""
    before = [one.sent for one in asked if one.sent < killed[0]]
    return sorted(_open(asked, at) for at in before)[len(before) * 95 // 100]


def caught_up(asked: Sequence[Asked], killed: float, usual: int) -> float:
    """When, after an answer of the new worker, no more than `usual` are unanswered at once.

    After 10 s in any case: a shop that is slower ever after is slow, and not recovering.
    """
    back = min((one.seen for one in asked if one.seen > killed + _NO_SOONER_S), default=killed)
    seen = sorted(one.seen for one in asked if one.seen >= back)
    over = next((at for at in seen if _open(asked, at) <= usual), killed + _RECOVERED_S)
    return min(over, killed + _RECOVERED_S)


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
