"""What a power failure may take back, and what it may not."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.leads.ports import UnitOfWork
from tests.service.building import BuiltShop, build_shop

NORMAL, FULL = 1, 2


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


def _synchronous(work: UnitOfWork) -> object:
    connection = work._connection  # type: ignore[attr-defined]
    return connection.exec_driver_sql("PRAGMA synchronous").scalar_one()


def test_only_a_passing_transaction_does_not_wait_for_the_disk(shop: BuiltShop) -> None:
    seen = []
    for begin in (shop.ports.work, shop.ports.passing, shop.ports.work, shop.ports.passing):
        with begin() as work:
            seen.append(_synchronous(work))
            work.commit()
    with shop.ports.read() as work:
        work.leads.count_by_state()
    with shop.ports.work() as work:
        seen.append(_synchronous(work))
    assert seen == [FULL, NORMAL, FULL, NORMAL, FULL]
