"""Helpers: invited by the owner, let in by a link, kept to their pages, and out again at once."""

import re
from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from service.leads.lead import Client
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import PASSWORD, hidden_in, sign_in, text_of
from tests.service.pages.test_signing_in import enter, status_of


def press(owner: TestClient, path: str, **entered: str) -> object:
    csrf = hidden_in(owner.get("/desk/people").text)["csrf"]
    return owner.post(f"/desk/people{path}", data={"csrf": csrf} | entered)


def link_on(page: object) -> str:
    """The link to pass on."""
    (url,) = re.findall(r"https://[^<]+/desk/welcome/[^<]+", page.text)  # type: ignore[attr-defined]
    return str(url)


def helper_id(owner: TestClient) -> str:
    (found,) = re.findall(r"/desk/people/([\w-]+)/invitation", owner.get("/desk/people").text)
    return str(found)


def test_an_invitation_is_shown_once_and_opens_a_page_to_choose_a_password(
    owner: TestClient, client: TestClient
) -> None:
    page = press(owner, "", name="Sam Okoye")
    assert status_of(page) == 200
    url = link_on(page)
    assert url not in owner.get("/desk/people").text
    welcome = client.get(url)
    assert "Welcome, Sam Okoye" in text_of(welcome.text)
    assert "you sign in as Sam Okoye" in text_of(welcome.text)
    entered = {"password": PASSWORD, "again": PASSWORD, "csrf": hidden_in(welcome.text)["csrf"]}
    assert client.post(url, data=entered).headers["location"] == "/desk/jobs"
    assert "helps since" in text_of(owner.get("/desk/people").text)
    assert client.get(url).status_code == 410


def test_a_helper_signs_in_by_name_however_it_is_written(
    helper: TestClient, client: TestClient
) -> None:
    assert helper.get("/desk/jobs").status_code == 200
    assert status_of(enter(client, PASSWORD, name=" sam  OKOYE ")) == 303
    assert client.get("/desk/jobs").status_code == 200


def test_a_helper_sees_set_ups_and_the_own_account_only(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    lead = shop.quoted(a_brief(), client=Client(name="Nora Ålund"))
    for path in ("/desk", f"/desk/leads/{lead.id}", "/desk/people", "/desk/more", "/desk/telegram"):
        page = helper.get(path)
        assert page.status_code == 403
        assert "This page is for the owner" in text_of(page.text)
        assert "Ålund" not in page.text
        assert owner.get(path).status_code == 200
    nav = re.findall(r'<li><a href="(/desk[^"]*)"', helper.get("/desk/jobs").text)
    assert nav == ["/desk/jobs", "/desk/days", "/desk/account"]


def test_a_helper_decides_nothing(shop: BuiltShop, helper: TestClient) -> None:
    lead = shop.quoted(a_brief())
    csrf = hidden_in(helper.get("/desk/account").text)["csrf"]
    for action in ("send", "price", "decline"):
        data = {
            "csrf": csrf,
            "basis": f"{lead.number}-1",
            "price": "1",
            "reason": "x",
            "text": "no",
        }
        assert helper.post(f"/desk/leads/{lead.id}/{action}", data=data).status_code == 403
    assert helper.post("/desk/people", data={"csrf": csrf, "name": "Kit"}).status_code == 403
    assert shop.lead(lead.id).state == "quoted"


def test_an_ended_access_ends_at_once_and_may_begin_again(
    owner: TestClient, helper: TestClient, browser: Callable[[], TestClient]
) -> None:
    person = helper_id(owner)
    assert status_of(press(owner, f"/{person}/end")) == 303
    assert helper.get("/desk/jobs").status_code == 303
    assert status_of(enter(helper, PASSWORD, name="Sam Okoye")) == 422
    assert "access ended" in text_of(owner.get("/desk/people").text)
    assert status_of(press(owner, f"/{person}/end")) == 303  # pressed twice
    page = press(owner, f"/{person}/invitation")
    again = browser()
    sign_in(again, link_on(page).rpartition("/")[2])
    assert again.get("/desk/jobs").status_code == 200


def test_a_fresh_link_leaves_the_password_good_until_another_is_chosen(
    owner: TestClient, helper: TestClient, browser: Callable[[], TestClient]
) -> None:
    page = press(owner, f"/{helper_id(owner)}/invitation")
    assert helper.get("/desk/jobs").status_code == 200
    assert status_of(enter(browser(), PASSWORD, name="Sam Okoye")) == 303
    again = browser()
    assert "A new password" in text_of(again.get(link_on(page)).text)
    sign_in(again, link_on(page).rpartition("/")[2])
    assert helper.get("/desk/jobs").status_code == 303


@pytest.mark.parametrize("name", ["", "owner", "Ida Marsh", "sam okoye", "x" * 61])
def test_a_name_that_will_not_do_is_explained_beside_its_field(
    name: str, owner: TestClient, helper: TestClient
) -> None:
    assert helper.get("/desk/jobs").status_code == 200
    page = press(owner, "", name=name)
    assert status_of(page) == 422
    assert 'id="name-fault"' in page.text  # type: ignore[attr-defined]


@pytest.mark.parametrize("action", ["end", "invitation"])
def test_who_is_no_helper_is_not_found(action: str, owner: TestClient) -> None:
    for person in ("owner", "nobody"):
        assert status_of(press(owner, f"/{person}/{action}")) == 404
    assert owner.get("/desk").status_code == 200
