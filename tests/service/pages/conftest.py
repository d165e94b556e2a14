"""The pages over a shop of their own, and browsers to visit them with."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI
from starlette.testclient import TestClient

from service import pages
from service.leads import letting_in
from service.leads.handling import WELCOME_LINK
from service.pages.desk import passwords
from tests.service.building import PUBLIC_URL, BuiltShop, build_shop
from tests.service.pages.reading import sign_in


@pytest.fixture(autouse=True)
def _quick_hashes(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Argon2 as always, but with little to do: a desk that is signed in to costs no second."""
    quick = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(passwords, "_hasher", quick)
    passwords._of_nobody.cache_clear()
    yield
    passwords._of_nobody.cache_clear()


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


def browse(shop: BuiltShop) -> TestClient:
    """A fresh browser on the shop's pages, with cookies of its own."""
    return TestClient(
        _pages_of(shop), base_url=PUBLIC_URL, follow_redirects=False, raise_server_exceptions=False
    )


# Routes take longer to make than most tests run, so that they serve one test after another.
_made: list[FastAPI] = []
_serving: list[tuple[BuiltShop, FastAPI]] = []


@pytest.fixture(autouse=True)
def _shops_close() -> Iterator[None]:
    yield
    _serving.clear()


def _pages_of(shop: BuiltShop) -> FastAPI:
    for served, app in _serving:
        if served is shop:
            return app
    if len(_serving) == len(_made):
        _made.append(_routes())
    app = _made[len(_serving)]
    app.state.ports = shop.ports
    _serving.append((shop, app))
    return app


def _routes() -> FastAPI:
    app = FastAPI(openapi_url=None)

    @app.get("/fault")
    @app.get("/desk/fault")
    def fault() -> None:
        raise RuntimeError("a fault of ours")

    pages.install(app)
    return app


@pytest.fixture
def browser(shop: BuiltShop) -> Callable[[], TestClient]:
    """Opens fresh browsers."""
    return lambda: browse(shop)


@pytest.fixture
def client(browser: Callable[[], TestClient]) -> TestClient:
    """Somebody's browser."""
    return browser()


@pytest.fixture
def owner(shop: BuiltShop, browser: Callable[[], TestClient]) -> TestClient:
    """The owner's browser, signed in."""
    signed_in = browser()
    sign_in(signed_in, shop.link(WELCOME_LINK, "owner"))
    return signed_in


@pytest.fixture
def helper(shop: BuiltShop, browser: Callable[[], TestClient]) -> TestClient:
    """The browser of Sam Okoye, a helper, signed in."""
    with shop.ports.work() as work:
        welcome = letting_in.invite(work, shop.ports, "Sam Okoye", now=shop.now)
        work.commit()
    signed_in = browser()
    sign_in(signed_in, welcome.url.rpartition("/")[2])
    return signed_in
