"""A small shop in process, lived through by its API and its clients' pages, its clock in hand."""

import asyncio
from contextlib import suppress
from datetime import timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import httpx
from fastapi import FastAPI

from service.app import create_app
from service.assembly import keys_of, prepare
from service.config import Settings
from service.storage.ids import fresh_id
from tests.service.building import PUBLIC_URL, build_shop

BRIEFS = {
    "frame": {"support": "round_top_frame", "width_m": 1.2192, "height_m": 2.1336},
    "wall": {"support": "wall", "length_m": 3.0},
    # Dear enough that the owner looks first.
    "hall": {"support": "wall", "length_m": 12.0, "count": 6},
}


@cache
def _served() -> tuple[FastAPI, dict[str, str]]:
    """Routes take longer to make than a life: they are made once."""
    with TemporaryDirectory() as folder:
        settings = Settings(
            data=Path(folder),
            # Nothing listens on the discard port.
            redis_url="redis://127.0.0.1:9/0",
            public_url=PUBLIC_URL,
        )
        prepare(settings)
        return create_app(settings), keys_of(settings).model_dump()


class Life:
    """One shop, from its opening on."""

    def __init__(self) -> None:
        self._folder = TemporaryDirectory()
        self.shop = build_shop(Path(self._folder.name))
        app, self._keys = _served()
        app.state.ports = app.state.site.state.ports = self.shop.ports
        app.state.places = self.shop.ports.places
        self._runner = asyncio.Runner()
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        self._client = httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL)

    def close(self) -> None:
        """Let go of it."""
        self._runner.run(self._client.aclose())
        self._runner.close()
        self.shop.engine.dispose()
        with suppress(OSError):
            self._folder.cleanup()

    def ask(
        self, method: str, path: str, body: Any = None, *, role: str = "", key: str = ""
    ) -> httpx.Response:
        """An answer, which is no fault of ours."""
        headers = {"Authorization": f"Bearer {self._keys[role]}"} if role else {}
        headers |= {"Idempotency-Key": f'"{key}"'} if key else {}
        answer = self._runner.run(self._client.request(method, path, json=body, headers=headers))
        assert answer.status_code < 500, f"{method} {path}: {answer.text}"
        return answer

    def owner(self, method: str, path: str, body: Any = None, *, key: str = "") -> httpx.Response:
        """What the owner's programs ask."""
        return self.ask(method, path, body, role="owner", key=key)

    def post(self, kind: str, day: str) -> tuple[str, httpx.Response]:
        """A request by a program of the owner's; its key, and the receipt."""
        key = fresh_id()
        return key, self.ask("POST", "/v1/leads", self.request(kind, day), role="owner", key=key)

    def request(self, kind: str, day: str) -> dict[str, Any]:
        """The body of a request."""
        return {
            "brief": {
                "pieces": [BRIEFS[kind]],
                "palette": ["sage", "cream", "gold"],
                "event": {"date": day, "start_time": "15:00"},
                "site": {"setting": "indoor", "place": "boathouse", "postal_code": "02472"},
            },
            "client": {"name": "Nora", "email": "nora@rowing.example"},
        }

    def work(self) -> None:
        """The worker comes by, does what is owed, and comes by again with its old lease."""
        self.ask("POST", "/v1/outbox/sweep", role="worker")
        with self.shop.ports.read() as work:
            owed = [s for s in work.outbox.due(self.shop.now, limit=50) if s.kind == "quote"]
        for step in owed:
            lease = self.ask("POST", f"/v1/steps/{step.id}/lease", role="worker")
            if lease.is_success:
                self._quote(lease.json())

    def _quote(self, lease: dict[str, Any]) -> None:
        lead = self.ask("GET", f"/v1/leads/{lease['subject_id']}", role="worker").json()
        estimate = self.ask("POST", "/v1/estimates", lead["brief"], role="worker").json()
        done = {"step_id": lease["step_id"], "fence": lease["fence"], "estimate": estimate}
        path = f"/v1/leads/{lead['lead_id']}/quotes"
        first = self.ask("POST", path, done, role="worker")
        again = self.ask("POST", path, done, role="worker")
        if first.is_success:
            # The answer that was lost may be asked for again; anything else is refused.
            assert again.status_code == 409 or again.json() == first.json(), "done twice"

    def wait(self, days: int, hours: int) -> None:
        """Time goes by."""
        self.shop.now += timedelta(days=days, hours=hours)
