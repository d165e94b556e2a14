"""Whether the service is ready, what it counts, and what it logs of a request."""

import logging
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.leads.vitals import Database, QueueReading, Readings
from tests.service.api.conftest import Service

Post = Callable[..., dict[str, Any]]
WorkOff = Callable[[], list[dict[str, Any]]]

WELL = Readings(
    database=Database.WRITABLE,
    queues=(
        *(
            QueueReading(name=name, waiting=0, oldest_s=0.0, workers=1, heard_s=1.0)
            for name in ("replies", "upkeep", "chores")
        ),
        QueueReading(name="deliveries", waiting=0, oldest_s=0.0, workers=0, heard_s=None),
    ),
    swept_s=1.0,
    keys_kept=True,
    disk_free=10**10,
)
SILENT = QueueReading(name="replies", waiting=3, oldest_s=9.0, workers=1, heard_s=500.0)


class Fixed:
    """`Vitals` that found this."""

    schema = "0001"

    def __init__(self, readings: Readings) -> None:
        self._readings = readings

    def readings(self) -> Readings:
        return self._readings

    def swept(self) -> None:
        """Nothing to note."""


def _ready(service: Service, readings: Readings) -> tuple[int, dict[str, str]]:
    service.app.state.ports = replace(service.ports, vitals=Fixed(readings))
    answer = service.client().get("/readyz")
    return answer.status_code, answer.json()


def test_a_shop_in_which_all_is_well_is_ready(service: Service) -> None:
    status, said = _ready(service, WELL)
    assert (status, said["status"]) == (200, "ready")


@pytest.mark.parametrize(
    ("readings", "part", "word"),
    [
        (replace(WELL, queues=None), "queue", "down"),
        (replace(WELL, queues=(SILENT, *(WELL.queues or ()))), "workers", "none for replies"),
        (replace(WELL, swept_s=None), "sweep", "old"),
        (replace(WELL, swept_s=45.0), "sweep", "old"),
        (replace(WELL, keys_kept=False), "keys", "missing"),
        (replace(WELL, disk_free=10**8), "disk", "nearly full"),
    ],
)
def test_what_ails_it_is_named_and_work_is_still_taken(
    service: Service, readings: Readings, part: str, word: str
) -> None:
    status, said = _ready(service, readings)
    assert (status, said["status"], said[part]) == (200, "degraded", word)


@pytest.mark.parametrize("database", [Database.DOWN, Database.READ_ONLY, Database.BEHIND])
def test_without_a_database_that_keeps_what_comes_it_is_not_ready(
    service: Service, database: Database
) -> None:
    status, said = _ready(service, replace(WELL, database=database))
    assert (status, said["status"], said["database"]) == (503, "not ready", database.value)


def test_a_process_that_stops_asks_for_no_more(service: Service) -> None:
    service.app.state.figures.draining = True
    status, said = _ready(service, WELL)
    assert (status, said["status"]) == (503, "draining")


def _figures(service: Service) -> dict[tuple[str, tuple[tuple[str, str], ...]], float]:
    text = service.client("metrics").get("/metrics").text
    return {
        (sample.name, tuple(sorted(sample.labels.items()))): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_figures_are_for_the_key_that_is_made_for_them(service: Service) -> None:
    assert service.client().get("/metrics").status_code == 401
    assert service.client("website").get("/metrics").status_code == 403
    assert service.client("metrics").get("/v1/leads").status_code == 403


def test_requests_are_counted_by_their_route_and_nobodys_id(
    service: Service, post_lead: Post
) -> None:
    lead_id = post_lead()["lead_id"]
    before = Counter(_figures(service))  # of whatever else asked this application
    service.client("owner").get(f"/v1/leads/{lead_id}")
    service.client().get("/quotes/a-link-of-somebody")
    service.client().get("/no/such/place")
    counted = _figures(service)
    name = "garlandry_http_requests_total"
    for route, status in (
        ("/v1/leads/{lead_id}", "200"),
        ("/quotes/{token}", "404"),
        ("other", "404"),
    ):
        labels = (("method", "GET"), ("route", route), ("status", status))
        assert counted[name, labels] == before[name, labels] + 1
    took = "garlandry_http_request_seconds_count"
    of_route = took, (("route", "/v1/leads/{lead_id}"),)
    assert counted[of_route] == before[of_route] + 1
    assert not any(lead_id in str(key) or "somebody" in str(key) for key in counted)


def test_how_long_a_client_waited_is_counted_once_answered(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    post_lead()
    name, labels = "garlandry_answer_seconds_count", (("outcome", "price"),)
    before = _figures(service)[name, labels]
    assert _figures(service)["garlandry_steps", (("kind", "quote"), ("state", "owed"))] == 1
    work_off()
    assert _figures(service)[name, labels] == before + 1
    assert _figures(service)["garlandry_steps", (("kind", "quote"), ("state", "owed"))] == 0


def _of_requests(caplog: pytest.LogCaptureFixture) -> list[str]:
    return [record.getMessage() for record in caplog.records if record.name == "service.requests"]


def test_a_request_on_the_way_of_a_message_is_logged_without_its_address(
    service: Service, post_lead: Post, caplog: pytest.LogCaptureFixture
) -> None:
    lead_id = post_lead()["lead_id"]
    caplog.set_level(logging.INFO)
    owner = service.client("owner")
    owner.get(f"/v1/leads/{lead_id}")
    assert _of_requests(caplog) == []
    trace = f"00-{'a' * 32}-{'b' * 16}-01"
    owner.get(f"/v1/leads/{lead_id}", headers={"traceparent": trace})
    (line,) = _of_requests(caplog)
    assert line.startswith("GET /v1/leads/{lead_id}: 200 in ")


def test_every_fault_of_ours_is_logged_by_its_route(
    service: Service, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr("service.storage.leads.SqlLeads.get", broken)
    # No message set it off: there is no trace to follow.
    assert service.client("owner").get("/v1/leads/x").status_code == 500
    (line,) = _of_requests(caplog)
    assert line.startswith("GET /v1/leads/{lead_id}: 500 in ")
