"""A shop in which there is something of everything, so that what is made up hits what is there."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from tests.service.served import ANOTHER, OWN, Served, make


@dataclass(frozen=True)
class Full:
    """The application, and what a path's parameters may name."""

    served: Served
    names: Mapping[str, Sequence[str]]

    def headers(self, role: str) -> dict[str, str]:
        """By which a role's requests are known; nobody's have none."""
        if role == "nobody":
            return {}
        return {"Authorization": f"Bearer {self.served.keys[role]}"}

    def close(self) -> None:
        """Let go of the database."""
        self.served.close()


def full_shop(folder: Path) -> Full:
    """One client with a held date, one who has paid, one who waits; helpers, feeds, closed days."""
    folder.mkdir(parents=True, exist_ok=True)
    served = make(folder)
    _unlimited(served)
    names: defaultdict[str, list[str]] = defaultdict(list)
    for whose in (OWN, ANOTHER):
        for name, value in served.objects[whose].named.items():
            names[name].append(value)
        names["token"] += served.objects[whose].links.values()
    names["number"] += names.pop("quote_number")
    names["day"] = ["2027-01-24", "2027-01-31"]
    names["table"] = ["leads", "quotes", "nothing"]
    names["language"] = ["en", "es"]
    _filled(Full(served, {}), names)
    return Full(served, dict(names))


class _NoLimits:
    """`RateLimit`: whoever tries thousands of requests is not turned away for their number."""

    def wait(self, what: str, who: str, *, most: int, per: timedelta) -> timedelta:  # noqa: ARG002
        return timedelta(0)

    def is_used_up(self, what: str, who: str, *, most: int, per: timedelta) -> bool:  # noqa: ARG002
        return False


def _unlimited(served: Served) -> None:
    state = served.app.state
    state.ports = replace(state.ports, limits=_NoLimits())
    state.site.state.ports = state.ports


def _filled(shop: Full, names: defaultdict[str, list[str]]) -> None:
    """What only the owner's programs make."""
    owner = TestClient(shop.served.app, headers=shop.headers("owner"))

    def made(method: str, path: str, body: dict[str, Any] | None = None) -> Any:
        answer = owner.request(
            method, path, json=body, headers={"Idempotency-Key": f'"{method} {path}"'}
        )
        assert answer.is_success, answer.text
        return answer.json() if answer.content else None

    another = names["lead_id"][-1]
    made("POST", f"/v1/leads/{another}/decisions", {"action": "deposit"})
    paid = made("GET", f"/v1/leads/{another}/payments")["payments"]
    names["payment_id"] += [entry["id"] for entry in paid]
    names["feed_id"].append(made("POST", "/v1/feeds", {"role": "owner", "name": "jobs"})["id"])
    closed = made("POST", "/v1/closed-times", {"first": "2027-03-01", "last": "2027-03-02"})
    names["closed_id"].append(closed["id"])
    chore = {"chore_id": "chore-of-winter", "kind": "documents"}
    made("POST", "/v1/chores", chore | {"first": "2027-01-11", "last": "2027-02-11"})
    names["chore_id"].append("chore-of-winter")
    with shop.served.shop.ports.read() as work:
        names["part_id"] += [each.id for each in work.chores.parts("chore-of-winter")]
    names["key"] += [each["key"] for each in made("GET", "/v1/texts")[:4]]
    made("POST", f"/v1/leads/{another}/notes", {"text": "Ask for the key of the boathouse."})
