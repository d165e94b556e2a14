"""Shops with and without booked jobs."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.leads.lead import Lead
from service.storage.database import open_engine
from tests.service.building import BuiltShop, build_shop
from tests.service.workshop.booked_jobs import book_job, wall


@pytest.fixture(name="red_jobs", scope="package")
def _red_jobs(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, Lead, Lead]:
    """The database of a shop with two booked jobs in red, and the jobs, the nearer one first."""
    folder = tmp_path_factory.mktemp("red")
    built = build_shop(folder)
    jobs = [book_job(built, wall(3.0, "red", days=day)) for day in (0, 5)]
    built.engine.dispose()
    return (folder / "shop.sqlite").read_bytes(), jobs[0], jobs[1]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    """A shop without a job."""
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


@pytest.fixture
def red(tmp_path: Path, red_jobs: tuple[bytes, Lead, Lead]) -> Iterator[BuiltShop]:
    """A shop with two booked jobs in red."""
    database = tmp_path / "shop.sqlite"
    database.write_bytes(red_jobs[0])
    built = BuiltShop(engine=open_engine(f"sqlite:///{database}"))
    yield built
    built.engine.dispose()


@pytest.fixture
def near(red_jobs: tuple[bytes, Lead, Lead]) -> Lead:
    """The job in red that comes first."""
    return red_jobs[1]


@pytest.fixture
def far(red_jobs: tuple[bytes, Lead, Lead]) -> Lead:
    """The job in red that comes last."""
    return red_jobs[2]
