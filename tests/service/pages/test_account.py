"""One's own account: devices, signing out of one or all, another password."""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from service.pages.desk.devices import device_name
from tests.service.building import BuiltShop
from tests.service.pages.reading import PASSWORD, hidden_in, text_of
from tests.service.pages.test_signing_in import enter, status_of

FIREFOX_ON_ANDROID = "Mozilla/5.0 (Android 15; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0"
SAFARI_ON_IPHONE = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like "
    "Gecko) Version/18.5 Mobile/15E148 Safari/604.1"
)
NEW = "balloons at the boathouse"


@pytest.fixture
def phone(owner: TestClient, browser: Callable[[], TestClient]) -> TestClient:
    """The owner's phone, signed in as well."""
    assert owner.get("/desk/account").status_code == 200
    other = browser()
    other.headers["user-agent"] = FIREFOX_ON_ANDROID
    assert status_of(enter(other, PASSWORD)) == 303
    return other


def press(client: TestClient, path: str, **entered: str) -> object:
    csrf = hidden_in(client.get("/desk/account").text)["csrf"]
    return client.post(f"/desk/account/{path}", data={"csrf": csrf} | entered)


def change(client: TestClient, present: str, password: str = NEW, again: str = NEW) -> object:
    return press(client, "password", present=present, password=password, again=again)


def test_every_device_is_listed_with_when_it_was_used(
    shop: BuiltShop, owner: TestClient, phone: TestClient
) -> None:
    shop.now += timedelta(hours=2)
    assert phone.get("/desk/account").status_code == 200
    shop.now += timedelta(hours=1)
    text = text_of(owner.get("/desk/account").text)
    assert "You are signed in as Ida Marsh" in text
    day = "Sunday, January 10, 2027"
    # Noon at the shop was when both signed in.
    assert f"Firefox on Android signed in {day}, 12:00 PM, last used {day}, 2:00 PM" in text
    assert "A browser, this one" in text


def test_one_device_is_signed_out_by_another(owner: TestClient, phone: TestClient) -> None:
    page = owner.get("/desk/account").text
    (path,) = re.findall(r'action="/desk/account/(sessions/\w+/end)"', page)
    answer = press(owner, path)
    assert answer.headers["location"] == "/desk/account?done=ended"  # type: ignore[attr-defined]
    assert phone.get("/desk").status_code == 303
    assert "That device is signed out." in owner.get("/desk/account?done=ended").text


def test_nobody_ends_a_session_that_is_another_persons(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    with shop.ports.read() as work:
        (owners,) = work.people.sessions_of("owner", shop.now)
    assert status_of(press(helper, f"sessions/{owners.key}/end")) == 303
    assert owner.get("/desk").status_code == 200


def test_signing_out_everywhere_ends_this_device_too(
    owner: TestClient, phone: TestClient, helper: TestClient
) -> None:
    answer = press(phone, "sign-out-everywhere")
    assert answer.headers["location"] == "/desk/sign-in"  # type: ignore[attr-defined]
    assert {owner.get("/desk").status_code, phone.get("/desk").status_code} == {303}
    assert helper.get("/desk/jobs").status_code == 200


def test_another_password_ends_every_other_session_and_renews_this_one(
    owner: TestClient, phone: TestClient, client: TestClient
) -> None:
    before = owner.cookies["__Host-desk"]
    answer = change(owner, PASSWORD)
    assert answer.headers["location"] == "/desk/account?done=password"  # type: ignore[attr-defined]
    assert owner.cookies["__Host-desk"] != before
    assert "Your new password is in use" in owner.get("/desk/account?done=password").text
    assert phone.get("/desk").status_code == 303
    assert status_of(enter(client, PASSWORD)) == 422
    assert status_of(enter(client, NEW)) == 303


@pytest.mark.parametrize(
    ("present", "password", "again", "said"),
    [
        ("not the password", NEW, NEW, "That is not your present password."),
        (PASSWORD, "short", "short", "at least 12 characters"),
        (PASSWORD, NEW, "balloons at the lake", "The two passwords differ"),
    ],
)
def test_a_password_is_not_changed_for_nothing(
    present: str, password: str, again: str, said: str, owner: TestClient, client: TestClient
) -> None:
    answer = change(owner, present, password, again)
    assert status_of(answer) == 422
    assert said in text_of(answer.text)  # type: ignore[attr-defined]
    assert status_of(enter(client, PASSWORD)) == 303


def test_a_session_left_open_is_no_place_to_guess_from(
    owner: TestClient, client: TestClient
) -> None:
    for _ in range(10):
        assert status_of(change(owner, "not the password")) == 422
    refused = change(owner, PASSWORD)
    assert status_of(refused) == 429
    assert "Wait 1 minute, then try again" in refused.text  # type: ignore[attr-defined]
    assert status_of(enter(client, PASSWORD)) == 303


@pytest.mark.parametrize(
    ("sent", "name"),
    [
        (FIREFOX_ON_ANDROID, "Firefox on Android"),
        (SAFARI_ON_IPHONE, "Safari on iPhone"),
        (f"{SAFARI_ON_IPHONE} Edg/140.0", "Edge on iPhone"),
        ("curl/8.5", "A browser"),
        ("", "A browser"),
        ("<b>Firefox/1</b> CrOS", "Firefox on Chromebook"),
    ],
)
def test_a_device_is_called_by_a_short_name_of_ours(sent: str, name: str) -> None:
    assert device_name(sent) == name
