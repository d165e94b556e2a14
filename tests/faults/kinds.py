"""The kinds of faults: how often each comes, whom it strikes and how long it lasts."""

from dataclasses import dataclass

POSTGRES = "a PostgreSQL server"
MOUNTS = "the right to mount a file system"
NAMESPACES = "network namespaces"


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One way to go wrong. `weight` is its share among all; `lasts_s` from and to, in seconds.

    `aimed`: it strikes while its target works, moments after the target asked the service for
    something.
    """

    name: str
    target: str
    weight: float
    lasts_s: tuple[float, float] = (0.0, 0.0)
    aimed: bool = False
    needs: str | None = None
    #: Too slow to be over within a short run.
    long_only: bool = False


def _kill(target: str, weight: float, *, aimed: bool = True, needs: str | None = None) -> Kind:
    return Kind(name="kill", target=target, weight=weight, aimed=aimed, needs=needs)


def _stop(target: str, weight: float, to_s: float = 3.0) -> Kind:
    return Kind(name="stop", target=target, weight=weight, lasts_s=(0.2, to_s), aimed=True)


def _link(name: str, target: str, weight: float, to_s: float, needs: str | None = None) -> Kind:
    return Kind(name=name, target=target, weight=weight, lasts_s=(0.3, to_s), needs=needs)


def _bot_api(
    name: str, weight: float, target: str = "sendMessage", *, long_only: bool = False
) -> Kind:
    return Kind(name=name, target=target, weight=weight, long_only=long_only)


KINDS = (
    _kill("replies", 11),
    _kill("replies-2", 11),
    _kill("deliveries", 12),
    _kill("service", 12),
    _kill("bot", 12),
    _kill("upkeep", 10, aimed=False),  # the parent alone: its scheduler is a child
    _kill("scheduler", 11, aimed=False),
    _kill("chores", 6, aimed=False),
    _kill("everything", 0.7, aimed=False),
    _stop("replies", 3),
    _stop("replies-2", 3),
    _stop("deliveries", 3),
    _stop("service", 3, 2.0),
    _stop("bot", 3, 2.0),
    _stop("upkeep", 2),
    _stop("redis", 2, 2.0),
    # Past the lease: another has taken the step when the worker wakes up.
    Kind(name="long stop", target="replies", weight=1, lasts_s=(9.0, 12.0), aimed=True),
    Kind(name="long stop", target="deliveries", weight=1, lasts_s=(9.0, 12.0), aimed=True),
    _kill("redis", 5, aimed=False),
    Kind(name="wipe", target="redis", weight=5),
    _kill("postgres backend", 3, aimed=False, needs=POSTGRES),
    Kind(name="quit", target="postgres", weight=2, needs=POSTGRES),
    _kill("postgres", 2, aimed=False, needs=POSTGRES),
    Kind(name="fill", target="disk", weight=2, lasts_s=(0.5, 2.5), needs=MOUNTS),
    _link("delay", "bot", 2, 3.0),
    _link("delay", "replies", 2, 3.0),
    _link("delay", "deliveries", 1, 3.0),
    _link("cut", "bot", 2, 2.0),
    _link("cut", "replies", 2, 2.0),
    _link("cut", "replies-2", 2, 2.0),
    _link("cut", "deliveries", 2, 2.0),
    _link("hush", "bot", 1, 2.0),
    _link("hush", "replies", 1, 2.0),
    _link("hush", "deliveries", 1, 2.0),
    _link("delay", "bot api", 1, 3.0),
    _link("cut", "bot api", 1, 2.0),
    _link("stutter", "bot api", 1, 2.0),
    _link("cut", "postgres", 2, 1.5, POSTGRES),
    _link("hush", "postgres", 1, 1.5, POSTGRES),
    Kind(name="unplug", target="replies-2", weight=2, lasts_s=(0.5, 3.0), needs=NAMESPACES),
    _bot_api("429", 3),
    _bot_api("500", 3),
    _bot_api("repeat", 3, "update"),
    _bot_api("slow", 2),
    _bot_api("lose answer", 1, long_only=True),
    _bot_api("lose answer", 1, "sendPhoto"),
    _bot_api("hang", 1, long_only=True),
)
