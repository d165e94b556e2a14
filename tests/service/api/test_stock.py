"""Balloons on hand as JSON."""

from tests.service.api.conftest import Service

NAVY = {"size_class": 10, "colour": "navy"}


def test_the_first_count_comes_from_the_price_book(service: Service) -> None:
    answer = service.client("owner").get("/v1/stock").json()
    navy = NAVY | {"on_shelf": 12, "reserved": 0, "free": 12, "short": 0}
    assert navy in answer["on_hand"]
    assert (answer["reserved"], answer["to_buy"]) == ([], [])
    moves = service.client("owner").get("/v1/stock/moves").json()
    assert {move["who"] for move in moves} == {"price book"}
    assert answer["seen"] == moves[0]["id"]


def test_counting_buying_and_using_change_it(service: Service) -> None:
    owner = service.client("owner")
    counted = {
        "why": "counted",
        "items": [NAVY | {"count": 30}, NAVY | {"size_class": 5, "count": 8}],
    }
    for _ in range(2):
        answer = owner.post("/v1/stock", json=counted)
        assert answer.status_code == 200, answer.text
    seen = answer.json()["seen"]
    bought = {"why": "bought", "items": [NAVY | {"count": 100}], "seen": seen}
    assert owner.post("/v1/stock", json=bought).status_code == 200
    assert owner.post("/v1/stock", json=bought).status_code == 409
    seen = owner.get("/v1/stock").json()["seen"]
    used = {"why": "used", "items": [NAVY | {"count": 1}], "seen": seen}
    held = owner.post("/v1/stock", json=used).json()["on_hand"]
    assert NAVY | {"on_shelf": 129, "reserved": 0, "free": 129, "short": 0} in held
    assert service.ports.price_books.current().stock_of[10, "navy"] == 129
    moves = owner.get("/v1/stock/moves", params={"limit": 2}).json()
    assert [(move["why"], move["count"]) for move in moves] == [("used", -1), ("bought", 100)]
    older = owner.get("/v1/stock/moves", params={"before": moves[-1]["id"]}).json()
    assert older[0]["why"] == "counted"


def test_what_cannot_be_is_refused(service: Service) -> None:
    owner = service.client("owner")
    seen = owner.get("/v1/stock").json()["seen"]
    for change in (
        {"why": "counted", "items": [NAVY | {"colour": "plaid", "count": 1}]},
        {"why": "counted", "items": []},
        {"why": "used", "items": [NAVY | {"count": 13}], "seen": seen},
        {"why": "used", "items": [NAVY | {"count": 1}]},
        {"why": "bought", "items": [NAVY | {"count": 1}, NAVY | {"count": 2}], "seen": seen},
        {"why": "booked", "items": [NAVY | {"count": 1}]},
    ):
        assert owner.post("/v1/stock", json=change).status_code == 422, change
    assert owner.get("/v1/stock").json()["seen"] == seen
