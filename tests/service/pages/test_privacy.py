"""What the owner can do with a client's data, and what clients are told of it."""

import io
import zipfile

import pytest
from starlette.testclient import TestClient

from service.leads.lead import Client
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import hidden_in, text_of

NORA = Client(name="Nora Ålund", email="nora@mail.example")


def test_a_clients_data_can_be_had_as_a_file_and_erased(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(), client=NORA)
    path = f"/desk/privacy/{lead.id}"
    page = owner.get(path)
    assert "Nora Ålund" in text_of(page.text)
    file = owner.get(f"{path}/file")
    assert file.headers["content-disposition"] == f'attachment; filename="client-{lead.number}.zip"'
    with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
        assert b"nora@mail.example" in archive.read("data.json")
    unsure = owner.post(f"{path}/erase", data=hidden_in(page.text))
    assert unsure.status_code == 422
    assert "Tick this" in unsure.text
    assert shop.lead(lead.id).client == NORA
    sure = hidden_in(page.text) | {"sure": "yes"}
    done = owner.post(f"{path}/erase", data=sure)
    assert done.status_code == 303
    after = text_of(owner.get(done.headers["location"]).text)
    assert "Erased. What is left" in after
    assert "Nora" not in after
    assert owner.post(f"{path}/erase", data=sure).status_code == 303
    assert "Nora" not in owner.get("/desk").text


def test_the_list_opens_when_a_client_who_asked_anew_was_erased(
    shop: BuiltShop, owner: TestClient
) -> None:
    chat = {"channel": "webchat", "chat_id": "chat-nora", "client": NORA}
    before = shop.quoted(a_brief(), **chat)
    shop.quoted(a_brief(), revises=True, **chat)
    path = f"/desk/privacy/{before.id}"
    sure = hidden_in(owner.get(path).text) | {"sure": "yes"}
    assert owner.post(f"{path}/erase", data=sure).status_code == 303
    assert before.number in text_of(owner.get(f"/desk?q={before.number}").text)
    assert owner.get(f"/desk/leads/{before.id}").status_code == 200


def test_a_request_that_is_not_there_is_said_so(owner: TestClient) -> None:
    for path in ("/desk/privacy/nobody", "/desk/privacy/nobody/file"):
        assert owner.get(path).status_code == 404


@pytest.mark.parametrize(("language", "said"), [("en", "1 year"), ("es", "1 año")])
def test_clients_are_told_what_is_kept(client: TestClient, language: str, said: str) -> None:
    page = client.get(f"/privacy?lang={language}")
    assert page.status_code == 200
    assert said in text_of(page.text)
