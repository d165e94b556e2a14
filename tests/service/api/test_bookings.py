"""The owner's calendar over the API: windows, holding, moving, releasing; closed times."""

from collections.abc import Callable
from typing import Any

from tests.service.api.conftest import CANONICAL, Service

Post = Callable[..., dict[str, Any]]
WorkOff = Callable[[], list[dict[str, Any]]]
SUNDAY = "2027-06-06"


def _times(windows: list[dict[str, str]]) -> list[str]:
    return [window["starts_at"][11:16] for window in windows]


def test_the_owner_sees_what_is_free_and_what_is_in_the_way(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    first, second = post_lead()["lead_id"], post_lead(chat_id="chat-2")["lead_id"]
    owner = service.client("owner")
    assert owner.get(f"/v1/leads/{first}/windows").status_code == 404
    work_off()
    free = owner.get(f"/v1/leads/{first}/windows").json()
    assert (free["day"], free["why_none"]) == (SUNDAY, [])
    for never in ("0001-01-01", "9999-12-31"):
        assert owner.get(f"/v1/leads/{first}/windows?day={never}").status_code == 422
    assert free["windows"][0]["starts_at"] == "2027-06-06T07:00:00-04:00"
    held = owner.post(f"/v1/leads/{first}/hold", json={"starts_at": f"{SUNDAY}T09:00:00-04:00"})
    assert held.status_code == 201
    again = owner.post(f"/v1/leads/{first}/hold", json={"starts_at": f"{SUNDAY}T09:00:00-04:00"})
    assert again.json() == held.json()
    # What the lead holds itself is free to it.
    assert "09:00" in _times(owner.get(f"/v1/leads/{first}/windows").json()["windows"])
    taken = owner.get(f"/v1/leads/{second}/windows").json()
    assert taken["windows"] == []
    assert "The round top frame 4 x 7 ft is out that day." in taken["why_none"]
    assert taken["next_free"][0]["starts_at"] == "2027-06-12T06:00:00-04:00"
    wish = {"starts_at": f"{SUNDAY}T13:00:00-04:00"}
    refused = owner.post(f"/v1/leads/{second}/hold", json=wish)
    assert refused.status_code == 409
    assert refused.json()["next_free"] == taken["next_free"]
    wish = {"starts_at": f"{SUNDAY}T12:30:00-04:00"}
    told = owner.post(f"/v1/leads/{second}/hold", json=wish).json()["detail"]
    assert "The round top frame 4 x 7 ft is out that day." in told


def test_a_date_is_moved_and_let_go_of(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    work_off()
    owner, path = service.client("owner"), f"/v1/leads/{lead_id}"
    assert owner.post(f"{path}/release", json={}).status_code == 404
    assert owner.post(f"{path}/move", json={"starts_at": f"{SUNDAY}T09:00:00Z"}).status_code == 404
    owner.post(f"{path}/hold", json={"starts_at": f"{SUNDAY}T09:00:00-04:00"})
    moved = owner.post(f"{path}/move", json={"starts_at": "2027-06-12T10:00:00-04:00"}).json()
    assert (moved["state"], moved["revision"]) == ("active", 1)
    stay = moved["stay"]
    order = ["leaves_at", "arrives_at", "ready_at", "strikes_at", "struck_at", "returns_at"]
    assert [stay[name] for name in order] == sorted(stay.values())
    assert stay["arrives_at"] == "2027-06-12T10:00:00-04:00"
    assert owner.get(path).json()["brief"]["event"]["date"] == "2027-06-12"
    over = owner.post(f"{path}/move", json={"starts_at": "2027-06-13T02:00:00-04:00"})
    assert over.status_code == 409
    gone = owner.post(f"{path}/release", json={"because": "the client rang"}).json()
    assert (gone["state"], gone["revision"]) == ("released", 2)
    assert owner.get(path).json()["state"] == "quoted"
    owner.post(f"{path}/hold", json={"starts_at": "2027-06-12T10:00:00-04:00"})
    owner.post(f"{path}/decisions", json={"action": "deposit"})
    assert owner.post(f"{path}/release", json={}).status_code == 409
    booked = owner.post(f"{path}/move", json={"starts_at": "2027-06-12T11:00:00-04:00"}).json()
    assert (booked["state"], booked["expires_at"], booked["revision"]) == ("booked", None, 5)


SOON, LATER = "2027-01-17", "2027-01-18"


def _booked_soon(service: Service, post_lead: Post, work_off: WorkOff, setting: str) -> str:
    """The path of a booked job a week ahead."""
    brief = CANONICAL | {
        "event": {"date": SOON, "start_time": "15:00"},
        "site": CANONICAL["site"] | {"setting": setting},
    }
    path = f"/v1/leads/{post_lead(brief)['lead_id']}"
    (lead,) = work_off()
    owner = service.client("owner")
    if lead["state"] == "review":
        firm = {"action": "send", "basis": lead["basis"]}
        assert owner.post(f"{path}/decisions", json=firm).status_code == 200
    held = owner.post(f"{path}/hold", json={"starts_at": f"{SOON}T09:00:00-05:00"})
    assert held.status_code == 201, held.json()
    assert owner.post(f"{path}/decisions", json={"action": "deposit"}).status_code == 200
    return path


def _told(service: Service) -> list[str]:
    with service.ports.read() as work:
        return [each.message.text for each in work.chats.messages("webchat", "chat-1")]


def test_a_late_move_costs_the_clients_fee_once_and_the_shops_own_wish_nothing(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    path, owner = _booked_soon(service, post_lead, work_off, "indoor"), service.client("owner")
    wish = {"starts_at": f"{LATER}T09:00:00-05:00"}
    for _ in range(2):
        assert owner.post(f"{path}/move", json=wish).status_code == 200
        assert owner.get(f"{path}/payments").json()["fees"] == "45.00"
    assert "$45 is added to the price" in _told(service)[-1]
    back = {"starts_at": f"{SOON}T09:00:00-05:00", "why": "shop"}
    assert owner.post(f"{path}/move", json=back).status_code == 200
    assert owner.get(f"{path}/payments").json()["fees"] == "45.00"


def test_the_fee_is_waived_with_a_reason_and_the_weather_is_no_reason_indoors(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    path, owner = _booked_soon(service, post_lead, work_off, "indoor"), service.client("owner")
    wish = {"starts_at": f"{LATER}T09:00:00-05:00"}
    for unreasoned in ({"waive_fee": True}, {"why": "weather"}, {"why": "shop!"}):
        assert owner.post(f"{path}/move", json=wish | unreasoned).status_code == 422
    indoors = owner.post(f"{path}/move", json=wish | {"why": "weather", "reason": "gusts"})
    assert (indoors.status_code, indoors.json()["errors"][0]["field"]) == (422, "why")
    waived = wish | {"waive_fee": True, "reason": "their hall flooded"}
    assert owner.post(f"{path}/move", json=waived).status_code == 200
    assert owner.get(f"{path}/payments").json()["fees"] == "0"


def test_for_the_weather_a_client_reads_the_clause_and_pays_no_fee(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    path, owner = _booked_soon(service, post_lead, work_off, "outdoor"), service.client("owner")
    wish = {"starts_at": f"{LATER}T09:00:00-05:00", "why": "weather", "reason": "gusts of 30 mph"}
    assert owner.post(f"{path}/move", json=wish).status_code == 200
    assert owner.get(f"{path}/payments").json()["fees"] == "0"
    clause = service.ports.price_books.current().booking.weather["en"]
    assert clause.strip() in _told(service)[-1]


def test_days_are_closed_and_opened_again(
    service: Service, post_lead: Post, work_off: WorkOff
) -> None:
    lead_id = post_lead()["lead_id"]
    (lead,) = work_off()
    owner, path = service.client("owner"), f"/v1/leads/{lead_id}"
    owner.post(f"{path}/hold", json={"starts_at": f"{SUNDAY}T09:00:00-04:00"})
    wish = {"first": SUNDAY, "last": "2027-06-07", "note": "away"}
    closed = owner.post("/v1/closed-times", json=wish)
    assert closed.status_code == 201
    assert closed.json()["kept"] == [lead["number"]]
    assert owner.post("/v1/closed-times", json=wish).json() == closed.json()
    assert owner.get("/v1/closed-times").json() == [closed.json()]
    assert owner.get("/v1/closed-times?since=2027-06-08").json() == []
    free = owner.get(f"{path}/windows").json()
    assert free["windows"] == []
    assert free["why_none"] == ["That day is among your days off."]
    wrong = owner.post("/v1/closed-times", json={"first": SUNDAY, "last": "2027-06-05"})
    assert wrong.status_code == 422
    assert wrong.json()["errors"][0]["field"] == "last"
    address = f"/v1/closed-times/{closed.json()['id']}"
    assert owner.delete(address).status_code == 204
    assert owner.delete(address).status_code == 404
    assert owner.get(f"{path}/windows").json()["windows"]
