"""Connecting the owner's Telegram at the desk, and photos that only the desk shows."""

from collections.abc import Callable
from dataclasses import replace

from starlette.testclient import TestClient

from service.leads import owning
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of

JPEG = b"\xff\xd8\xff\xe0 a boathouse at dusk"


def post(owner: TestClient, path: str, **data: str) -> object:
    csrf = hidden_in(owner.get("/desk/telegram").text)["csrf"]
    return owner.post(f"/desk/telegram{path}", data=data | {"csrf": csrf})


def invited(owner: TestClient) -> str:
    """The page with a fresh invitation."""
    answer = post(owner, "/invitation")
    assert answer.status_code == 200  # type: ignore[attr-defined]
    return str(answer.text)  # type: ignore[attr-defined]


def pair(shop: BuiltShop, token: str) -> None:
    with shop.ports.work() as work:
        owning.pair(
            work, shop.ports, "telegram", "7", token=token, name="Ida's phone", now=shop.now
        )
        work.commit()


def test_the_words_to_send_pair_the_chat(shop: BuiltShop, owner: TestClient) -> None:
    assert "Connect your Telegram" in text_of(owner.get("/desk").text)
    page = text_of(invited(owner))
    assert "within 15 minutes" in page
    token = page.split("/start owner-")[1].split()[0]
    assert len(f"owner-{token}") <= 64
    pair(shop, token)
    page = text_of(owner.get("/desk/telegram").text)
    assert "Your Telegram is connected" in page
    assert "Ida's phone since Sunday, January 10, 2027" in page
    assert "Connect your Telegram" not in text_of(owner.get("/desk").text)


def test_where_the_bots_name_is_known_there_is_a_link(shop: BuiltShop, owner: TestClient) -> None:
    shop.ports = replace(shop.ports, telegram_bot="harbor_lane_bot")
    owner.app.state.ports = shop.ports  # type: ignore[attr-defined]
    links = [a["href"] for a in elements_of(invited(owner), "a") if a.get("class") == "button"]
    (link,) = (link for link in links if link and link.startswith("https://t.me/"))
    start = "https://t.me/harbor_lane_bot?start=owner-"
    assert link.startswith(start)
    pair(shop, link.removeprefix(start))
    with shop.ports.read() as work:
        assert work.owner_chats.has("telegram", "7")


def test_each_invitation_is_another(owner: TestClient) -> None:
    one, two = text_of(invited(owner)), text_of(invited(owner))
    assert one.split("/start ")[1].split()[0] != two.split("/start ")[1].split()[0]


def test_a_chat_can_be_disconnected(shop: BuiltShop, owner: TestClient) -> None:
    pair(shop, text_of(invited(owner)).split("/start owner-")[1].split()[0])
    answer = post(owner, "/unpair", chat_id="7")
    assert answer.status_code == 303  # type: ignore[attr-defined]
    with shop.ports.read() as work:
        assert work.owner_chats.every() == []


def test_nobody_but_the_owner_is_invited(client: TestClient) -> None:
    assert client.get("/desk/telegram").status_code == 303
    assert client.post("/desk/telegram/invitation").status_code == 303
    assert client.post("/desk/telegram/unpair", data={"chat_id": "7"}).status_code == 303


def test_a_form_of_another_site_invites_nobody(owner: TestClient) -> None:
    answer = owner.post("/desk/telegram/invitation", data={"csrf": "made up"})
    assert answer.status_code == 403


def test_a_photo_is_shown_at_the_desk_and_nowhere_else(
    shop: BuiltShop, owner: TestClient, browser: Callable[[], TestClient]
) -> None:
    lead = shop.take_lead(a_brief(), channel="webchat", chat_id="a")
    with shop.ports.work() as work:
        work.chats.keep_photo("p1", "webchat", "a", JPEG, now=shop.now)
        work.chats.hear("webchat", "a", "", update_id="1", now=shop.now, photo_id="p1")
        work.commit()
    for path in ("/desk/conversations/webchat/a", f"/desk/leads/{lead.id}"):
        (image,) = elements_of(owner.get(path).text, "img")
        assert (image["src"], image["alt"]) == ("/desk/photos/p1", "Photo from the client")
    shown = owner.get("/desk/photos/p1")
    assert (shown.content, shown.headers["content-type"]) == (JPEG, "image/jpeg")
    assert shown.headers["cache-control"] == "no-store"
    assert browser().get("/desk/photos/p1").status_code == 303
    for unknown in ("p2", "p%00", "x" * 65):
        assert owner.get(f"/desk/photos/{unknown}").status_code == 404


def test_what_led_a_client_here_is_shown(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(a_brief(), source="library-reopening")
    page = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "the website form, from library-reopening" in page
