"""Links that are over or altered, addresses that do not exist, faults of ours; and the headers."""

import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from service.leads import handling
from tests.service.building import CHAT_URL, WEBSITE, BuiltShop, a_brief
from tests.service.pages.reading import elements_of, text_of

PURPOSES = {
    "/quotes": handling.QUOTE_LINK,
    "/bookings": handling.BOOKING_LINK,
    "/requests": handling.STATUS_LINK,
}


def leads_on(html: str) -> bool:
    """Whether the page shows the way to the chat and to the form."""
    targets = {link.get("href") for link in elements_of(html, "a")}
    return {CHAT_URL, "/form"} <= targets


@pytest.mark.parametrize("place", PURPOSES)
def test_a_link_that_has_run_out_is_gone_and_says_what_to_do(
    place: str, shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    token = shop.link(PURPOSES[place], lead.id, timedelta(hours=1))
    assert client.get(f"{place}/{token}").status_code == 200
    shop.now += timedelta(hours=1)
    page = client.get(f"{place}/{token}")
    assert page.status_code == 410
    assert "This link has run out" in text_of(page.text)
    assert leads_on(page.text)


@pytest.mark.parametrize("place", PURPOSES)
def test_an_altered_link_is_not_found_and_says_what_to_do(
    place: str, shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    token = shop.link(PURPOSES[place], lead.id)
    altered = token[:5] + ("A" if token[5] != "A" else "B") + token[6:]
    for wrong in (altered, token[:-3], "nonsense"):
        page = client.get(f"{place}/{wrong}")
        assert page.status_code == 404
        assert leads_on(page.text)


def test_a_link_opens_only_what_it_was_made_for(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    for purpose in PURPOSES.values():
        token = shop.link(purpose, lead.id)
        opened = {place for place in PURPOSES if client.get(f"{place}/{token}").status_code == 200}
        assert opened == {place for place, fits in PURPOSES.items() if fits == purpose}


def test_an_expired_booking_link_takes_no_hold(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    token = shop.link(handling.BOOKING_LINK, lead.id, timedelta(hours=1))
    shop.now += timedelta(hours=2)
    entered = {"starts_at": "2027-06-06T09:00:00-04:00", "name": "Nora", "phone": "6175550123"}
    assert client.post(f"/bookings/{token}", data=entered).status_code == 410
    with shop.ports.read() as work:
        assert work.holds.of_lead(lead.id) is None


def test_an_unknown_address_gets_a_page(client: TestClient) -> None:
    page = client.get("/nowhere")
    assert page.status_code == 404
    assert leads_on(page.text)


@pytest.mark.parametrize("path", ["/desk/nowhere", "/desk/fault"])
def test_the_owner_is_not_sent_to_the_clients_chat(path: str, client: TestClient) -> None:
    page = client.get(path)
    assert page.status_code in (404, 500)
    assert not leads_on(page.text)
    assert "/desk" in [link["href"] for link in elements_of(page.text, "a")]


def test_a_fault_of_ours_gets_a_page_without_its_cause(client: TestClient) -> None:
    page = client.get("/fault")
    assert page.status_code == 500
    assert "our side" in page.text
    assert "a fault of ours" not in page.text
    assert "Traceback" not in page.text


def test_only_the_form_and_its_request_may_be_framed_and_only_by_the_own_website(
    shop: BuiltShop, client: TestClient, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    quote_path, booking_path = shop.paths(lead)
    request_path = f"/requests/{shop.link(handling.STATUS_LINK, lead.id)}"

    def ancestors(browser: TestClient, path: str) -> str:
        policy = browser.get(path).headers["content-security-policy"]
        found = re.search(r"frame-ancestors (.*)$", policy)
        assert found is not None
        return found[1]

    for path in ("/form", request_path):
        assert ancestors(client, path) == WEBSITE
    for path in ("/", quote_path, booking_path, "/desk/sign-in"):
        assert ancestors(client, path) == "'none'"
    for path in ("/desk", f"/desk/leads/{lead.id}"):
        assert ancestors(owner, path) == "'none'"


def test_every_page_forbids_what_it_does_not_need(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    for path in ("/", "/form", *shop.paths(lead), "/nowhere", "/desk/sign-in"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; style-src 'self'; ")
        assert "unsafe" not in policy
        assert headers["cache-control"] == "no-store"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_pages_bring_no_inline_style_no_inline_script_and_nothing_from_elsewhere(
    shop: BuiltShop, client: TestClient, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    pages = [client.get(path).text for path in ("/", "/form", *shop.paths(lead), "/desk/sign-in")]
    pages += [owner.get(path).text for path in ("/desk", f"/desk/leads/{lead.id}")]
    for html in pages:
        for script in elements_of(html, "script"):
            assert str(script["src"]).startswith("/static/")
            assert "<script" not in html.replace("<script src=", "")
        assert elements_of(html, "style") == []
        assert " style=" not in html
        for link in elements_of(html, "link"):
            assert str(link["href"]).startswith("/static/")


def test_the_style_sheet_is_served_under_the_name_that_pages_use(client: TestClient) -> None:
    sheet = elements_of(client.get("/").text, "link")[-1]
    served = client.get(str(sheet["href"]))
    assert served.status_code == 200
    assert served.headers["content-type"].startswith("text/css")


def test_the_front_page_leads_to_the_chat_and_the_form(client: TestClient) -> None:
    page = client.get("/")
    assert page.status_code == 200
    assert leads_on(page.text)
    assert "Harbor Lane Balloons" in text_of(page.text)
