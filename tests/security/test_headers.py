"""What every answer tells a browser: what it may run, frame, keep and pass on."""

import asyncio
import re
from collections.abc import Iterator

import httpx
import pytest

from service.leads.handling import QUOTE_LINK
from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import serving
from tests.service.access_table import ROUTES
from tests.service.api.conftest import Service
from tests.service.asking import ask
from tests.service.building import PUBLIC_URL
from tests.service.placing import Caller, Outcome, Placement
from tests.service.served import OWN, Route, Served, make

Answers = dict[Route, httpx.Response]

# Other origins' pages are meant to load these.
_FOR_OTHERS = ("/form/embed.js", "/quotes/{token}/picture.png", "/quotes/{token}/picture.webp")
# Pages of the shop and of its clients that the owner's own website may show in a frame.
_FRAMED = re.compile(r"/form|/requests/\{token\}")


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Answers]:
    """Every address that can be looked at, by somebody who may."""
    served = make(tmp_path_factory.mktemp("served"))
    yield asyncio.run(_look_everywhere(served))
    served.close()


async def _look_everywhere(served: Served) -> Answers:
    transport = httpx.ASGITransport(app=served.app, raise_app_exceptions=False)
    found = {}
    async with (
        served.app.router.lifespan_context(served.app),
        httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL) as client,
    ):
        for route, place in ROUTES.items():
            if route[0] == "GET" and not route[1].endswith(("events", ".pdf", ".zip")):
                found[route] = await ask(served, client, _who_may(place), route, OWN)
                client.cookies.clear()
    return found


def _who_may(place: Placement) -> Caller:
    return next(c for c in reversed(Caller) if place.outcomes[c] is Outcome.IN)


def _is_page(answer: httpx.Response) -> bool:
    return answer.headers.get("content-type", "").startswith("text/html")


def test_there_are_pages_of_every_kind(answers: Answers) -> None:
    pages = {path for (_, path), answer in answers.items() if _is_page(answer)}
    assert len(pages) > 40
    assert {"/form", "/desk", "/quotes/{token}", "/bookings/{token}", "/docs"} <= pages


def test_every_answer_has_its_rules(answers: Answers) -> None:
    for (_, path), answer in answers.items():
        headers = answer.headers
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'"), path
        assert "unsafe-eval" not in policy, path
        assert "script-src 'unsafe" not in policy, path
        assert headers["x-content-type-options"] == "nosniff", path
        assert headers["referrer-policy"] == "same-origin", path
        assert headers["strict-transport-security"] == "max-age=31536000", path
        wide = path in _FOR_OTHERS
        expected = "cross-origin" if wide else "same-origin"
        assert headers["cross-origin-resource-policy"] == expected, path


def test_every_page_says_who_may_frame_it(answers: Answers) -> None:
    for (_, path), answer in answers.items():
        if _is_page(answer):
            policy = answer.headers["content-security-policy"]
            assert "object-src 'none'" in policy, path
            assert "base-uri 'none'" in policy, path
            (ancestors,) = re.findall(r"frame-ancestors ([^;]+)", policy)
            assert ancestors == "'none'" or _FRAMED.fullmatch(path), path


def test_nothing_personal_is_kept_by_what_lies_between(answers: Answers) -> None:
    for (_, path), answer in answers.items():
        kept = answer.headers["cache-control"]
        if path == "/form/embed.js" or path.startswith("/docs"):
            continue
        assert "no-store" in kept or "private" in kept, path
        assert "public" not in kept, path


def test_errors_have_their_rules_as_well(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("a fault of ours")

    client = service.client("owner")
    found = [client.get("/v1/nothing"), client.get("/nothing"), client.post("/v1/leads", json=[])]
    found.append(service.client().get("/v1/leads"))
    found.append(client.post("/v1/estimates", content=b"x" * 2_200_000))
    monkeypatch.setattr("service.api.views.lead", broken)
    monkeypatch.setattr("service.storage.leads.SqlLeads.get", broken)
    found.append(client.get("/v1/leads/x"))
    assert [each.status_code for each in found] == [404, 404, 422, 401, 413, 500]
    for answer in found:
        assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"


def test_our_own_files_may_be_kept_by_their_content(service: Service) -> None:
    client = service.client()
    (named, *_) = re.findall(r"/static/pages\.css\?v=\w+", client.get("/").text)
    assert client.get(named).headers["cache-control"] == "public, max-age=31536000, immutable"
    assert client.get("/static/pages.css").headers["cache-control"] == "no-cache"


def test_only_the_owners_websites_may_frame_the_form_and_call_the_api(service: Service) -> None:
    client = service.client("website")
    assert (
        client.get("/form")
        .headers["content-security-policy"]
        .endswith("frame-ancestors https://rowing.example")
    )
    for origin, allowed in (("https://rowing.example", True), ("https://other.example", False)):
        answer = client.get("/v1/shop", headers={"Origin": origin})
        assert (answer.headers.get("access-control-allow-origin") == origin) is allowed
        assert "access-control-allow-credentials" not in answer.headers


def test_every_cookie_is_ours_alone_and_out_of_scripts_reach(service: Service) -> None:
    answer = service.client().get("/desk/sign-in")
    (cookie,) = answer.headers.get_list("set-cookie")  # type: ignore[attr-defined]
    name, _, rest = cookie.partition("=")
    assert name == "__Host-desk-form"
    parts = {part.strip().lower() for part in rest.split(";")[1:]}
    assert {"httponly", "secure", "samesite=strict", "path=/"} <= parts
    assert not any(part.startswith("domain") for part in parts)


def test_the_web_chat_has_the_same_rules_on_every_answer() -> None:
    gateway = MemoryGateway()
    gateway.photo = None  # type: ignore[assignment,method-assign]  # a fault of ours

    async def scenario() -> list[httpx.Response]:
        async with (
            serving(gateway, secure=True, website_origins=("https://rowing.example",)) as url,
            httpx.AsyncClient(base_url=url, headers={"Accept": "text/html"}) as client,
        ):
            first = await client.get("/")
            kept = first.headers["set-cookie"].split(";")[0]
            more = [
                await client.get(path, headers={"Cookie": kept})
                for path in ("/nothing", "/embed.js", "/static/chat.css", "/chat/photos/p1")
            ]
            return [first, *more]

    found = asyncio.run(scenario())
    assert [answer.status_code for answer in found] == [200, 404, 200, 200, 500]
    for answer in found:
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'self' https://rowing.example" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["strict-transport-security"] == "max-age=31536000"
    assert found[0].headers["set-cookie"].startswith("__Host-chat=")


def test_the_links_of_pages_stay_out_of_what_other_sites_see(answers: Answers) -> None:
    assert QUOTE_LINK in {place.purpose for place in ROUTES.values()}
    for (_, path), answer in answers.items():
        if "{token}" in path and _is_page(answer):
            assert answer.headers["referrer-policy"] == "same-origin"
            assert answer.headers["x-robots-tag"] == "noindex"
