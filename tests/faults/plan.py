"""What happens when, and to whom: made from a seed alone, so that it can be had again."""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from tests.faults.kinds import KINDS, Kind

Channel = Literal["webchat", "telegram", "form", "api"]

# A process that dies again within 10 s of its start is started again later each time, on purpose.
_KILLED_AGAIN_S = 11.0

_AIM_S = (0.0, 0.12)

KILLS = ("kill", "wipe", "quit")


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One fault. `aim_s`: so long after its target's next request it strikes; None for at once."""

    number: int
    at_s: float
    kind: str
    target: str
    lasts_s: float
    aim_s: float | None

    def __str__(self) -> str:
        lasts = f" for {self.lasts_s:.2f} s" if self.lasts_s else ""
        aim = "" if self.aim_s is None else f", {1000 * self.aim_s:.0f} ms into its work"
        return f"{self.at_s:8.2f} s  {self.kind} {self.target}{lasts}{aim}"


@dataclass(frozen=True, kw_only=True)
class Client:
    """Somebody who asks: by which channel, when, for what, and how patient their connection is.

    `loses` are the numbers of those acts whose first answer is lost on the way to the client.
    """

    name: str
    channel: Channel
    at_s: float
    width_ft: int
    height_ft: int
    palette: tuple[str, ...]
    day: int
    wordy: bool
    loses: frozenset[int]


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Everything that a run does."""

    seed: int
    faults: tuple[Fault, ...]
    clients: tuple[Client, ...]

    @property
    def lasts_s(self) -> float:
        """Until the last client has come and the last fault has struck."""
        last = max((f.at_s + f.lasts_s for f in self.faults), default=0.0)
        return max(last, max((c.at_s for c in self.clients), default=0.0))

    @property
    def tally(self) -> Counter[str]:
        """How many faults of each kind there are."""
        return Counter(f"{fault.kind} {fault.target}" for fault in self.faults)


def make(
    seed: int,
    *,
    faults: int,
    chats: int,
    forms: int,
    every_s: float,
    allowed: frozenset[str],
    short: bool = False,
) -> Plan:
    """A plan. `allowed` are the needs of kinds that can be met here; a `short` run has one of
    each kind first, and none that would outlast it."""
    chances = random.Random(seed)
    kinds = [k for k in KINDS if k.needs is None or k.needs in allowed]
    if short:
        kinds = [k for k in kinds if not k.long_only]
    struck = _faults(chances, kinds, faults, every_s, each_first=short)
    until_s = faults * every_s
    return Plan(
        seed=seed, faults=tuple(struck), clients=tuple(_clients(chances, chats, forms, until_s))
    )


def _faults(
    chances: random.Random, kinds: list[Kind], count: int, every_s: float, *, each_first: bool
) -> Iterator[Fault]:
    first = chances.sample(kinds, len(kinds)) if each_first else []
    killed: dict[str, float] = {}
    for number in range(count):
        at_s = (number + chances.uniform(0.1, 0.9)) * every_s + 1.0
        free = [
            kind
            for kind in kinds
            if kind.name not in KILLS or at_s - killed.get(kind.target, -99.0) > _KILLED_AGAIN_S
        ]
        if each_first and number < len(first):
            kind = first[number]
        else:
            kind = chances.choices(free, [k.weight for k in free])[0]
        if kind.name in KILLS:
            killed[kind.target] = at_s
        yield Fault(
            number=number,
            at_s=at_s,
            kind=kind.name,
            target=kind.target,
            lasts_s=chances.uniform(*kind.lasts_s),
            aim_s=chances.uniform(*_AIM_S) if kind.aimed else None,
        )


_PALETTES = (
    ("sage", "cream", "gold"),
    ("navy", "white"),
    ("white", "gold"),
    ("navy", "white", "gold"),
)


def _clients(chances: random.Random, chats: int, forms: int, until_s: float) -> Iterator[Client]:
    for number in range(chats + forms):
        chatting = number < chats
        channel: Channel = "webchat" if number % 2 else "telegram"
        if not chatting:
            channel = "api" if number % 4 == 0 else "form"
        yield Client(
            name=f"{channel}-{number}",
            channel=channel,
            at_s=chances.uniform(0.0, until_s),
            width_ft=chances.randint(4, 6),
            height_ft=chances.randint(6, 7),
            palette=chances.choice(_PALETTES),
            day=chances.randint(6, 28),
            wordy=chances.random() < 0.1,
            loses=frozenset(n for n in range(6) if chances.random() < 0.1),
        )
