"""What no honest caller sends is refused before anything is parsed or any key is looked at."""

import time
from collections.abc import Iterator

from service.api.bodies import LARGEST_BODY
from tests.service.api.conftest import CANONICAL, Service


def test_a_body_over_the_limit_is_refused_whatever_the_key(service: Service) -> None:
    began = time.monotonic()
    answer = service.client().post("/v1/inbox", content=b"[" + b"1," * LARGEST_BODY)
    assert answer.status_code == 413
    assert answer.headers["content-type"] == "application/problem+json"
    assert "2048 kB" in answer.json()["detail"]
    assert time.monotonic() - began < 2


def test_a_stream_without_a_length_is_counted_as_it_comes(service: Service) -> None:
    def endless() -> Iterator[bytes]:
        for _ in range(LARGEST_BODY // 16_384 + 1):
            yield b" " * 16_384

    assert service.client("owner").post("/v1/estimates", content=endless()).status_code == 413


def test_a_body_within_the_limit_is_taken_whole(service: Service) -> None:
    brief = {**CANONICAL, "notes": "é" * 4000}
    assert service.client("website").post("/v1/estimates", json=brief).status_code == 200


def test_nul_characters_are_refused_where_they_come_in(service: Service) -> None:
    answer = service.client("website").post(
        "/v1/leads",
        json={"brief": {**CANONICAL, "palette": ["sa\x00ge"]}},
        headers={"Idempotency-Key": '"nul"'},
    )
    assert answer.status_code == 422
    assert "NUL" in answer.json()["detail"]
    assert service.client("owner").get("/v1/leads/a%00b").status_code == 404


def test_the_signs_that_stand_for_a_nul_may_be_typed(service: Service) -> None:
    update = {"channel": "telegram", "chat_id": "77", "kind": "text"}
    for number, typed in enumerate((r"\u0000", r"C:\\u0000", "\\" * 5000)):
        sent = update | {"update_id": f"u{number}", "text": typed}
        answer = service.client("bot").post("/v1/inbox", json=sent)
        assert answer.status_code == 200, typed[:20]
    behind_a_backslash = update | {"update_id": "u9", "text": "\\\x00"}
    assert service.client("bot").post("/v1/inbox", json=behind_a_backslash).status_code == 422


def test_a_body_of_nothing_but_faults_is_not_answered_fault_by_fault(service: Service) -> None:
    brief = {**CANONICAL, **{f"x{n}": n for n in range(500)}}
    answer = service.client("website").post("/v1/estimates", json=brief)
    assert answer.status_code == 422
    assert 1 <= len(answer.json()["errors"]) <= 20
    assert "spelled" in answer.json()["errors"][0]["detail"]


def test_every_method_on_every_v1_address_answers_with_a_problem(service: Service) -> None:
    for method in ("PATCH", "PUT", "DELETE", "OPTIONS"):
        for path, status in (("/v1", 404), ("/v1/nothing", 404), ("/v1/leads", 405)):
            answer = service.client("owner").request(method, path)
            assert answer.headers["content-type"] == "application/problem+json", (method, path)
            assert answer.status_code == status, (method, path)
