"""The page and its cookies: who a visitor is, in which language, and where it may be shown."""

import asyncio
import re
from typing import Any

import httpx
import pytest

from tests.bot.webchat.calling import problem_of, with_client
from tests.bot.webchat.memory import CARD, MemoryGateway
from tests.bot.webchat.serving import serving


def test_the_page_gives_a_new_visitor_an_unguessable_cookie_and_keeps_a_known_one() -> None:
    async def scenario() -> None:
        async with serving(MemoryGateway()) as url, httpx.AsyncClient(base_url=url) as client:
            first = await client.get("/")
            cookie = first.headers["set-cookie"]
            value = client.cookies["chat"]
            assert re.fullmatch(r"[\w-]{32}", value)  # 24 random bytes
            assert "HttpOnly" in cookie
            assert "SameSite=lax" in cookie
            assert "Secure" not in cookie
            await client.get("/")
            assert client.cookies["chat"] == value
            client.cookies.clear()
            await client.get("/")
            assert client.cookies["chat"] != value

    asyncio.run(scenario())


def test_behind_https_the_cookie_is_for_https_only() -> None:
    async def scenario() -> None:
        async with serving(MemoryGateway(), secure=True) as url:
            response = await asyncio.to_thread(httpx.get, url)
            assert "Secure" in response.headers["set-cookie"]
            assert response.headers["set-cookie"].startswith("__Host-chat=")
            assert response.headers["strict-transport-security"] == "max-age=31536000"

    asyncio.run(scenario())


def test_who_was_here_before_the_cookie_had_its_name_goes_on_with_the_same_chat() -> None:
    old, new = "a" * 32, "b" * 32

    async def given(url: str, cookie: str) -> str:
        async with httpx.AsyncClient(headers={"Cookie": cookie}) as client:
            chat, *_ = (await client.get(url)).headers.get_list("set-cookie")
        return chat.partition(";")[0]

    async def scenario() -> None:
        async with serving(MemoryGateway(), secure=True) as url:
            assert await given(url, f"chat={old}") == f"__Host-chat={old}"
            assert await given(url, f"chat={old}; __Host-chat={new}") == f"__Host-chat={new}"
            headers = {"Cookie": f"chat={old}"}
            update = {"update_id": "u1", "kind": "text", "text": "hi"}
            async with httpx.AsyncClient(base_url=url, headers=headers) as client:
                assert (await client.post("/chat/updates", json=update)).status_code == 202

    asyncio.run(scenario())


def test_in_another_websites_frame_the_cookie_is_kept_for_that_website() -> None:
    async def scenario() -> None:
        async with serving(MemoryGateway(), secure=True) as url, httpx.AsyncClient() as client:
            framed = await client.get(f"{url}/?framed=https://hall.example&lang=es")
            for cookie in framed.headers.get_list("set-cookie"):
                assert {"Secure", "SameSite=none", "Partitioned"} <= set(cookie.split("; "))
        # Without https there is no such cookie: it works where chat and website are one site.
        async with serving(MemoryGateway()) as url, httpx.AsyncClient() as client:
            plain = await client.get(f"{url}/?framed=http://hall.example")
            assert "SameSite=lax" in plain.headers["set-cookie"]

    asyncio.run(scenario())


@pytest.mark.parametrize(
    ("address", "cookie", "browser", "language"),
    [
        ("/", None, "es-MX,en;q=0.5", "es"),
        ("/", None, "fr,de", "en"),
        ("/?lang=es", "en", "en", "es"),
        ("/?lang=fr", "es", "en", "es"),
        ("/?site_lang=en-GB", "es", "en", "es"),
        ("/?site_lang=es-US", None, "en", "es"),
        ("/", "xx", "es", "es"),
    ],
)
def test_the_language_is_the_one_chosen_else_that_of_the_website_else_the_browsers(
    address: str, cookie: str | None, browser: str, language: str
) -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        if cookie:
            client.cookies["lang"] = cookie
        page = await client.get(address, headers={"Accept-Language": browser})
        assert f'<html lang="{language}">' in page.text
        chosen = address == "/?lang=es"
        assert any("lang=es" in one for one in page.headers.get_list("set-cookie")) == chosen

    with_client(act)


def test_only_named_websites_may_show_the_chat_in_a_frame() -> None:
    async def ancestors(*origins: str) -> str:
        async with serving(MemoryGateway(), website_origins=origins) as url:
            policy = (await asyncio.to_thread(httpx.get, url)).headers["content-security-policy"]
            return str(policy).partition("frame-ancestors ")[2]

    assert asyncio.run(ancestors()) == "'self'"
    named = ancestors("https://hall.example", "https://www.hall.example")
    assert asyncio.run(named) == "'self' https://hall.example https://www.hall.example"


def test_a_cookie_of_a_wrong_shape_is_replaced() -> None:
    async def scenario() -> None:
        async with serving(MemoryGateway()) as url, httpx.AsyncClient(base_url=url) as client:
            response = await client.get("/", headers={"Cookie": "chat=../../other"})
            assert re.fullmatch(r"[\w-]{32}", response.cookies["chat"])

    asyncio.run(scenario())


def test_the_page_runs_only_its_own_scripts_and_loads_nothing_from_elsewhere() -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        page = await client.get("/")
        policy = page.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        scripts = re.findall(r"<script\b([^>]*)>(.*?)</script>", page.text, re.DOTALL)
        assert len(scripts) == 1
        assert all("src=" in attributes and not body for attributes, body in scripts)
        assert not re.search(r"\son\w+=|style=|<style|https?://", page.text)
        loaded = re.findall(r'(?:src|href)="([^"]+)"', page.text)
        assert loaded
        for address in loaded:
            assert (await client.get(address)).status_code == 200

    with_client(act)


def test_the_page_speaks_the_browsers_language_and_escapes_the_shops_words() -> None:
    class Sharp(MemoryGateway):
        async def shop(self) -> Any:
            return type(CARD)(**{**vars(CARD), "name": "<b>Paper & Ribbon</b>"})

    async def scenario() -> None:
        async with serving(Sharp()) as url, httpx.AsyncClient(base_url=url) as client:
            spanish = await client.get("/", headers={"Accept-Language": "es-MX,es;q=0.9,en;q=0.5"})
            assert '<html lang="es">' in spanish.text
            assert "Tu mensaje" in spanish.text
            other = await client.get("/", headers={"Accept-Language": "fr"})
            assert '<html lang="en">' in other.text
            assert "&lt;b&gt;Paper &amp; Ribbon&lt;/b&gt;" in other.text
            assert "<b>" not in other.text

    asyncio.run(scenario())


def test_the_page_opens_while_the_service_is_down() -> None:
    async def act(gateway: MemoryGateway, client: httpx.AsyncClient) -> None:
        gateway.down.add("shop")
        page = await client.get("/")
        assert page.status_code == 200
        assert CARD.name in page.text

    with_client(act)


def test_a_wrong_address_in_a_browser_is_a_page_that_leads_to_the_chat() -> None:
    async def act(_: MemoryGateway, client: httpx.AsyncClient) -> None:
        browser = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
        response = await client.get("/chatt", headers=browser)
        assert response.status_code == 404
        assert response.headers["content-type"].startswith("text/html")
        assert CARD.name in response.text
        assert '<a href="/">' in response.text
        spanish = await client.get("/chatt", headers=browser | {"Accept-Language": "es-MX"})
        assert "No hay nada" in spanish.text
        problem_of(await client.get("/chatt"), 404)

    with_client(act)


@pytest.mark.parametrize("form_url", [None, "https://ribbon.example/form"])
def test_without_scripts_the_page_names_the_form_and_the_contact(form_url: str | None) -> None:
    async def scenario() -> None:
        gateway = MemoryGateway()
        async with (
            serving(gateway, form_url=form_url) as url,
            httpx.AsyncClient(base_url=url) as client,
        ):
            page = (await client.get("/")).text
            spanish = (await client.get("/?lang=es")).text
        assert CARD.contact_in("es") in spanish
        aside = page.partition("<noscript>")[2].partition("</noscript>")[0]
        assert CARD.contact in aside
        assert (f'href="{form_url}"' in aside) == (form_url is not None)
        # Nothing to write into where nothing can be sent.
        assert '<form id="composer" novalidate hidden>' in page

    asyncio.run(scenario())
