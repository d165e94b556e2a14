"""Nobody sets what is not theirs to set: states, prices, ids, revisions."""

from typing import Any

import pytest

from tests.service.api.conftest import CANONICAL, Service
from tests.service.building import build_shop
from tests.service.pages.conftest import browse
from tests.service.pages.reading import hidden_in
from tests.service.pages.test_form import ROWING_CLUB, leads_in, opened

NOT_THEIRS: dict[str, Any] = {
    "state": "booked", "price": "1", "id": "mine", "lead_id": "mine", "number": "G1",
    "revision": 7, "quote": {"likely": "1"}, "merged_into": "another", "created_at": "2020-01-01",
    "review_reasons": [], "deposit": "0", "role": "owner",
}  # fmt: skip


def _bodies(schema: dict[str, Any]) -> dict[str, Any]:
    """The schemas that some request's body leads to, by name."""
    known, found, left = schema["components"]["schemas"], {}, []
    for path in schema["paths"].values():
        left += [each["requestBody"] for each in path.values() if "requestBody" in each]
    while left:
        part = left.pop()
        if isinstance(part, dict):
            name = str(part.get("$ref", "")).rpartition("/")[2]
            if name and name not in found:
                found[name] = known[name]
                left.append(known[name])
            left += part.values()
        elif isinstance(part, list):
            left += part
    return found


def test_no_request_has_room_for_a_field_that_is_not_named(service: Service) -> None:
    objects = {
        name: each
        for name, each in _bodies(service.app.openapi()).items()
        if each.get("type") == "object"
    }
    assert len(objects) > 40
    open_ones = {n for n, each in objects.items() if each.get("additionalProperties") is not False}
    assert open_ones == set()


@pytest.mark.parametrize("field", sorted(NOT_THEIRS))
def test_a_request_cannot_say_what_becomes_of_it(service: Service, field: str) -> None:
    website = service.client("website")
    for body in (
        {"brief": CANONICAL, field: NOT_THEIRS[field]},
        {"brief": {**CANONICAL, field: NOT_THEIRS[field]}},
        {"brief": CANONICAL, "client": {field: NOT_THEIRS[field]}},
    ):
        answer = website.post("/v1/leads", json=body, headers={"Idempotency-Key": "k"})
        assert answer.status_code == 422, body
        assert field in answer.text
    with service.ports.read() as work:
        assert not work.outbox.due(service.ports.clock(), limit=5)


def test_by_the_websites_key_nothing_is_put_into_a_chat(service: Service) -> None:
    for channel in ("webchat", "telegram"):
        body = {"brief": CANONICAL, "channel": channel, "chat_id": "chat-1"}
        answer = service.client("website").post(
            "/v1/leads", json=body, headers={"Idempotency-Key": "k"}
        )
        assert answer.status_code == 403


def test_the_forms_of_clients_heed_their_own_fields_only(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    shop = build_shop(tmp_path_factory.mktemp("shop"))
    client = browse(shop)
    once = opened(shop, client)
    extra = {name: str(value) for name, value in NOT_THEIRS.items()}
    sent = client.post("/form", data={"once": once} | ROWING_CLUB | extra)
    assert sent.status_code == 303
    (lead,) = leads_in(shop)
    assert (lead.state, lead.revision, lead.merged_into) == ("new", 0, None)
    assert lead.id != "mine"
    shop.work_off()
    quoted = shop.lead(lead.id)
    with shop.ports.read() as work:
        before = work.quotes.latest(lead.id, sent=True)
    assert before is not None
    _, booking = shop.paths(quoted)
    page = client.get(booking)
    fields = {**hidden_in(page.text), "name": "Nora", "email": "nora@rowing.example", **extra}
    client.post(booking, data=fields)
    with shop.ports.read() as work:
        assert work.quotes.latest(lead.id, sent=True) == before
