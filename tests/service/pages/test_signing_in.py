"""Welcome, sign-in, sign-out, lockout and the tokens that forms carry."""

import threading
from collections.abc import Callable
from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from starlette.testclient import TestClient

from service.leads.handling import QUOTE_LINK, WELCOME_LINK
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import PASSWORD, hidden_in, text_of


def enter(client: TestClient, password: str, **more: str) -> object:
    page = client.get("/desk/sign-in")
    data = {"csrf": hidden_in(page.text)["csrf"], "password": password} | more
    return client.post("/desk/sign-in", data=data)


def walk_away(client: TestClient) -> None:
    """The browser forgets its session, and stays the browser that it was."""
    client.cookies.delete("__Host-desk", domain="garlands.example", path="/")


def status_of(answer: object) -> int:
    return int(answer.status_code)  # type: ignore[attr-defined]


def test_the_welcome_link_chooses_a_password_once(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    token = shop.link(WELCOME_LINK, "owner")
    first, second = browser(), browser()
    page = first.get(f"/desk/welcome/{token}")
    assert "Welcome, Ida Marsh" in text_of(page.text)
    late = second.get(f"/desk/welcome/{token}")  # opened before, sent after
    entered = {"password": PASSWORD, "again": PASSWORD}
    answer = first.post(
        f"/desk/welcome/{token}", data=entered | {"csrf": hidden_in(page.text)["csrf"]}
    )
    assert answer.status_code == 303
    assert first.get("/desk").status_code == 200
    other = {"password": "another long one", "again": "another long one"}
    refused = second.post(
        f"/desk/welcome/{token}", data=other | {"csrf": hidden_in(late.text)["csrf"]}
    )
    assert refused.status_code == 410
    assert second.get(f"/desk/welcome/{token}").status_code == 410
    assert status_of(enter(second, "another long one")) == 422
    assert status_of(enter(second, PASSWORD)) == 303


@pytest.mark.parametrize(
    ("password", "again", "said"),
    [
        ("short", "short", "at least 12 characters"),
        ("a" * 257, "a" * 257, "Keep it to 256 characters"),
        ("air by the river", "air by the lake", "The two passwords differ"),
    ],
)
def test_a_password_that_will_not_do_is_explained(
    password: str, again: str, said: str, shop: BuiltShop, client: TestClient
) -> None:
    path = f"/desk/welcome/{shop.link(WELCOME_LINK, 'owner')}"
    csrf = hidden_in(client.get(path).text)["csrf"]
    answer = client.post(path, data={"password": password, "again": again, "csrf": csrf})
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    with shop.ports.read() as work:
        assert work.people.password_hash("owner") is None


def test_no_other_link_is_a_welcome(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    for token in (
        shop.link(QUOTE_LINK, "owner"),
        shop.link(WELCOME_LINK, lead.id),
        shop.link(WELCOME_LINK, "nobody"),
        shop.link(WELCOME_LINK, "owner")[:-2],
        "nonsense",
    ):
        assert client.get(f"/desk/welcome/{token}").status_code == 404
    spent = shop.link(WELCOME_LINK, "owner", timedelta(hours=1))
    shop.now += timedelta(hours=2)
    assert client.get(f"/desk/welcome/{spent}").status_code == 410


def test_the_password_is_kept_as_an_argon2_hash_only(shop: BuiltShop, owner: TestClient) -> None:
    assert owner.get("/desk").status_code == 200
    with shop.ports.read() as work:
        kept = work.people.password_hash("owner")
    assert kept is not None
    assert kept.startswith("$argon2id$")
    assert PASSWORD not in kept


def test_without_a_session_every_page_of_the_desk_asks_to_sign_in(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    for path in ("/desk", f"/desk/leads/{lead.id}", "/desk/leads/nothing"):
        answer = client.get(path)
        assert answer.status_code == 303
        assert answer.headers["location"] == f"/desk/sign-in?to={path}"
    for action in ("send", "price", "decline"):
        answer = client.post(f"/desk/leads/{lead.id}/{action}", data={"basis": f"{lead.number}-1"})
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/desk/sign-in")
    assert client.post("/desk/sign-out").headers["location"].startswith("/desk/sign-in")
    assert shop.lead(lead.id).state == "quoted"


def test_signing_in_leads_back_to_the_page_that_was_asked_for(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    answer = enter(client, PASSWORD, to=f"/desk/leads/{lead.id}")
    assert answer.headers["location"] == f"/desk/leads/{lead.id}"  # type: ignore[attr-defined]
    assert owner.get("/desk/sign-in").headers["location"] == "/desk"


@pytest.mark.parametrize(
    "elsewhere", ["https://evil.example/desk", "//evil.example", "/desk//evil", "/desk\\x", "/"]
)
def test_signing_in_never_leads_elsewhere(
    elsewhere: str, owner: TestClient, client: TestClient
) -> None:
    answer = enter(client, PASSWORD, to=elsewhere)
    assert answer.headers["location"] == "/desk"  # type: ignore[attr-defined]
    assert owner.get("/desk/sign-in", params={"to": elsewhere}).headers["location"] == "/desk"


def test_wrong_passwords_make_a_strange_browser_wait_longer_and_longer(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    assert owner.get("/desk").status_code == 200
    for _ in range(10):
        assert status_of(enter(client, "not the password")) == 422
    locked = enter(client, PASSWORD)
    assert status_of(locked) == 429
    assert "Wait 1 minute, then" in text_of(locked.text)  # type: ignore[attr-defined]
    assert owner.get("/desk").status_code == 200  # whoever is in stays in
    for seconds in (30, 60, 120, 240):
        shop.now += timedelta(seconds=seconds - 1)
        assert status_of(enter(client, PASSWORD)) == 429
        shop.now += timedelta(seconds=1)
        assert status_of(enter(client, "not the password")) == 422
    shop.now += timedelta(minutes=8)
    assert status_of(enter(client, PASSWORD)) == 303
    # The tries from here are forgotten with that.
    walk_away(client)
    assert status_of(enter(client, "not the password")) == 422


def test_a_browser_that_was_let_in_before_is_not_locked_out_by_strangers(
    owner: TestClient, client: TestClient
) -> None:
    csrf = hidden_in(owner.get("/desk").text)["csrf"]
    assert owner.post("/desk/sign-out", data={"csrf": csrf}).status_code == 303
    for _ in range(11):
        enter(client, "not the password")
    assert status_of(enter(client, PASSWORD)) == 429
    assert status_of(enter(owner, PASSWORD)) == 303


def test_the_mark_of_a_known_browser_counts_for_its_person_only(
    helper: TestClient, owner: TestClient, client: TestClient
) -> None:
    assert owner.get("/desk").status_code == 200
    for _ in range(11):
        enter(client, "not the password")
    walk_away(helper)
    assert status_of(enter(helper, PASSWORD)) == 429  # the owner's name, on the helper's browser
    forged = helper.cookies["__Host-desk-device"].replace(".", "x", 1)
    client.cookies.set("__Host-desk-device", forged, domain="garlands.example", path="/")
    assert status_of(enter(client, PASSWORD)) == 429


def test_guesses_sent_side_by_side_do_not_slip_through(
    owner: TestClient, browser: Callable[[], TestClient]
) -> None:
    assert owner.get("/desk").status_code == 200
    start, outcomes = threading.Barrier(16), list[int]()

    def guess() -> None:
        stranger = browser()
        csrf = hidden_in(stranger.get("/desk/sign-in").text)["csrf"]
        start.wait()
        data = {"csrf": csrf, "password": "not the password"}
        outcomes.append(stranger.post("/desk/sign-in", data=data).status_code)

    threads = [threading.Thread(target=guess) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == [422] * 10 + [429] * 6


def test_a_name_that_nobody_has_gets_the_same_answer_after_the_same_work(
    owner: TestClient, helper: TestClient, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert {owner.get("/desk").status_code, helper.get("/desk/jobs").status_code} == {200}
    compared: list[str] = []
    verify = PasswordHasher.verify

    def counted(self: PasswordHasher, hashed: str, password: str) -> bool:
        compared.append(hashed.split("$")[3])
        return bool(verify(self, hashed, password))

    monkeypatch.setattr(PasswordHasher, "verify", counted)
    answers = []
    for name in ("", "Sam Okoye", "nobody at all"):
        answer = enter(client, "not the password", name=name)
        answers.append((status_of(answer), text_of(answer.text)))  # type: ignore[attr-defined]
    assert len(set(answers)) == 1
    assert len(compared) == 3
    assert len(set(compared)) == 1  # at the same cost


def test_another_address_in_a_header_is_not_believed(owner: TestClient, client: TestClient) -> None:
    assert owner.get("/desk").status_code == 200
    for number in range(11):
        client.headers["x-forwarded-for"] = f"192.0.2.{number}"
        enter(client, "not the password", name=f"name {number}")
    client.headers["x-forwarded-for"] = "192.0.2.200"
    assert status_of(enter(client, PASSWORD)) == 429


def test_signing_in_again_ends_the_session_that_the_browser_had(
    owner: TestClient, browser: Callable[[], TestClient]
) -> None:
    before, other = owner.cookies["__Host-desk"], browser()
    page = other.get("/desk/sign-in")
    other.cookies.set("__Host-desk", before, domain="garlands.example", path="/")
    entered = {"csrf": hidden_in(page.text)["csrf"], "password": PASSWORD}
    assert other.post("/desk/sign-in", data=entered).status_code == 303
    assert owner.get("/desk").status_code == 303


def test_the_session_cookie_is_kept_from_scripts_other_sites_and_plain_http(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    answer = enter(client, PASSWORD)
    cookies = answer.headers.get_list("set-cookie")  # type: ignore[attr-defined]
    (cookie,) = [line for line in cookies if line.startswith("__Host-desk=")]
    for part in ("HttpOnly", "Secure", "SameSite=strict", "Path=/;", "Max-Age=1209600"):
        assert part.lower() in cookie.lower()
    session_id = cookie.removeprefix("__Host-desk=").split(";")[0]
    assert len(session_id) >= 40


def test_a_session_ends_after_fourteen_days_or_by_signing_out(
    shop: BuiltShop, owner: TestClient
) -> None:
    csrf = hidden_in(owner.get("/desk").text)["csrf"]
    cookie = owner.cookies["__Host-desk"]
    assert owner.post("/desk/sign-out", data={"csrf": csrf}).status_code == 303
    assert owner.get("/desk").status_code == 303
    owner.cookies.set("__Host-desk", cookie, domain="garlands.example", path="/")
    assert owner.get("/desk").status_code == 303  # the old cookie opens nothing
    assert status_of(enter(owner, PASSWORD)) == 303
    shop.now += timedelta(days=14)
    assert owner.get("/desk").status_code == 303


def test_a_made_up_cookie_opens_nothing(owner: TestClient, client: TestClient) -> None:
    assert owner.get("/desk").status_code == 200
    client.cookies.set("__Host-desk", "a" * 43, domain="garlands.example", path="/")
    assert client.get("/desk").status_code == 303


@pytest.mark.parametrize("csrf", ["", "wrong", "ü" * 20])
def test_no_form_is_taken_without_its_token(csrf: str, shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    basis = {"csrf": csrf, "basis": f"{lead.number}-1"}
    for action in ("send", "price", "decline"):
        entered = basis | {"price": "500", "reason": "stairs", "text": "no"}
        answer = owner.post(f"/desk/leads/{lead.id}/{action}", data=entered)
        assert answer.status_code == 403
        assert "Nothing was changed" in text_of(answer.text)
    assert owner.post("/desk/sign-out", data={"csrf": csrf}).status_code == 403
    assert owner.get("/desk").status_code == 200
    assert shop.lead(lead.id).state == "quoted"


def test_a_sign_in_form_from_another_site_is_not_taken(
    owner: TestClient, client: TestClient
) -> None:
    assert owner.get("/desk").status_code == 200
    answer = client.post("/desk/sign-in", data={"password": PASSWORD, "csrf": "guessed"})
    assert answer.status_code == 403
    assert "desk=" not in str(answer.headers.get_list("set-cookie")).replace("desk-form=", "")


def test_before_a_password_is_chosen_the_sign_in_page_says_where_to_begin(
    client: TestClient,
) -> None:
    answer = enter(client, "anything at all")
    assert status_of(answer) == 409
    assert "welcome link" in answer.text  # type: ignore[attr-defined]
