"""Machines as network namespaces on one switch; each has a cable that can be pulled out."""

import contextlib
import os
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Plug:
    """A machine's end: what its commands begin with, its address, and its cable."""

    within: tuple[str, ...]
    address: str
    cable: str

    def pull(self) -> None:
        """Nothing arrives any more, either way, and nobody is told."""
        _ip("link", "set", self.cable, "down")

    def plug(self) -> None:
        """As before."""
        _ip("link", "set", self.cable, "up")


@dataclass(frozen=True, kw_only=True)
class Network:
    """The host's own address on the switch, and the machines."""

    host: str
    plugs: tuple[Plug, ...]


@contextlib.contextmanager
def network(machines: int = 2) -> Iterator[Network | None]:
    """A switch with machines on it; None where this user may make none."""
    number, switch = os.getpid() % 250, f"gs{os.getpid() % 1_000_000}"
    made = contextlib.ExitStack()
    with made:
        try:
            _ip("link", "add", switch, "type", "bridge")
            made.callback(_quietly, "link", "del", switch)
            _ip("address", "add", f"10.219.{number}.1/24", "dev", switch)
            _ip("link", "set", switch, "up")
            plugs = tuple(_plug(made, switch, number, each) for each in range(machines))
        except (OSError, subprocess.CalledProcessError):
            plugs = ()
        yield Network(host=f"10.219.{number}.1", plugs=plugs) if plugs else None


def _plug(made: contextlib.ExitStack, switch: str, number: int, machine: int) -> Plug:
    name, cable, inner = (f"{switch}{end}{machine}" for end in "nci")
    address = f"10.219.{number}.{machine + 11}"
    _ip("netns", "add", name)
    made.callback(_quietly, "netns", "del", name)
    _ip("link", "add", cable, "type", "veth", "peer", inner, "netns", name)
    _ip("link", "set", cable, "master", switch, "up")
    within = ("ip", "netns", "exec", name)
    for words in (
        ("address", "add", f"{address}/24", "dev", inner),
        ("link", "set", inner, "up"),
        ("link", "set", "lo", "up"),
    ):
        subprocess.run([*within, "ip", *words], check=True, capture_output=True)
    return Plug(within=within, address=address, cable=cable)


def _ip(*words: str) -> None:
    subprocess.run(["ip", *words], check=True, capture_output=True)


def _quietly(*words: str) -> None:
    subprocess.run(["ip", *words], check=False, capture_output=True)
