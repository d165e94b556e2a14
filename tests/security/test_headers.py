"""What every answer tells a browser: what it may run, frame, keep and pass on."""

import asyncio
import re

import httpx
import pytest

from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import serving
from tests.service.api.conftest import Service


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
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert "frame-ancestors" in answer.headers["content-security-policy"]
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
    (cookie,) = answer.headers.get_list("set-cookie")
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
