"""Waiting for what other processes do."""

import time
from collections.abc import Callable
from pathlib import Path


def wait_for(condition: Callable[[], object], what: str, timeout_s: float = 15) -> None:
    """Raises AssertionError when it does not come true in time."""
    deadline = time.monotonic() + timeout_s
    while not condition():
        if time.monotonic() > deadline:
            raise AssertionError(f"waited {timeout_s:g} s until {what}")
        time.sleep(0.02)


def alive(pid: int) -> bool:
    """Whether the process runs; one that only waits to be noticed by its parent does not."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text()
    except FileNotFoundError:
        return False
    return stat.rpartition(")")[2].split()[0] != "Z"
