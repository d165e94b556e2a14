"""A process in a network namespace of its own, on a cable that can be pulled out."""

import contextlib
import os
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Cable:
    """A pair of network interfaces. `inside` is what a command begins with to run at its end."""

    namespace: str
    outer: str
    outer_address: str

    @property
    def inside(self) -> list[str]:
        """Runs what follows in the namespace."""
        return ["ip", "netns", "exec", self.namespace]

    def pull(self) -> None:
        """Nothing arrives any more, at either end, and nobody is told."""
        _ip("link", "set", self.outer, "down")

    def plug(self) -> None:
        """As before."""
        _ip("link", "set", self.outer, "up")


@contextlib.contextmanager
def cable() -> Iterator[Cable | None]:
    """One for as long as it is needed; None where this user may not."""
    number = os.getpid() % 250
    made = Cable(
        namespace=f"garlandry-{os.getpid()}",
        outer=f"garl{os.getpid() % 100_000}o",
        outer_address=f"10.217.{number}.1",
    )
    inner = made.outer[:-1] + "i"
    try:
        _ip("netns", "add", made.namespace)
    except (OSError, subprocess.CalledProcessError):
        yield None
        return
    try:
        _ip("link", "add", made.outer, "type", "veth", "peer", inner, "netns", made.namespace)
        _ip("address", "add", f"{made.outer_address}/24", "dev", made.outer)
        made.plug()
        within = ("netns", "exec", made.namespace, "ip")
        _ip(*within, "address", "add", f"10.217.{number}.2/24", "dev", inner)
        _ip(*within, "link", "set", inner, "up")
        _ip(*within, "link", "set", "lo", "up")
        usable = True
    except subprocess.CalledProcessError:
        usable = False
    try:
        yield made if usable else None
    finally:
        subprocess.run(["ip", "netns", "del", made.namespace], check=False, capture_output=True)


def _ip(*words: str) -> None:
    subprocess.run(["ip", *words], check=True, capture_output=True)
