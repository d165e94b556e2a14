"""What keeps machines out of the form, and loses nothing of what a person typed."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.service.building import BuiltShop
from tests.service.pages.reading import elements_of, hidden_in, text_of
from tests.service.pages.test_form import ROWING_CLUB, leads_in, opened, send


def kept(html: str) -> dict[str, Any]:
    """What the fields of a page hold."""
    return {
        str(box["name"]): box.get("value") for box in elements_of(html, "input") if "name" in box
    }


@pytest.mark.parametrize(
    ("after", "said"),
    [
        (timedelta(seconds=1), "That was quick!"),
        (timedelta(hours=25), "This page has been open for a long time."),
    ],
)
def test_too_fast_or_too_late_is_asked_again_and_taken_the_second_time(
    after: timedelta, said: str, shop: BuiltShop, client: TestClient
) -> None:
    once = hidden_in(client.get("/form").text)["once"]
    shop.now += after
    answer = client.post("/form", data={"once": once} | ROWING_CLUB)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert leads_in(shop) == []
    assert kept(answer.text)["name"] == "Nora Ålund"
    shop.now += timedelta(seconds=10)
    again = {"once": hidden_in(answer.text)["once"]} | ROWING_CLUB
    assert client.post("/form", data=again).status_code == 303
    assert len(leads_in(shop)) == 1


def test_who_mends_one_field_need_not_wait_once_more(shop: BuiltShop, client: TestClient) -> None:
    once = opened(shop, client)
    answer = client.post("/form", data={"once": once} | ROWING_CLUB | {"name": ""})
    assert answer.status_code == 422
    again = {"once": hidden_in(answer.text)["once"]} | ROWING_CLUB
    assert again["once"] != once
    assert client.post("/form", data=again).status_code == 303


@pytest.mark.parametrize("token", ["", "made up", "1768000000", "x.1768000000"])
def test_a_token_that_we_did_not_sign_opens_nothing(
    token: str, shop: BuiltShop, client: TestClient
) -> None:
    answer = client.post("/form", data={"once": token} | ROWING_CLUB)
    assert answer.status_code == 422
    assert leads_in(shop) == []


def test_a_token_of_another_purpose_opens_nothing(shop: BuiltShop, client: TestClient) -> None:
    made = shop.ports.signer.sign(f"x.{shop.now.timestamp() - 60:.0f}", purpose="quote")
    assert client.post("/form", data={"once": made} | ROWING_CLUB).status_code == 422


def test_whoever_fills_in_the_hidden_field_is_shown_it_and_may_empty_it(
    shop: BuiltShop, client: TestClient
) -> None:
    answer = send(shop, client, website="https://spam.example")
    assert answer.status_code == 422
    assert 'aria-hidden="true"><label for="website"' not in answer.text.replace("\n", "")
    (box,) = [box for box in elements_of(answer.text, "input") if box.get("name") == "website"]
    assert box["tabindex"] == "0"
    assert send(shop, client, website="").status_code == 303


def test_too_many_requests_from_one_place_wait_and_nothing_typed_is_lost(
    shop: BuiltShop, client: TestClient, browser: Callable[[], TestClient]
) -> None:
    answers = [send(shop, client, notes=f"party {number}") for number in range(13)]
    assert [answer.status_code for answer in answers] == [303] * 12 + [429]
    last = answers[-1]
    assert 0 < int(last.headers["retry-after"]) <= 3600
    assert "Please send this one again after" in text_of(last.text)
    assert "party 12" in last.text
    assert kept(last.text)["name"] == "Nora Ålund"
    assert len(leads_in(shop)) == 12
    # Another browser of the same house is in the same place.
    assert send(shop, browser()).status_code == 429


def test_a_second_press_counts_once(shop: BuiltShop, client: TestClient) -> None:
    once = opened(shop, client)
    for _ in range(20):
        assert client.post("/form", data={"once": once} | ROWING_CLUB).status_code == 303
    assert len(leads_in(shop)) == 1


def test_where_it_came_from_goes_with_it(shop: BuiltShop, client: TestClient) -> None:
    page = client.get("/form", params={"source": "spring fair"})
    assert hidden_in(page.text)["source"] == "spring fair"
    send(shop, client, source="a" * 70)
    (lead,) = leads_in(shop)
    assert lead.source == "a" * 64


def test_the_script_for_other_websites_is_theirs_to_load(client: TestClient) -> None:
    script = client.get("/form/embed.js")
    assert script.status_code == 200
    assert script.headers["content-type"].startswith("text/javascript")
    assert script.headers["cross-origin-resource-policy"] == "cross-origin"
