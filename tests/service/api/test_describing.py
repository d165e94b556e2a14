"""The OpenAPI tells the truth; the wire takes what it says and nothing like it."""

from typing import Any

import pytest

from tests.service.api.conftest import CANONICAL, Service


def test_every_refusal_is_described_as_a_problem(service: Service) -> None:
    refusals = [
        answer
        for path, methods in service.app.openapi()["paths"].items()
        for operation in methods.values()
        for status, answer in operation["responses"].items()
        if path.startswith("/v1") and int(status) >= 400
    ]
    assert refusals
    assert {tuple(answer["content"]) for answer in refusals} == {("application/problem+json",)}


def test_who_needs_a_key_can_be_refused_and_who_needs_none_can_not(service: Service) -> None:
    paths = service.app.openapi()["paths"]
    assert {"401", "403", "404"} <= set(paths["/v1/leads/{lead_id}"]["get"]["responses"])
    assert {"401", "403"}.isdisjoint(paths["/v1/quotes/{token}"]["get"]["responses"])


def test_a_receipt_links_to_what_it_names(service: Service) -> None:
    paths = service.app.openapi()["paths"]
    link = paths["/v1/leads"]["post"]["responses"]["202"]["links"]["its standing"]
    assert link["operationId"] == paths["/v1/leads/{lead_id}"]["get"]["operationId"]
    assert link["parameters"] == {"lead_id": "$response.body#/lead_id"}


@pytest.mark.parametrize("path", ["/v1/shop", "/healthz", "/metrics"])
def test_another_method_hears_which_are_possible(service: Service, path: str) -> None:
    answer = service.client("owner").request("TRACE", path)
    assert (answer.status_code, answer.headers["allow"]) == (405, "GET")
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("client_keeps", 0),
        ("event", {"guests": True}),
        ("event", {"guests": "12"}),
        ("event", {"guests": 10**30}),
        ("event", {"date": 1_800_000_000}),
        ("event", {"date": "1800000000"}),
        ("event", {"start_time": 54_000}),
        ("event", {"start_time": "15:00Z"}),
        ("site", {"latitude": "42.4"}),
    ],
    ids=str,
)
def test_what_only_resembles_a_value_is_refused(service: Service, field: str, value: Any) -> None:
    answer = service.client("owner").post("/v1/estimates", json=CANONICAL | {field: value})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"].startswith(field)


def test_a_budget_may_be_a_number_alone_and_a_color_its_name(service: Service) -> None:
    body = CANONICAL | {"budget": 600, "palette": ["sage", {"colour": "cream", "share": 0.25}]}
    assert service.client("owner").post("/v1/estimates", json=body).status_code == 200
