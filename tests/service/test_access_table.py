"""Every route is asked as every caller, about their own and about another's things."""

import asyncio
import re
from collections.abc import Iterator

import httpx
import pytest
from fastapi.routing import iter_route_contexts
from starlette.routing import BaseRoute, Mount

from service.api import routing
from tests.service.access_table import FILES, ROUTES, UNPLACED
from tests.service.asking import ask_all, parameters, shows
from tests.service.building import PUBLIC_URL
from tests.service.placing import Caller
from tests.service.served import Route, Served, make


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The application after everybody has asked for everything, once for all tests."""
    made = make(tmp_path_factory.mktemp("served"))
    asyncio.run(ask_all(made))
    yield made
    made.close()


HEALTH = ("/healthz", "/readyz", "/metrics")


def every_route(routes: list[BaseRoute], prefix: str = "") -> Iterator[Route]:
    """All that is served, in applications that are mounted as well."""
    for context in iter_route_contexts(routes):
        route = context.original_route
        path = prefix + (context.path or "")
        if isinstance(route, Mount):
            mounted = list(every_route(route.routes, path))
            yield from mounted or [("FILES", path)]
        elif path in HEALTH and context.endpoint is routing._nowhere:
            continue  # says of every other method that it is not possible
        else:
            yield from ((method, path) for method in context.methods or () if method != "HEAD")


def test_every_route_that_is_served_has_its_place(served: Served) -> None:
    found = {
        (method, path)
        for method, path in every_route(served.app.routes)
        if path not in UNPLACED and (method, path) not in {("FILES", each) for each in FILES}
    }
    assert found - set(ROUTES) == set(), "place these in tests/service/access_table.py"
    assert set(ROUTES) - found == set(), "nothing serves these any more"


def test_every_documented_route_is_one_of_them(served: Served) -> None:
    documented = {
        (method.upper(), path)
        for path, methods in served.app.openapi()["paths"].items()
        for method in methods
    }
    assert documented <= set(ROUTES)


@pytest.mark.parametrize("route", sorted(ROUTES), ids=" ".join)
def test_a_route_lets_in_whom_it_should_and_nobody_else(served: Served, route: Route) -> None:
    assert served.faults[route] == []


def test_no_cell_was_left_out(served: Served) -> None:
    cells = sum(2 if parameters(path) else 1 for _, path in ROUTES) * len(Caller)
    assert served.asked == cells


# What a browser may do with what it was shown

# Other origins' pages are meant to load these.
FOR_OTHERS = ("/form/embed.js", "/quotes/{token}/picture.png", "/quotes/{token}/picture.webp")
# Anybody may keep these.
FOR_ALL = ("/form/embed.js", "/docs", "/docs/oauth2-redirect")


def is_page(answer: httpx.Response) -> bool:
    return str(answer.headers.get("content-type", "")).startswith("text/html")


def test_pages_of_every_kind_were_looked_at(served: Served) -> None:
    pages = {path for (_, path), answer in served.looked.items() if is_page(answer)}
    assert len(pages) > 40
    assert {"/form", "/desk", "/quotes/{token}", "/bookings/{token}", "/docs"} <= pages


def test_every_answer_says_what_a_browser_may_do_with_it(served: Served) -> None:
    for (_, path), answer in served.looked.items():
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'"), path
        assert not re.search(r"unsafe-eval|script-src[^;]*unsafe", policy), path
        assert answer.headers["x-content-type-options"] == "nosniff", path
        assert answer.headers["referrer-policy"] == "same-origin", path
        assert answer.headers["strict-transport-security"] == "max-age=31536000", path
        whose = answer.headers["cross-origin-resource-policy"]
        assert whose == ("cross-origin" if path in FOR_OTHERS else "same-origin"), path


def test_every_page_says_that_nobody_else_may_frame_it(served: Served) -> None:
    # No website is named in the settings here.
    for (_, path), answer in served.looked.items():
        if is_page(answer):
            policy = answer.headers["content-security-policy"]
            assert re.findall(r"frame-ancestors ([^;]+)", policy) == ["'none'"], path
            assert "object-src 'none'" in policy, path
            assert "base-uri 'none'" in policy, path


def test_nothing_personal_is_kept_on_the_way(served: Served) -> None:
    for (_, path), answer in served.looked.items():
        if path not in FOR_ALL:
            kept = answer.headers["cache-control"]
            assert "no-store" in kept or "private" in kept, path
            assert "public" not in kept, path


@pytest.mark.parametrize("path", ["/v1", "/v1/nothing", "/nothing", "/desk/nothing"])
def test_an_address_of_nothing_is_nothing_to_anybody(served: Served, path: str) -> None:
    async def ask_everybody() -> set[int]:
        transport = httpx.ASGITransport(app=served.app)
        async with httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL) as client:
            answers = [await client.get(path, headers=shows(served, each)) for each in Caller]
        return {answer.status_code for answer in answers}

    assert asyncio.run(ask_everybody()) == {404}
