"""Texts that are no texts: halves of signs, turned writing, brackets without end."""

import time
from collections.abc import Callable
from datetime import timedelta

import pytest

from service.leads.lead import Client
from service.leads.messages import OwnerChat
from service.leads.plain import unturned
from service.storage.price_book.typing_in import Slip, from_yaml
from tests.service.api.conftest import CANONICAL, Service
from tests.service.building import a_brief, build_shop
from tests.service.pages.conftest import browse
from tests.service.pages.reading import hidden_in, text_of

JSON = {"Content-Type": "application/json"}
TURNED = "Nora\u202e gnp.moc\u2066\u200f"


@pytest.mark.parametrize(
    "half", [rb"\ud800", rb"\uDFFF", rb"x\udbffy", rb"\ude00\ud83d", rb"\\\ud800"]
)
@pytest.mark.parametrize(
    ("role", "path", "before", "after"),
    [
        ("worker", "/v1/leads/none/reviews", b'{"step_id":"s","fence":1,"reasons":["', b'"]}'),
        ("website", "/v1/estimates", b'{"pieces":[],"notes":"', b'"}'),
        ("bot", "/v1/inbox", b'{"text":"', b'"}'),
    ],
)
def test_half_of_a_sign_is_refused_in_words(
    service: Service, role: str, path: str, before: bytes, after: bytes, half: bytes
) -> None:
    answer = service.client(role).post(path, content=before + half + after, headers=JSON)
    assert answer.status_code == 422
    assert "half of a sign" in answer.json()["detail"]


def test_whole_signs_and_what_only_looks_like_a_half_are_taken(service: Service) -> None:
    for notes in (rb"\ud83d\ude00", rb"\\ud800", "😀".encode()):
        plain = rb'{"pieces":[{"support":"column","height_m":1.8}],"notes":"' + notes + b'"}'
        sent = service.client("website").post("/v1/estimates", content=plain, headers=JSON)
        assert sent.status_code == 200


def test_nobody_turns_what_the_owner_reads(tmp_path_factory: pytest.TempPathFactory) -> None:
    shop = build_shop(tmp_path_factory.mktemp("shop"))
    lead = shop.quoted(
        a_brief(notes=TURNED), client=Client(name=TURNED, email="nora@rowing.example")
    )
    with shop.ports.work() as work:
        work.people.set_password_hash("owner", "-", shop.now)
        work.people.open_session("s", "owner", csrf="c", device="", now=shop.now)
        work.commit()
    owner = browse(shop)
    owner.cookies.set("__Host-desk", "s", domain="garlands.example", path="/")
    for path in (f"/desk/leads/{lead.id}", "/desk"):
        page = owner.get(path)
        assert page.status_code == 200
        assert "Nora gnp.moc" in page.text
        assert not any(sign in page.text for sign in "\u202e\u2066")


def test_nobody_turns_what_the_owner_reads_in_a_chat(
    service: Service, work_off: Callable[[], object]
) -> None:
    bot = service.client("bot")
    with service.ports.work() as work:
        now = service.ports.clock()
        work.owner_chats.pair(
            OwnerChat(
                channel="telegram", chat_id="7", name="Ida", paired_at=now, digest_on=now.date()
            )
        )
        work.commit()
    brief = {**CANONICAL, "site": {"setting": "outdoor", "place": TURNED}}
    asked = {"brief": brief, "channel": "webchat", "chat_id": "c", "client": {"name": TURNED}}
    assert bot.post("/v1/leads", json=asked, headers={"Idempotency-Key": "k"}).status_code == 202
    work_off()
    for path in ("owner/chats/telegram/7/waiting", "conversations/telegram/7/messages"):
        told = str([each["text"] for each in bot.get(f"/v1/{path}").json()])
        assert "Nora gnp.moc" in told
        assert not any(sign in told for sign in ("\u202e", r"\u202e", "\u2066", r"\u2066"))


def test_what_is_written_from_right_to_left_stays_so() -> None:
    assert unturned("ورد \u200fאבי 😀") == "ورد \u200fאבי 😀"
    assert unturned("\u202aa\u202bb\u202cc\u202dd\u202ee\u2066f\u2067g\u2068h\u2069") == "abcdefgh"


@pytest.mark.parametrize("typed", ["[" * 20_000, "{a: " * 5_000, "[" * 9_000 + "]" * 9_000])
def test_brackets_without_end_are_refused_at_once(typed: str) -> None:
    began = time.process_time()
    with pytest.raises(Slip):
        from_yaml(typed)
    assert time.process_time() - began < 0.5


def test_brackets_as_people_use_them_are_read() -> None:
    assert from_yaml("[[1, 2], {a: [3]}]") == [[1, 2], {"a": [3]}]


@pytest.mark.parametrize(
    ("code", "taken"),
    [("xyz", False), ("0213", False), ("٠٢١٣٩", False), ("02139", True), ("02139-4307", True)],
)
def test_a_zip_code_that_is_none_is_said_to_be_none(
    tmp_path_factory: pytest.TempPathFactory, code: str, taken: bool
) -> None:
    shop = build_shop(tmp_path_factory.mktemp("shop"))
    client = browse(shop)
    once = hidden_in(client.get("/form").text)["once"]
    shop.now += timedelta(minutes=1)
    sent = client.post(
        "/form",
        data={
            "once": once, "p1-support": "column", "p1-height-ft": "6", "colour": ["sage"],
            "fullness": "full", "setting": "indoor", "postal_code": code, "name": "Nora",
            "email": "nora@rowing.example",
        },
    )  # fmt: skip
    assert sent.status_code == (303 if taken else 422), text_of(sent.text)
    assert ("five digits" in sent.text) is not taken


def test_the_worst_request_costs_a_moment(service: Service) -> None:
    """The bounds on pieces, counts and sizes bound the work too."""
    colours = [each["name"] for each in service.client("bot").get("/v1/shop").json()["colours"]]
    pieces = [
        {
            "support": "round_top_frame", "width_m": 1.2 + n / 20, "height_m": 2.1,
            "fullness": ("airy", "full", "lush")[n % 3],
            "pattern": ("mixed", "ombre", "blocks", "stripe")[n % 4],
            "accents": [{"kind": "flowers", "count": 200}] * 20,
        }
        for n in range(20)
    ]  # fmt: skip
    floating = [{"kind": "latex", "size_class": size, "count": 25} for size in (11, 16, 24, 36)]
    worst = {
        "pieces": pieces, "palette": colours[:12], "foils": list("0123456789") * 4,
        "floating": floating * 5, "notes": "n" * 4000,
    }  # fmt: skip
    client = service.client("website")
    client.post("/v1/options", json=CANONICAL)
    for path in ("/v1/estimates", "/v1/options"):
        began = time.process_time()
        assert client.post(path, json=worst).status_code == 200
        assert time.process_time() - began < 3
    too_much = {"pieces": [{"support": "wall", "length_m": 30, "width_m": 30, "count": 50}] * 20}
    began = time.process_time()
    assert client.post("/v1/estimates", json=too_much).status_code == 422
    assert time.process_time() - began < 1


def test_deep_and_large_json_is_refused_at_once(service: Service) -> None:
    client = service.client("website")
    for body in (b"[" * 200_000, b'{"a":' * 100_000, b"9" * 300_000, b'{"pieces":' + b"1" * 5000):
        began = time.process_time()
        answer = client.post("/v1/estimates", content=body, headers=JSON)
        assert answer.status_code in (400, 422), answer.text
        assert time.process_time() - began < 1
