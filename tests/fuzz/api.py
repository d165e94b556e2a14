"""Every route of the API, held against its own description, as each role and as nobody."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

import schemathesis
from schemathesis import Config
from schemathesis.engine import Status, events, from_schema
from schemathesis.engine.recorder import ScenarioRecorder
from schemathesis.schemas import BaseSchema

from tests.fuzz.shop import Full
from tests.fuzz.tally import Tally
from tests.service.access_table import ROUTES
from tests.service.placing import Caller, Outcome

CALLERS = {
    "bot": Caller.BOT,
    "worker": Caller.WORKER,
    "website": Caller.WEBSITE,
    "owner": Caller.OWNER_KEY,
    "nobody": Caller.STRANGER,
}
ROLES = tuple(CALLERS)

_CHECKS: Mapping[str, Any] = {
    # Rules between fields and with what the shop has (a hoop needs a width, a day that has not gone
    # by, a link whose time is not over, the newest version) can't be said in JSON Schema: 410, 412
    # and 422 are honest answers to what the schema allows.
    "positive_data_acceptance": {
        "expected-statuses": [
            *("2xx", "3xx", "401", "403", "404", "409"),
            *("410", "412", "422", "429"),
        ]
    },
    # Besides the usual: 428 is what RFC 6585 has for a missing If-Match.
    "missing_required_header": {
        "expected-statuses": ["400", "401", "403", "404", "406", "415", "422", "428"]
    },
}


@dataclass(frozen=True, kw_only=True)
class Extent:
    """How much is tried: examples of each route, the phases, and the routes of other roles too."""

    seed: int
    examples: int
    phases: tuple[str, ...] = ("examples", "coverage", "fuzzing", "stateful")
    foreign: bool = True


def held_against_its_description(shop: Full, role: str, extent: Extent) -> Tally:
    """All checks there are, on what fits the description and on what does not."""
    tally = Tally(f"api as {role}")
    own = (f"{method} {path}" for method, path in _own_routes(role) if path.startswith("/v1/"))
    tally.taken.update(dict.fromkeys(own, 0))
    config = Config.from_dict(_settings(shop, role, extent))
    schema: BaseSchema = schemathesis.openapi.from_asgi(
        "/openapi.json", shop.served.app, config=config
    )
    if not extent.foreign:
        schema = _own(schema, role)
    for event in from_schema(schema).execute():
        if isinstance(event, events.ScenarioFinished):
            tally.tried += len(event.recorder.cases)
            tally.taken.update(_taken(event.recorder))
            for what, example in _failures(event.recorder):
                tally.fail(what, example)
        elif isinstance(event, events.NonFatalError):
            tally.fail(f"{event.label}: {event.info.title}", event.value)
        elif isinstance(event, events.FatalError):
            raise event.exception
    return tally


def _own_routes(role: str) -> set[tuple[str, str]]:
    """Those that let the role in; a link's need no key, so they are nobody's."""
    return {
        route
        for route, place in ROUTES.items()
        if place.outcomes[CALLERS[role]] is Outcome.IN or (role == "nobody" and place.purpose)
    }


def _own(schema: BaseSchema, role: str) -> BaseSchema:
    mine = _own_routes(role)
    return schema.include(
        lambda context: (context.operation.method.upper(), context.operation.path) in mine
    )


def _taken(recorder: ScenarioRecorder) -> Iterator[str]:
    """The routes that did what they were asked for, once for each time."""
    for case_id, node in recorder.cases.items():
        answer = recorder.find_response(case_id=case_id)
        if answer is not None and answer.status_code < HTTPStatus.MULTIPLE_CHOICES:
            yield f"{node.value.operation.method.upper()} {node.value.operation.path}"


def _failures(recorder: ScenarioRecorder) -> Iterator[tuple[str, str]]:
    for case_id, checks in recorder.checks.items():
        for check in checks:
            if check.status is not Status.FAILURE or check.failure_info is None:
                continue
            info, answer = check.failure_info, recorder.find_response(case_id=case_id)
            said = answer.content[:300] if answer else b""
            what = f"{info.failure.operation}: {check.name}: {info.failure.title}"
            yield what, f"{info.failure.message}\n{info.code_sample}\n→ {said!r}"


def _settings(shop: Full, role: str, extent: Extent) -> dict[str, Any]:
    return {
        "seed": extent.seed,
        "headers": shop.headers(role),
        "continue-on-failure": True,
        # A poll of a chat waits for up to a minute when asked to.
        "request-timeout": 90,
        "suppress-health-check": ["all"],
        "warnings": False,
        "generation": {
            "max-examples": extent.examples,
            "deterministic": False,
            "no-shrink": True,
            "database": "none",
        },
        "phases": {
            phase: {"enabled": phase in extent.phases}
            for phase in ("examples", "coverage", "fuzzing", "stateful")
        },
        "checks": dict(_CHECKS),
        **_known_names(shop.names.items()),
    }


def _known_names(names: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """Two thirds of what a path names is there; the rest is made up."""
    dictionaries: dict[str, Any] = {}
    parameters: dict[str, Any] = {}
    for name, values in names:
        dictionaries[name] = {"values": list(values)}
        parameters[f"path.{name}"] = {"dictionary": name, "probability": 0.67}
    for name in ("channel", "chat_id", "lead_id"):
        parameters[f"query.{name}"] = {"dictionary": name, "probability": 0.67}
    for name in ("lead_id", "step_id"):
        parameters[f"body.{name}"] = {"dictionary": name, "probability": 0.67}
    dictionaries["wait_s"] = {"values": [0, 0.01]}
    parameters["query.wait_s"] = {"dictionary": "wait_s", "probability": 1.0}
    return {"dictionaries": dictionaries, "parameters": parameters}
