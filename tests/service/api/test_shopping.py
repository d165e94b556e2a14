"""Shopping lists and purchases as JSON."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from service.leads import booking
from tests.service.api.conftest import CANONICAL, Service

UNTIL = "2027-06-30"
RED = CANONICAL | {"palette": ["red"], "foils": ["5"]}


@pytest.fixture
def lead_id(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> str:
    """A booked job in red."""
    lead_id: str = post_lead(RED)["lead_id"]
    work_off()
    wish = {"starts_at": "2027-06-06T09:00:00-04:00"}
    assert service.client("owner").post(f"/v1/leads/{lead_id}/hold", json=wish).status_code == 201
    ports = service.ports
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        booking.book(work, ports, lead, paid=Decimal(100), who="owner", now=ports.clock())
        work.commit()
    return lead_id


def an_item(line: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """A line of the list as it is sent back, bought."""
    bag = {name: line[name] for name in ("supplier", "size_class", "colour", "pack_size")}
    return {"id": line["id"], "bag": bag, "packs": line["packs"]} | changes


def test_a_list_is_bought_line_by_line_and_then_changed(service: Service, lead_id: str) -> None:
    owner = service.client("owner")
    found = owner.get("/v1/shopping", params={"until": UNTIL}).json()
    (number,) = found["numbers"]
    assert found["proven"] is True
    assert found == owner.get(f"/v1/leads/{lead_id}/shopping-list").json()
    lines = [line for supplier in found["suppliers"] for line in supplier["lines"]]
    assert {job["number"] for line in lines for job in line["jobs"]} == {number}
    items = [an_item(line) for line in lines]
    foil = next(each for each in found["besides"] if each["item"] == "foil digit 5")
    thing = {"item": foil["item"], "unit_cost": foil["unit_cost"]}
    items.append({"id": foil["id"], "thing": thing, "packs": 1, "paid": "4.25"})
    for _ in range(2):
        left = owner.post("/v1/purchases", json={"until": UNTIL, "items": items}).json()
        assert left["suppliers"] == []
        assert not any(each["sort"] == "buy" for each in left["besides"])
    purchases = owner.get("/v1/purchases").json()
    assert len(purchases) == len(items)
    bought = next(each for each in purchases if each["item"] == "foil digit 5")
    assert (bought["cost"], bought["leads"]) == ("4.25", [lead_id])
    undo = {"packs": 0, "seen": 1}
    assert owner.put(f"/v1/purchases/{bought['id']}", json=undo).json()["undone_at"]
    assert owner.put(f"/v1/purchases/{bought['id']}", json=undo).status_code == 409


def test_what_cannot_have_been_bought_is_refused(service: Service, lead_id: str) -> None:
    owner = service.client("owner")
    found = owner.get(f"/v1/leads/{lead_id}/shopping-list").json()
    line = found["suppliers"][0]["lines"][0]
    scope = {"lead_id": lead_id}
    for item in (
        an_item(line, packs=0),
        an_item(line, paid="-1"),
        an_item(line, bag=None),
        an_item(line, thing={"item": "star", "unit_cost": "1.00"}),
        an_item(line, bag={**an_item(line)["bag"], "pack_size": 17}),
    ):
        assert owner.post("/v1/purchases", json=scope | {"items": [item]}).status_code == 422, item
    elsewhere = {"lead_id": "nobody", "items": [an_item(line)]}
    assert owner.post("/v1/purchases", json=elsewhere).status_code == 404
    assert owner.get("/v1/purchases").json() == []
    assert owner.get("/v1/leads/nobody/shopping-list").status_code == 404


def test_what_the_shelf_has_is_set_aside(service: Service, lead_id: str) -> None:
    owner = service.client("owner")
    counted = [{"size_class": size, "colour": "red", "count": 300} for size in (5, 10, 11, 18)]
    owner.post("/v1/stock", json={"why": "counted", "items": counted})
    found = owner.get(f"/v1/leads/{lead_id}/shopping-list").json()
    assert found["suppliers"] == []
    assert all(each["free"] for each in found["shelf"])
    left = owner.post("/v1/shopping/set-aside", json={"lead_id": lead_id}).json()
    assert not any(each["free"] for each in left["shelf"])
