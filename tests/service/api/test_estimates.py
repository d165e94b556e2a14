"""`POST /v1/estimates` over HTTP."""

from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest
from pydantic import BaseModel

from service.contract.bookings import HoldRequest
from service.contract.brief import Brief
from service.contract.estimate import Estimate
from service.contract.leads import Decision, LeadRequest
from service.estimating import named
from tests.service.api.conftest import CANONICAL, ROLES, Service


def test_a_brief_gets_materials_hours_and_an_ordered_range(service: Service) -> None:
    answer = service.client("worker").post("/v1/estimates", json=CANONICAL)
    assert answer.status_code == 200
    body = answer.json()
    # 2·(7 − 2) + π·2 ft = 16.283 ft
    assert body["pieces"][0]["path_length_m"] == pytest.approx(4.963, abs=0.001)
    price = body["price"]
    assert Decimal(price["low"]) < Decimal(price["likely"]) < Decimal(price["high"])
    assert body["shopping"]["proven_cheapest"] is True
    assert body["hours"]["install"] > 0
    assert any("CHOKING HAZARD" in caution["text"] for caution in body["cautions"])


def test_equal_briefs_get_equal_bytes(service: Service) -> None:
    client = service.client("worker")
    first = client.post("/v1/estimates", json=CANONICAL)
    assert client.post("/v1/estimates", json=deepcopy(CANONICAL)).content == first.content


def test_the_answer_is_the_documented_model_byte_for_byte(service: Service) -> None:
    for brief in (CANONICAL, *Brief.model_json_schema()["examples"]):
        answer = service.client("worker").post("/v1/estimates", json=brief)
        assert answer.headers["content-type"] == "application/json"
        assert (
            answer.content
            == Estimate.model_validate_json(answer.content).model_dump_json().encode()
        )


def test_what_else_could_be_had_comes_with_its_price(service: Service) -> None:
    client = service.client("worker")
    found = client.post("/v1/options", json=CANONICAL).json()
    assert [option["brief"]["pieces"][0]["fullness"] for option in found] == [
        "airy",
        "full",
        "lush",
    ]
    assert [option["fits"] for option in found] == [None] * 3
    for option in found:
        assert option["estimate"] is None
        alone = client.post("/v1/estimates", json=option["brief"]).json()
        assert (alone["price"], alone["balloons_total"]) == (
            option["price"],
            option["balloons_total"],
        )


def test_options_keep_to_a_budget_where_they_can(service: Service) -> None:
    likely = Decimal(
        service.client("website").post("/v1/estimates", json=CANONICAL).json()["price"]["likely"]
    )
    brief = {**CANONICAL, "budget": str(likely - 20)}
    found = service.client("worker").post("/v1/options?estimates=true", json=brief).json()
    assert found
    for option in found:
        assert option["fits"] is True
        assert option["changes"]
        assert Decimal(option["price"]["likely"]) <= likely - 20
        assert option["estimate"]["price"] == option["price"]


def test_one_call_tells_as_text_where_every_figure_comes_from(service: Service) -> None:
    client = service.client("worker")
    answer = client.post("/v1/estimates/explanation", json=CANONICAL)
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    told = " ".join(answer.text.split())
    # Long lines are broken; amounts lose the noughts behind their cents.
    for reason in client.post("/v1/estimates", json=CANONICAL).json()["explanation"]:
        assert named(reason["figure"]) in told
        assert f"[{reason['source']}]" in told


@pytest.mark.parametrize("path", ["/v1/estimates", "/v1/estimates/explanation", "/v1/options"])
def test_whoever_may_estimate_may_ask_for_its_kin_and_hears_of_faults_alike(
    service: Service, path: str
) -> None:
    for role in ROLES:
        # The website's key is public: it gets prices, and no reasons for them.
        hidden = role == "website" and path.endswith("explanation")
        expected = 403 if hidden else 200
        assert service.client(role).post(path, json=CANONICAL).status_code == expected
    assert service.client().post(path, json=CANONICAL).status_code == 401
    wrong = {**CANONICAL, "pieces": [{"support": "hoop"}]}
    answer = service.client("worker").post(path, json=wrong)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert [error["field"] for error in answer.json()["errors"]] == ["pieces[0].width_m"]


def test_the_answers_are_documented_each_in_its_own_type(service: Service) -> None:
    paths = service.client().get("/openapi.json").json()["paths"]

    def answered(path: str) -> Any:
        return paths[path]["post"]["responses"]["200"]["content"]

    estimate = answered("/v1/estimates")["application/json"]["schema"]
    assert estimate == {"$ref": "#/components/schemas/Estimate"}
    assert list(answered("/v1/estimates/explanation")) == ["text/plain"]
    assert answered("/v1/options")["application/json"]["schema"]["items"] == {
        "$ref": "#/components/schemas/Option"
    }


def _with(path: list[str | int], value: Any) -> dict[str, Any]:
    brief: Any = deepcopy(CANONICAL)
    spot = brief
    for part in path[:-1]:
        spot = spot[part]
    spot[path[-1]] = value
    return dict(brief)


@pytest.mark.parametrize(
    ("brief", "field"),
    [
        ({}, "pieces"),
        ({"pieces": []}, "pieces"),
        (_with(["pieces", 0, "width_m"], 274.32), "pieces[0].width_m"),
        (_with(["pieces", 0, "width_m"], None), "pieces[0].width_m"),
        (_with(["pieces", 0, "height_m"], -2), "pieces[0].height_m"),
        (_with(["pieces", 0, "support"], "trapeze"), "pieces[0].support"),
        (_with(["pieces", 0, "count"], 0), "pieces[0].count"),
        (_with(["pieces", 0, "wdith_m"], 1), "pieces[0].wdith_m"),
        (_with(["event", "date"], "June the sixth"), "event.date"),
        (_with(["palette"], [""]), "palette[0].colour"),
    ],
)
def test_bad_input_names_the_field_and_what_to_do(
    service: Service, brief: dict[str, Any], field: str
) -> None:
    answer = service.client("worker").post("/v1/estimates", json=brief)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert problem["status"] == 422
    assert field in [error["field"] for error in problem["errors"]]
    assert all(error["detail"] for error in problem["errors"])


def test_a_negative_budget_is_refused_by_name(service: Service) -> None:
    answer = service.client("worker").post("/v1/estimates", json={**CANONICAL, "budget": -5})
    assert answer.status_code == 422
    assert any("budget" in error["field"] for error in answer.json()["errors"])


def test_broken_json_is_said_to_be_so(service: Service) -> None:
    answer = service.client("worker").post(
        "/v1/estimates", content=b'{"pieces": [', headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 400
    assert "JSON" in answer.json()["title"]


@pytest.mark.parametrize("key", [None, "", "wrong", "ключ"])
def test_a_wrong_key_gets_401_and_is_told_how(service: Service, key: str | None) -> None:
    headers: dict[bytes, bytes] = (
        {} if key is None else {b"Authorization": f"Bearer {key}".encode()}
    )
    answer = service.client().post("/v1/estimates", json=CANONICAL, headers=headers)
    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == "Bearer"
    assert answer.json()["title"] == "Unauthorized"


def test_the_api_describes_itself_with_an_example(service: Service) -> None:
    document = service.client().get("/openapi.json").json()
    brief = document["components"]["schemas"]["Brief"]
    assert brief["examples"][0]["pieces"]
    assert "/v1/leads" in document["paths"]


def test_the_shops_card_says_how_to_call_or_write_to_it(service: Service) -> None:
    card = service.client("bot").get("/v1/shop").json()
    assert card["owner_name"] == "Ida Marsh"
    assert card["contact"] == "phone +1 617 555 0142 or hello@harborlane.example"
    assert card["contacts"] == {
        "en": "phone +1 617 555 0142 or hello@harborlane.example",
        "es": "teléfono +1 617 555 0142 o hello@harborlane.example",
    }


def test_spanish_answers_join_the_owners_name_by_its_sound(service: Service) -> None:
    answers = service.client("bot").get("/v1/shop").json()["answers"]
    assert "con tu fecha, e Ida Marsh te lo explica" in answers["cancelling"]["es"]


def test_every_example_of_the_api_is_one_that_it_takes(service: Service) -> None:
    schemas = service.client().get("/openapi.json").json()["components"]["schemas"]
    models: tuple[type[BaseModel], ...] = (Brief, LeadRequest, HoldRequest, Decision)
    for model in models:
        examples = schemas[model.__name__]["examples"]
        assert examples, model.__name__
        for example in examples:
            assert model.model_validate(example)
    for example in schemas["Brief"]["examples"]:
        assert service.client("website").post("/v1/estimates", json=example).status_code == 200


def test_the_websites_key_sees_the_price_and_not_what_the_shop_pays(service: Service) -> None:
    # The key stands in the source of a public page.
    public = service.client("website").post("/v1/estimates", json=CANONICAL).json()
    whole = service.client("worker").post("/v1/estimates", json=CANONICAL).json()
    assert public["price"] == whole["price"]
    assert public["pieces"] == whole["pieces"]
    assert whole["cost_lines"]
    assert whole["explanation"]
    hidden = ("cost_lines", "explanation", "drivers")
    assert [public[name] for name in hidden] == [[], [], []]
    lists = ("lines", "orders", "from_stock", "filled", "left_over")
    assert [public["shopping"][name] for name in lists] == [[]] * len(lists)
    costs = [public["shopping"][name] for name in ("cost", "used_cost", "leftover_value")]
    costs += [public["cost"][name] for name in ("low", "likely", "high")]
    costs += [each[name] for each in public["fittings"] for name in ("unit_cost", "cost")]
    assert {Decimal(cost) for cost in costs} == {Decimal(0)}
    assert any(Decimal(each["cost"]) for each in whole["fittings"])
    changed = {"shopping", "fittings", "cost", *hidden}
    assert {name: public[name] for name in public if name not in changed} == {
        name: whole[name] for name in whole if name not in changed
    }
    # Asked again, each is given its own view out of what is kept.
    for role, view in (("website", public), ("worker", whole)):
        assert service.client(role).post("/v1/estimates", json=CANONICAL).json() == view
    for path in ("/v1/estimates/explanation", "/v1/options?estimates=true"):
        assert service.client("website").post(path, json=CANONICAL).status_code == 403
    options = service.client("website").post("/v1/options", json=CANONICAL)
    assert options.status_code == 200
    assert [option["estimate"] for option in options.json()] == [None] * 3


def test_the_shops_card_has_what_the_chat_may_say(service: Service) -> None:
    card = service.client("bot").get("/v1/shop").json()
    assert card["locale"] == "en-US"
    assert card["aliases"]["off white"] == "cream"
    assert "star" in card["foil_shapes"]
    assert "35 miles" in card["answers"]["delivery"]["en"]
    assert "35 millas" in card["answers"]["delivery"]["es"]


def test_a_shared_location_is_looked_up_for_the_bot_only(service: Service) -> None:
    bot = service.client("bot")
    here = {"latitude": 42.3643, "longitude": -71.1022}
    place = bot.get("/v1/places/nearest", params=here).json()
    assert place == {"postal_code": "02139", "town": "Cambridge"}
    paris = {"latitude": 48.8584, "longitude": 2.2945}
    assert bot.get("/v1/places/nearest", params=paris).json() is None
    assert bot.get("/v1/places/nearest", params={"latitude": 91, "longitude": 0}).status_code == 422
    assert service.client("website").get("/v1/places/nearest", params=here).status_code == 403
