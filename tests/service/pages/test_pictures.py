"""The picture of a garland: on the pages that show its price, and behind the client's link."""

from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from urllib.parse import urlsplit

import pytest
from PIL import Image
from starlette.testclient import TestClient

from service.estimating import Accent, AccentKind, Support
from service.leads import forgetting
from service.leads.handling import QUOTE_LINK
from service.leads.lead import Lead
from service.leads.messages import Picture
from service.leads.quoting import draft
from service.rendering import picture
from tests.service.building import PUBLIC_URL, BuiltShop, a_brief, a_piece
from tests.service.pages.reading import elements_of, text_of
from tests.service.pages.test_requests import path_for

IMPRESSION = "An impression: every garland is tied by hand, so yours will differ a little."


@pytest.fixture
def lead(shop: BuiltShop) -> Lead:
    return shop.quoted(a_brief())


def sent_with(shop: BuiltShop, lead: Lead) -> list[Picture | None]:
    """The pictures of the messages that the client got, oldest first."""
    with shop.ports.read() as work:
        said = work.chats.messages(lead.channel, lead.chat_id)
    return [each.message.picture for each in said]


def local(url: str) -> str:
    parts = urlsplit(url)
    assert url.startswith(PUBLIC_URL)
    return f"{parts.path}?{parts.query}"


def drawn(pages: TestClient, path: str) -> str:
    """The format of the picture at an address."""
    answer = pages.get(path)
    assert answer.status_code == 200, path
    with Image.open(BytesIO(answer.content)) as image:
        assert image.size == (picture.WIDTH, picture.height_of(picture.WIDTH))
        assert answer.headers["content-type"] == f"image/{(image.format or '').lower()}"
        return image.format or ""


def test_a_price_comes_with_its_picture_for_chats_and_pages(
    shop: BuiltShop, lead: Lead, client: TestClient
) -> None:
    [shown] = sent_with(shop, lead)
    assert shown is not None
    assert "round-top frame, 4 ft wide and 7 ft tall" in shown.alt
    assert drawn(client, local(shown.url)) == "PNG"
    assert drawn(client, local(shown.page_url)) == "WEBP"


def test_a_picture_is_for_its_client_alone_and_asked_for_once(
    lead: Lead, shop: BuiltShop, client: TestClient
) -> None:
    path = f"{shop.paths(lead)[0]}/picture.webp"
    answer = client.get(path)
    assert answer.headers["cache-control"].startswith("private")
    assert answer.headers["x-robots-tag"] == "noindex"
    # The web chat, at an address of its own, may show it.
    assert answer.headers["cross-origin-resource-policy"] == "cross-origin"
    again = client.get(path, headers={"If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_the_pages_of_a_price_show_it_with_its_words_and_its_room_kept(
    shop: BuiltShop, lead: Lead, client: TestClient
) -> None:
    for path in (shop.paths(lead)[0], path_for(shop, lead)):
        page = client.get(path).text
        [shown] = elements_of(page, "img")
        assert "round-top frame" in str(shown["alt"])
        assert (shown["width"], shown["height"], shown["loading"]) == ("1200", "900", "lazy")
        assert IMPRESSION in text_of(page)
        assert drawn(client, str(shown["src"])) == "WEBP"


def test_its_words_are_in_the_clients_language(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief(), language="es")
    page = client.get(shop.paths(lead)[0]).text
    assert "cada guirnalda se ata a mano" in text_of(page)
    assert "balloons" not in str(elements_of(page, "img")[0]["alt"])


def test_what_it_shows_is_told_in_short_however_much_that_is(shop: BuiltShop) -> None:
    sign = Accent(kind=AccentKind.SIGN, words="Fifty years afloat, " * 20)
    frames = (replace(a_piece(), width_m=1 + 0.1 * k, accents=(sign,)) for k in range(12))
    lead = shop.quoted(a_brief(pieces=tuple(frames)))
    shop.send_firm(lead)
    *_, shown = sent_with(shop, lead)
    assert shown is not None
    assert len(shown.alt) <= 900
    assert shown.alt.endswith("…")


def test_a_message_keeps_the_picture_of_its_own_price(
    shop: BuiltShop, lead: Lead, client: TestClient
) -> None:
    wider = replace(a_brief(), pieces=(a_piece(support=Support.HOOP, width_m=1.8),))
    with shop.ports.work() as work:
        changed = replace(work.leads.get(lead.id), brief=wider)
        work.leads.save(changed)
        work.quotes.add(draft(shop.ports, changed, shop.estimate(wider), shop.now))
        work.commit()
    unsent = f"{shop.paths(lead)[0]}/picture.png?of={lead.number}-2"
    assert client.get(unsent).status_code == 404
    shop.send_firm(lead)
    ballpark, firm = sent_with(shop, lead)
    assert ballpark is not None
    assert firm is not None
    assert ("round-top frame" in ballpark.alt, "hoop" in firm.alt) == (True, True)
    first, second = (client.get(local(each.page_url)).content for each in (ballpark, firm))
    assert first != second
    assert client.get(f"{shop.paths(lead)[0]}/picture.webp").content == second


def test_a_link_that_is_no_good_opens_no_picture(
    shop: BuiltShop, lead: Lead, client: TestClient
) -> None:
    quote_path, booking_path = shop.paths(lead)
    token = booking_path.rpartition("/")[2]
    assert client.get(f"/quotes/{token}/picture.png").status_code == 404
    assert client.get(f"{quote_path}x/picture.png").status_code == 404
    assert client.get(f"{quote_path}/picture.png?of=G1-1").status_code == 404
    other = shop.quoted(a_brief())
    assert client.get(f"{quote_path}/picture.png?of={other.number}-1").status_code == 404
    shop.now += timedelta(days=91)
    assert client.get(f"{quote_path}/picture.png").status_code == 410


@pytest.mark.parametrize("ends", ["revoked", "erased"])
def test_a_link_that_was_taken_back_opens_no_picture(
    shop: BuiltShop, lead: Lead, client: TestClient, ends: str
) -> None:
    path = f"{shop.paths(lead)[0]}/picture.webp"
    assert client.get(path).status_code == 200
    with shop.ports.work() as work:
        if ends == "erased":
            forgetting.erase(work, lead.id, now=shop.now)
        else:
            work.links.revoke(lead.id, QUOTE_LINK, shop.now)
        work.commit()
    assert client.get(path).status_code == 410
    # What the picture showed was said in a message.
    assert (sent_with(shop, lead) == []) == (ends == "erased")


def test_a_price_whose_picture_cannot_be_drawn_is_shown_all_the_same(
    shop: BuiltShop, lead: Lead, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise ValueError("no clusters")

    monkeypatch.setattr(picture, "scene_of", fails)
    path = shop.paths(lead)[0]
    assert client.get(f"{path}/picture.png").status_code == 404
    assert client.get(path).status_code == 200


def test_the_owner_sees_it_before_it_is_sent(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(foils=("5", "0")), language="es")
    with shop.ports.work() as work:
        work.quotes.add(draft(shop.ports, lead, shop.estimate(lead.brief), shop.now))
        work.commit()
    page = owner.get(f"/desk/leads/{lead.id}")
    [shown] = elements_of(page.text, "img")
    assert str(shown["src"]).endswith(f"picture.webp?of={lead.number}-2")
    assert drawn(owner, str(shown["src"])) == "WEBP"
    as_sent = owner.get(f"/desk/leads/{lead.id}/quotes/{lead.number}-1").text
    assert drawn(owner, str(elements_of(as_sent, "img")[0]["src"])) == "WEBP"
    assert owner.get(f"/desk/leads/{lead.id}/picture.webp?of=G1-1").status_code == 404


def test_a_request_without_a_price_has_no_picture(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(a_brief())
    assert elements_of(owner.get(f"/desk/leads/{lead.id}").text, "img") == []
    assert owner.get(f"/desk/leads/{lead.id}/picture.webp").status_code == 404
    token = shop.link(QUOTE_LINK, lead.id)
    assert owner.get(f"/quotes/{token}/picture.png").status_code == 404
    assert elements_of(owner.get(path_for(shop, lead)).text, "img") == []
