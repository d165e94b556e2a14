"""The whole service over an empty SQLite database, with a client for each role.

Redis is out of reach here on purpose: everything that is accepted must be owed in SQL all
the same, and the tests play the worker themselves.
"""

import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from service.app import attach, create_app
from service.assembly import Assembly, keys_of, prepare
from service.config import Settings
from service.leads.ports import Ports
from tests.service.building import empty_database

CANONICAL: dict[str, Any] = {
    "pieces": [{"support": "round_top_frame", "width_m": 1.2192, "height_m": 2.1336}],
    "palette": ["sage", "cream", "gold"],
    "event": {"date": "2027-06-06", "start_time": "15:00"},
    "site": {"setting": "indoor", "place": "hall", "postal_code": "02139"},
}

ROLES = ("bot", "worker", "website", "owner")


@dataclass
class Service:
    """A running service, seen from outside by role, and its ports from inside."""

    app: FastAPI
    keys: dict[str, str]

    @property
    def ports(self) -> Ports:
        ports: Ports = self.app.state.ports
        return ports

    def client(self, role: str | None = None) -> TestClient:
        """A client with that role's key; without a role, a stranger."""
        headers = {} if role is None else {"Authorization": f"Bearer {self.keys[role]}"}
        return TestClient(self.app, headers=headers, raise_server_exceptions=False)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return _settings(tmp_path)


def _settings(data: Path) -> Settings:
    return Settings(
        data=data,
        # Nothing listens on the discard port.
        redis_url="redis://127.0.0.1:9/0",
        reference_date=date(2027, 1, 10),
        public_url="https://garlands.example",
        website_origins="https://rowing.example",
    )


@pytest.fixture
def service(settings: Settings) -> Iterator[Service]:
    # Routes take longer to make than most tests run: they are made once, and served from the
    # test's own database, keys and clock.
    settings.data.joinpath("garlandry.sqlite3").write_bytes(empty_database())
    prepare(settings)
    app = _routes()
    attach(app, Assembly(settings))
    keys = keys_of(settings).model_dump()
    with TestClient(app):
        yield Service(app, keys)


@cache
def _routes() -> FastAPI:
    with TemporaryDirectory() as folder:
        settings = _settings(Path(folder))
        prepare(settings)
        return create_app(settings)


@pytest.fixture
def post_lead(service: Service) -> Callable[..., dict[str, Any]]:
    """Takes a lead through the API and returns its receipt."""

    def post(brief: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
        body = {"brief": brief or CANONICAL, "channel": "webchat", "chat_id": "chat-1", **more}
        response = service.client("bot").post(
            "/v1/leads", json=body, headers={"Idempotency-Key": f'"{uuid.uuid4()}"'}
        )
        assert response.status_code == 202, response.text
        receipt: dict[str, Any] = response.json()
        return receipt

    return post


@pytest.fixture
def work_off(service: Service) -> Callable[[], list[dict[str, Any]]]:
    """Plays the worker: takes every owed quoting step and answers it with the estimate."""

    def run() -> list[dict[str, Any]]:
        worker = service.client("worker")
        with service.ports.read() as work:
            owed = work.outbox.due(service.ports.clock(), limit=50)
        answers = []
        for step in owed:
            lease = worker.post(f"/v1/steps/{step.id}/lease").json()
            lead = worker.get(f"/v1/leads/{lease['subject_id']}").json()
            estimate = worker.post("/v1/estimates", json=lead["brief"]).json()
            outcome = {"step_id": step.id, "fence": lease["fence"], "estimate": estimate}
            response = worker.post(f"/v1/leads/{lead['lead_id']}/quotes", json=outcome)
            assert response.status_code == 200, response.text
            answers.append(worker.get(f"/v1/leads/{lead['lead_id']}").json())
        return answers

    return run
