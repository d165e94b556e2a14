"""Run sheets, load lists and what is known of a place as JSON."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.service.api.conftest import Service

SUNDAY = "2027-06-06"
EMPTY = dict.fromkeys(("address", "parking", "access", "contact", "phone", "notes"), "")


@pytest.fixture
def lead_id(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> str:
    """A request whose date is held, set up from nine on."""
    lead_id: str = post_lead()["lead_id"]
    work_off()
    wish = {"starts_at": f"{SUNDAY}T09:00:00-04:00"}
    held = service.client("owner").post(f"/v1/leads/{lead_id}/hold", json=wish)
    assert held.status_code == 201
    return lead_id


def test_a_day_by_the_clock_in_the_shops_own_time(service: Service, lead_id: str) -> None:
    sheet = service.client("owner").get(f"/v1/days/{SUNDAY}").json()
    (stop,) = sheet["stops"]
    assert (sheet["day"], sheet["wrong"], stop["lead_id"]) == (SUNDAY, [], lead_id)
    assert (stop["booked"], stop["place"]["title"]) == (False, "hall, 02139")
    assert "parking" in stop["unknown"]
    by_kind = {step["kind"]: step for step in sheet["steps"]}
    assert by_kind["unload"]["starts_at"] == f"{SUNDAY}T09:00:00-04:00"
    assert by_kind["pictures"]["starts_at"] == by_kind["pictures"]["ends_at"]
    assert by_kind["drive"]["numbers"] == [stop["number"]]
    assert float(stop["due"]) > 0
    empty = service.client("owner").get("/v1/days/2027-06-09").json()
    assert (empty["steps"], empty["stops"]) == ([], [])
    assert service.client("owner").get("/v1/days/9999-12-31").status_code == 422


def test_a_load_list_is_there_once_a_date_is_kept(
    service: Service, lead_id: str, post_lead: Callable[..., dict[str, Any]]
) -> None:
    owner = service.client("owner")
    load = owner.get(f"/v1/leads/{lead_id}/load-list").json()
    assert load["place"] == "hall, 02139"
    assert [bag["text"] for each in load["loads"] for bag in each["bags"]] == [
        f"bag {n} of {load['bags']}" for n in range(1, load["bags"] + 1)
    ]
    titles = [group["title"] for group in load["things"]]
    assert titles[0] == "Frames, stands, covers"
    assert {"Tools", "Spares", "To be safe"} < set(titles)
    other = post_lead(chat_id="chat-2")["lead_id"]
    assert owner.get(f"/v1/leads/{other}/load-list").status_code == 404


def test_what_is_known_of_a_place_is_changed_by_who_has_seen_it(
    service: Service, lead_id: str
) -> None:
    owner, path = service.client("owner"), f"/v1/leads/{lead_id}/site-notes"
    before = owner.get(path).json()
    assert {name: before[name] for name in EMPTY} == EMPTY
    assert (before["who"], before["changed_at"]) == (None, None)
    change = EMPTY | {"parking": "in the yard", "seen": before["seen"]}
    after = owner.put(path, json=change).json()
    assert (after["parking"], after["who"]) == ("in the yard", "owner")
    assert owner.put(path, json=change).json() == after
    stale = owner.put(path, json=change | {"parking": "at the dock"})
    assert stale.status_code == 409
    assert owner.get(path).json() == after
    assert owner.put(path, json=change | {"phone": "0" * 41}).status_code == 422
    assert owner.put("/v1/leads/none/site-notes", json=change).status_code == 404
    sheet = owner.get(f"/v1/days/{SUNDAY}").json()
    assert sheet["stops"][0]["place"]["parking"] == "in the yard"
