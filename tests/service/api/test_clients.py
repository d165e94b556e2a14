"""A client's own data over the API: what is kept, all of it as a file, and erasing it."""

import io
import zipfile
from collections.abc import Callable
from typing import Any

from tests.service.api.conftest import Service

NORA = {"name": "Nora Zyzzyva", "email": "nora@mail.example", "phone": "+16175550177"}


def test_a_client_can_be_read_packed_and_erased(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> None:
    receipt = post_lead(client=NORA)
    work_off()
    owner, path = service.client("owner"), f"/v1/clients/{receipt['lead_id']}"
    kept = owner.get(path).json()
    assert kept["requests"] == [receipt["number"]]
    assert (kept["quotes"], kept["payments"], kept["photos"]) == (1, 0, 0)
    assert [(each["what"], each["channel"]) for each in kept["consents"]] == [("notice", "webchat")]
    file = owner.get(f"{path}/file")
    assert file.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
        assert b"Zyzzyva" in archive.read("data.json")
    assert owner.delete(path).json() == {"requests": 1}
    assert "Zyzzyva" not in owner.get(f"/v1/leads/{receipt['lead_id']}").text
    assert owner.get(path).json()["messages"] == 0


def test_nobody_but_the_owner_gets_near_it(
    service: Service, post_lead: Callable[..., dict[str, Any]]
) -> None:
    path = f"/v1/clients/{post_lead(client=NORA)['lead_id']}"
    for role, status in (("bot", 403), ("worker", 403), ("website", 403), (None, 401)):
        stranger = service.client(role)
        for answer in (stranger.get(path), stranger.get(f"{path}/file"), stranger.delete(path)):
            assert answer.status_code == status
            assert "Zyzzyva" not in answer.text


def test_a_client_whom_nobody_knows(service: Service) -> None:
    assert service.client("owner").delete("/v1/clients/nobody").status_code == 404
