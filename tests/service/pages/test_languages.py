"""Which language a page speaks, and that it goes on speaking it."""

import pytest
from starlette.testclient import TestClient

from service.leads import handling
from service.pages.languages import preferred
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import agreed, elements_of, text_of
from tests.service.pages.test_form import leads_in, send


@pytest.mark.parametrize(
    ("accepted", "language"),
    [
        (None, "en"),
        ("", "en"),
        ("es", "es"),
        ("es-MX,es;q=0.9,en;q=0.8", "es"),
        ("en-US,es;q=0.9", "en"),
        ("en;q=0.2, es-US;q=0.7", "es"),
        ("de-DE,fr;q=0.9", "en"),
        ("de, es;q=0.5", "es"),
        ("es;q=0, en", "en"),
        ("*;q=0.1, \x00🎈;;q=9", "en"),
    ],
)
def test_the_browser_is_asked_for_its_best_language(accepted: str | None, language: str) -> None:
    assert preferred(accepted, ("en", "es")) == language


def language_of(html: str) -> str | None:
    (root,) = elements_of(html, "html")
    return root["lang"]


@pytest.mark.parametrize("path", ["/", "/form", "/nowhere"])
def test_a_page_of_nobody_speaks_as_the_browser_asks_unless_its_address_asks(
    path: str, client: TestClient
) -> None:
    spanish = {"Accept-Language": "es-US"}
    assert language_of(client.get(path).text) == "en"
    assert language_of(client.get(path, headers=spanish).text) == "es"
    assert language_of(client.get(f"{path}?lang=en", headers=spanish).text) == "en"
    assert language_of(client.get(f"{path}?lang=klingon", headers=spanish).text) == "es"


def test_a_clients_pages_speak_the_clients_language_whatever_the_browser_asks(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(), language="es")
    for path in (*shop.paths(lead), f"/requests/{shop.link(handling.STATUS_LINK, lead.id)}"):
        page = client.get(path, headers={"Accept-Language": "en-US"})
        assert language_of(page.text) == "es"
        assert language_of(client.get(f"{path}?lang=en").text) == "en"


def test_every_page_offers_the_other_language_of_the_same_page(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(), language="es")
    quote_path, booking_path = shop.paths(lead)
    for path in ("/", "/form?source=spring+fair", quote_path, f"{booking_path}?change=1"):
        page = client.get(path)
        (switch,) = [link for link in elements_of(page.text, "a") if "hreflang" in link]
        assert switch["hreflang"] != language_of(page.text)
        other = client.get(str(switch["href"]))
        assert language_of(other.text) == switch["hreflang"]
        kept = path.partition("?")[2]
        assert kept in str(switch["href"])


def test_a_language_asked_for_stays_on_the_way_to_the_booking(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    quote = client.get(f"{shop.paths(lead)[0]}?lang=es")
    (to_booking, *_) = [
        str(link["href"])
        for link in elements_of(quote.text, "a")
        if "/bookings/" in str(link["href"])
    ]
    booking = client.get(to_booking)
    assert language_of(booking.text) == "es"
    picked = next(
        box["value"] for box in elements_of(booking.text, "input") if box["name"] == "starts_at"
    )
    (form,) = elements_of(booking.text, "form")
    refused = client.post(str(form["action"]), data={"starts_at": picked})
    assert "Dinos tu nombre" in text_of(refused.text)
    entered = {"starts_at": str(picked), "name": "Nora", "phone": "6175550123"}
    entered |= agreed(booking.text)
    held = client.get(client.post(str(form["action"]), data=entered).headers["location"])
    assert "Esta hora está apartada para ti" in text_of(held.text)


def test_whoever_asks_in_spanish_is_answered_in_spanish(
    shop: BuiltShop, client: TestClient
) -> None:
    client.headers["Accept-Language"] = "es-US"
    answer = send(shop, client, budget="-5")
    assert "Hay algo que revisar" in text_of(answer.text)
    assert "Escribe el presupuesto así: 450 o 1,450" in text_of(answer.text)
    path = send(shop, client).headers["location"]
    (lead,) = leads_in(shop)
    assert lead.language == "es"
    shop.work_off()
    assert "Tu precio aproximado es de $" in text_of(client.get(path).text)


def test_colors_and_shapes_may_be_written_in_spanish(shop: BuiltShop, client: TestClient) -> None:
    client.headers["Accept-Language"] = "es"
    send(
        shop,
        client,
        colour=[],
        colours="Rosa palo, dorado y bruma",
        foils="2 corazones, 50 y estrella",
    )
    (lead,) = leads_in(shop)
    assert [share.colour for share in lead.brief.palette] == ["dusty rose", "gold", "bruma"]
    assert lead.brief.foils == ("heart", "heart", "5", "0", "star")
    shop.work_off()
    page = client.get(shop.paths(lead)[0])
    assert "corazón ×2, 50 y estrella" in text_of(page.text)


def test_the_desk_stays_in_the_owners_english(owner: TestClient, shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief(), language="es")
    page = owner.get(f"/desk/leads/{lead.id}?lang=es", headers={"Accept-Language": "es"})
    assert language_of(page.text) == "en"
    assert "round-top frame, 4 ft wide and 7 ft tall, full" in text_of(page.text)
    assert "Sunday, June 6, 2027" in text_of(page.text)
    assert [link for link in elements_of(page.text, "a") if "hreflang" in link] == []


def test_colors_have_their_names_in_the_language_of_the_page(client: TestClient) -> None:
    assert "gray" in text_of(client.get("/form").text)
    assert "grey" not in text_of(client.get("/form").text)
    assert "verde salvia" in text_of(client.get("/form?lang=es").text)
