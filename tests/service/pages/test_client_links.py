"""What clients' links are: opaque, for one purpose, for a time, and to be taken back."""

import base64
from collections.abc import Mapping
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from service.leads import addresses, handling
from service.leads.handling import BOOKING_LINK, QUOTE_LINK, STATUS_LINK
from service.leads.lead import Client, Lead
from tests.service.building import BuiltShop, a_brief

PAGES: Mapping[str, str] = {
    QUOTE_LINK: "/quotes/",
    BOOKING_LINK: "/bookings/",
    STATUS_LINK: "/requests/",
}


@pytest.fixture
def lead(shop: BuiltShop) -> Lead:
    return shop.quoted(a_brief(), client=Client(name="Nora Ålund"))


@pytest.fixture
def tokens(shop: BuiltShop, lead: Lead) -> Mapping[str, str]:
    """The tokens of the lead's links, by their purpose."""
    with shop.ports.work() as work:
        urls = addresses.of_lead(work, shop.ports, lead.id)
        status = handling.open_status(work, shop.ports, lead.id, now=shop.now)
        work.commit()
    made = (*urls, status)
    return {
        purpose: next(url for url in made if PAGES[purpose] in url).rpartition("/")[2]
        for purpose in PAGES
    }


def test_a_link_says_nothing_of_the_lead_and_cannot_be_guessed(
    lead: Lead, tokens: Mapping[str, str]
) -> None:
    for token in tokens.values():
        named, signature = token.split(".")
        inside = base64.urlsafe_b64decode(named + "=" * (-len(named) % 4)).decode().strip('"')
        assert inside not in (lead.id, lead.number)
        assert "Nora" not in inside
        # Random to 144 bits, and signed with 160.
        assert len(base64.urlsafe_b64decode(inside)) * 8 >= 128
        assert len(base64.urlsafe_b64decode(signature + "=" * (-len(signature) % 4))) * 8 >= 128
    assert len(set(tokens.values())) == len(PAGES)


def test_a_link_opens_the_page_of_its_purpose_only(
    tokens: Mapping[str, str], client: TestClient
) -> None:
    for purpose, token in tokens.items():
        opened = {each: client.get(page + token).status_code for each, page in PAGES.items()}
        assert opened == {each: 200 if each == purpose else 404 for each in PAGES}


def test_a_link_with_any_other_letter_opens_nothing(
    tokens: Mapping[str, str], client: TestClient
) -> None:
    token = tokens[QUOTE_LINK]
    for place in range(0, len(token), 7):
        other = "A" if token[place] != "A" else "B"
        altered = f"{token[:place]}{other}{token[place + 1 :]}"
        assert client.get(f"/quotes/{altered}").status_code == 404


def test_a_link_ends_with_its_time(
    shop: BuiltShop, tokens: Mapping[str, str], client: TestClient
) -> None:
    shop.now += timedelta(days=91)
    for purpose, page in PAGES.items():
        assert client.get(page + tokens[purpose]).status_code == 410


def test_a_link_can_be_taken_back(
    shop: BuiltShop, lead: Lead, tokens: Mapping[str, str], client: TestClient
) -> None:
    for purpose, page in PAGES.items():
        with shop.ports.work() as work:
            work.links.revoke(lead.id, purpose, shop.now)
            work.commit()
        assert client.get(page + tokens[purpose]).status_code == 410
