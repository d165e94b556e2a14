"""The OpenAPI as it is: what FastAPI knows of the routes, and what all routes have in common.

A route declares what is its own (409, 410, 429, 503 …). What follows from its shape is said here:
who has no key hears 401, a path of nothing 404, a body that is too large 413 …, each as RFC 9457
problem details. And what is made by one route and read by another is linked.
"""

from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from service.api.problems import MEDIA_TYPE
from service.contract.estimate import Problem

_Described = dict[str, Any]

_NO_KEY = {
    "401": "The API key is missing or not one of ours.",
    "403": "The key's role is not meant for this.",
}
_NOT_THERE = {"404": "There is nothing by that name."}
_BODY = {"413": "The body is larger than any honest one.", "422": "What to correct."}
_JSON_BODY = {"400": "The body is not valid JSON."}
_TO_CORRECT = {"422": "What to correct, field by field."}

_PROBLEM = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}

_METHODS = ("get", "post", "put", "delete")

# What an answer names → where that is read or gone on with, and as which parameter.
_LINKS: Mapping[tuple[str, str, str], Mapping[str, tuple[str, str, Mapping[str, str]]]] = {
    ("post", "/v1/leads", "202"): {
        "its standing": ("get", "/v1/leads/{lead_id}", {"lead_id": "$response.body#/lead_id"}),
        "its history": (
            "get",
            "/v1/leads/{lead_id}/history",
            {"lead_id": "$response.body#/lead_id"},
        ),
        "the client behind it": (
            "get",
            "/v1/clients/{lead_id}",
            {"lead_id": "$response.body#/lead_id"},
        ),
        "erasing the client": (
            "delete",
            "/v1/clients/{lead_id}",
            {"lead_id": "$response.body#/lead_id"},
        ),
    },
    ("post", "/v1/leads/{lead_id}/hold", "201"): {
        "the job": ("get", "/v1/jobs/{hold_id}", {"hold_id": "$response.body#/id"}),
        "letting go": (
            "post",
            "/v1/leads/{lead_id}/release",
            {"lead_id": "$request.path.lead_id"},
        ),
    },
    ("post", "/v1/people", "201"): {
        "inviting again": (
            "post",
            "/v1/people/{person_id}/invitations",
            {"person_id": "$response.body#/person/id"},
        ),
    },
    ("post", "/v1/closed-times", "201"): {
        "opening again": (
            "delete",
            "/v1/closed-times/{closed_id}",
            {"closed_id": "$response.body#/id"},
        ),
    },
    ("post", "/v1/feeds", "201"): {
        "revoking": ("post", "/v1/feeds/{feed_id}/revoke", {"feed_id": "$response.body#/id"}),
    },
    ("post", "/v1/chores", "202"): {
        "how far it is": ("get", "/v1/chores/{chore_id}", {"chore_id": "$response.body#/chore_id"}),
        "stopping": (
            "post",
            "/v1/chores/{chore_id}/stop",
            {"chore_id": "$response.body#/chore_id"},
        ),
    },
}


def install(app: FastAPI) -> None:
    """Have the application describe itself by `described`, once."""

    def openapi() -> _Described:
        if not app.openapi_schema:
            app.openapi_schema = described(app)
        return app.openapi_schema

    app.openapi = openapi  # type: ignore[method-assign]


def described(app: FastAPI) -> _Described:
    """The OpenAPI of all routes of the application."""
    whole: _Described = get_openapi(
        title=app.title,
        version=app.version,
        openapi_version=app.openapi_version,
        description=app.description,
        tags=app.openapi_tags,
        routes=app.routes,
        separate_input_output_schemas=app.separate_input_output_schemas,
    )
    schemas = whole["components"]["schemas"]
    problem = Problem.model_json_schema(ref_template="#/components/schemas/{model}")
    schemas.update(problem.pop("$defs", {}), Problem=problem)
    for unused in ("HTTPValidationError", "ValidationError"):
        schemas.pop(unused, None)
    for path, operations in whole["paths"].items():
        for method in set(operations) & set(_METHODS):
            _complete(path, operations[method])
    _link(whole["paths"])
    return whole


def _complete(path: str, operation: _Described) -> None:
    """Say of one operation what follows from its shape, and all refusals as problems."""
    answers: _Described = operation["responses"]
    parameters = operation.get("parameters", [])
    content = operation.get("requestBody", {}).get("content", {})
    common = _NO_KEY if "security" in operation else {}
    common = common | (_NOT_THERE if "{" in path else {})
    common = common | (_TO_CORRECT if parameters else {})
    common = common | (_BODY if content else {})
    common = common | (_JSON_BODY if "application/json" in content else {})
    for status, description in common.items():
        if status not in answers or "HTTPValidationError" in str(answers[status]):
            answers[status] = {"description": description, "content": _PROBLEM}
    for status, answer in answers.items():
        if int(status) >= 400 and Problem.__name__ in str(answer.get("content")):
            answer["content"] = _PROBLEM
    operation["responses"] = dict(sorted(answers.items()))


def _link(paths: _Described) -> None:
    for (method, path, status), links in _LINKS.items():
        paths[path][method]["responses"][status]["links"] = {
            name: {
                "operationId": paths[to_path][to_method]["operationId"],
                "parameters": dict(parameters),
            }
            for name, (to_method, to_path, parameters) in links.items()
        }
