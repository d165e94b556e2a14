"""How many estimates a second machines give, and what that takes of the processors."""

import asyncio
import json
import os
import time
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit

from deploy.machine import Machine
from deploy.questions import ORDINARY, Questions, demo_book

CONNECTIONS = 8
_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, kw_only=True)
class Rate:
    """Estimates a second, and processor seconds a second: of the services, and of whoever asks."""

    per_s: float
    services_cpu: float
    asking_cpu: float


async def rate(machines: Sequence[Machine], key: str, seconds: float, seed: int) -> Rate:
    """Ask all machines at once, each as much as it gives, with briefs none of them has seen."""
    asked = Questions(demo_book(), seed)
    bodies = [json.dumps(body).encode() for body in asked.bodies(int(3000 * seconds), ORDINARY)]
    shares = [bodies[number :: len(machines)] for number in range(len(machines))]
    services = [machine.children["service"].pid for machine in machines]
    cpu, own = _cpu(services), time.process_time()
    counts = await asyncio.gather(
        *(
            _keep_asking(machine.service, key, share[k::CONNECTIONS], seconds)
            for machine, share in zip(machines, shares, strict=True)
            for k in range(CONNECTIONS)
        )
    )
    return Rate(
        per_s=sum(counts) / seconds,
        services_cpu=(_cpu(services) - cpu) / seconds,
        asking_cpu=(time.process_time() - own) / seconds,
    )


async def _keep_asking(service: str, key: str, bodies: Sequence[bytes], seconds: float) -> int:
    where = urlsplit(service)
    reader, writer = await asyncio.open_connection(where.hostname, where.port)
    until, done = time.monotonic() + seconds, 0
    while time.monotonic() < until and done < len(bodies):
        body = bodies[done]
        writer.write(
            f"POST /v1/estimates HTTP/1.1\r\nHost: shop\r\nAuthorization: Bearer {key}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n".encode()
            + body
        )
        head = (await reader.readuntil(b"\r\n\r\n")).lower()
        await reader.readexactly(int(head.split(b"content-length: ")[1].split(b"\r\n")[0]))
        if not head.startswith(b"http/1.1 200"):
            raise AssertionError(f"answered {head.splitlines()[0]!r}")
        done += 1
    writer.close()
    return done


def _cpu(pids: Sequence[int | None]) -> float:
    """Processor seconds that these processes have taken until now."""
    spent = 0
    for pid in pids:
        with open(f"/proc/{pid}/stat") as file:
            fields = file.read().rpartition(")")[2].split()
        spent += int(fields[11]) + int(fields[12])
    return spent / _TICKS
