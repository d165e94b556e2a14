"""Photos are kept with their conversation and shown to nobody else."""

from typing import Any

import pytest

from tests.service.api.conftest import Service

JPEG = b"\xff\xd8\xff\xe0 a boathouse at dusk"
MINE = {"channel": "telegram", "chat_id": "77"}


def put(service: Service, photo_id: str = "p1", content: bytes = JPEG, **more: Any) -> int:
    asked = {"params": MINE, "headers": {"Content-Type": "image/jpeg"}} | more
    answer = service.client("bot").put(f"/v1/photos/{photo_id}", content=content, **asked)
    return answer.status_code


def test_a_photo_comes_back_to_its_own_conversation_only(service: Service) -> None:
    assert put(service) == 204
    assert put(service, content=JPEG + b" again") == 204
    bot = service.client("bot")
    answer = bot.get("/v1/photos/p1", params=MINE)
    assert answer.content == JPEG
    assert answer.headers["content-type"] == "image/jpeg"
    theirs = {"channel": "telegram", "chat_id": "78"}
    assert bot.get("/v1/photos/p1", params=theirs).status_code == 404
    assert bot.get("/v1/photos/p2", params=MINE).status_code == 404
    assert put(service, params=theirs) == 409


def test_only_a_jpeg_of_a_fair_size_is_kept(service: Service) -> None:
    assert put(service, headers={"Content-Type": "image/png"}) == 415
    assert put(service, content=b"<svg/>") == 415
    assert put(service, content=b"\xff\xd8\xff" + bytes(2 * 1024 * 1024)) == 413
    assert put(service, photo_id="a.b") == 422


@pytest.mark.parametrize("role", ["website", "worker", "owner", None])
def test_photos_are_between_bot_and_service(role: str | None, service: Service) -> None:
    assert put(service) == 204
    answer = service.client(role).get("/v1/photos/p1", params=MINE)
    assert answer.status_code in (401, 403)


def test_a_turn_brings_the_photo_into_the_conversation(service: Service) -> None:
    bot = service.client("bot")
    put(service)
    chat = "/v1/conversations/telegram/77"
    update = MINE | {"update_id": "1", "kind": "photo", "photo": "file-9", "text": "like this"}
    inbox_id = bot.post("/v1/inbox", json=update).json()["inbox_id"]
    (pending,) = bot.get(chat).json()["pending"]
    assert (pending["update"]["photo"], pending["update"]["text"]) == ("file-9", "like this")
    turn = {"inbox_id": inbox_id, "version": 0, "state": {}, "photo_id": "p2"}
    assert bot.post(f"{chat}/turns", json=turn).status_code == 404
    assert bot.post(f"{chat}/turns", json=turn | {"photo_id": "p1"}).json()["applied"] is True
    (heard,) = bot.get(f"{chat}/messages").json()
    assert (heard["text"], heard["photo_id"]) == ("like this", "p1")


def test_a_photo_without_words_is_heard_too(service: Service) -> None:
    bot = service.client("bot")
    put(service)
    chat = "/v1/conversations/telegram/77"
    update = MINE | {"update_id": "1", "kind": "photo", "photo": "file-9"}
    inbox_id = bot.post("/v1/inbox", json=update).json()["inbox_id"]
    turn = {"inbox_id": inbox_id, "version": 0, "state": {}, "photo_id": "p1"}
    bot.post(f"{chat}/turns", json=turn)
    (heard,) = bot.get(f"{chat}/messages").json()
    assert (heard["direction"], heard["text"], heard["photo_id"]) == ("in", "", "p1")
