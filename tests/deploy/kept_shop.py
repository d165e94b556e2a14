"""A shop worth keeping: two clients with prices, dates, photos and words, over either database."""

import atexit
import json
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import psycopg
from fastapi import FastAPI
from sqlalchemy import make_url
from starlette.testclient import TestClient

from service.app import attach, create_app
from service.assembly import Assembly, prepare
from service.config import Settings
from service.leads.handling import BOOKING_LINK, QUOTE_LINK
from service.storage.copying import copy_all
from service.storage.database import migrate, open_engine
from tests.service.building import PRICE_BOOK, PUBLIC_URL, BuiltShop, empty_database
from tests.service.served import Objects, a_client

KEYS = {
    "bot": "b" * 43,
    "worker": "w" * 43,
    "website": "s" * 43,
    "owner": "o" * 43,
    "links": "a secret for tests only",
    "metrics": "m" * 43,
}


def settings_in(folder: Path, database_url: str | None = None) -> Settings:
    """A shop's settings with everything of its own in one folder."""
    folder.mkdir(exist_ok=True)
    return Settings(
        data=folder / "data",
        database_url=database_url,
        redis_url="redis://127.0.0.1:9/0",
        price_book=folder / "price_book.yaml",
        wording=folder / "wording",
        public_url=PUBLIC_URL,
        reference_date=date(2027, 1, 10),
    )


@dataclass
class KeptShop:
    """The shop from inside, and what two clients have there."""

    settings: Settings
    shop: BuiltShop
    own: Objects
    another: Objects


def open_shop(settings: Settings) -> KeptShop:
    """A shop with its clients where the settings say: made once, and copied."""
    template, own, another = _template()
    shutil.copytree(template, settings.data.parent, dirs_exist_ok=True)
    engine = open_engine(settings.database)
    if settings.database_url is not None:
        there = open_engine(f"sqlite:///{settings.data / 'garlandry.sqlite3'}")
        migrate(engine)
        copy_all(there, engine)
        there.dispose()
    shop = BuiltShop(engine=engine, price_book=settings.price_book)
    return KeptShop(settings=settings, shop=shop, own=own, another=another)


@cache
def _template() -> tuple[Path, Objects, Objects]:
    folder = TemporaryDirectory()
    atexit.register(folder.cleanup)
    settings = settings_in(Path(folder.name) / "shop")
    settings.data.mkdir(mode=0o700)
    keys = settings.data / "keys.json"
    keys.write_text(json.dumps(KEYS))
    keys.chmod(0o600)
    shutil.copy(PRICE_BOOK, settings.price_book)
    assert settings.wording is not None
    settings.wording.mkdir()
    (settings.wording / "shop.en.po").write_text('msgid ""\nmsgstr ""\n')
    (settings.data / "garlandry.sqlite3").write_bytes(empty_database())
    prepare(settings)
    shop = BuiltShop(engine=open_engine(settings.database), price_book=settings.price_book)
    own = a_client(shop, "Nora", date(2027, 1, 24), "own")
    another = a_client(shop, "Quentin", date(2027, 1, 31), "another")
    shop.engine.dispose()
    return settings.data.parent, own, another


def seen(settings: Settings, objects: Objects) -> dict[str, str]:
    """What a client and the owner see of it through the application's own pages."""
    app, assembly = _routes(), Assembly(settings)
    attach(app, assembly)
    owner = {"Authorization": f"Bearer {KEYS['owner']}"}
    bot = {"Authorization": f"Bearer {KEYS['bot']}"}
    chat = f"?channel=webchat&chat_id={objects.named['chat_id']}"
    asked = {
        f"/v1/leads/{objects.named['lead_id']}": owner,
        f"/v1/photos/{objects.named['photo_id']}{chat}": bot,
        "/v1/leads": owner,
        "/v1/figures": owner,
        f"/quotes/{objects.links[QUOTE_LINK]}": {},
        f"/bookings/{objects.links[BOOKING_LINK]}": {},
    }
    client = TestClient(app)
    answers = {path: client.get(path, headers=headers) for path, headers in asked.items()}
    assembly.engine.dispose()
    assert {path: a.status_code for path, a in answers.items() if a.status_code != 200} == {}
    return {path: answer.text for path, answer in answers.items()}


@cache
def _routes() -> FastAPI:
    with TemporaryDirectory() as folder:
        settings = settings_in(Path(folder) / "routes")
        shutil.copy(PRICE_BOOK, settings.price_book)
        prepare(settings)
        return create_app(settings)


@contextmanager
def another_database(url: str) -> Iterator[str | None]:
    """A second, empty database of the same kind; None for SQLite, which needs no address."""
    if url.startswith("sqlite"):
        yield None
        return
    name = f"shop_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    yield make_url(url).set(database=name).render_as_string(hide_password=False)
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())
