"""What finished jobs took, on PostgreSQL: the same as on SQLite, where the other tests are."""

from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import Engine

from service.leads.actuals import Actuals, Extra
from service.leads.figures import Figures
from tests.service.building import BuiltShop
from tests.service.finishing import finished, tell, told_of


@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
def test_what_was_told_is_kept_counted_and_taken_out(engine: Engine) -> None:
    shop = BuiltShop(engine=engine)
    lead = finished(shop)
    day = shop.now.date()
    with shop.ports.read() as work:
        assert work.actuals.untold(since=day - timedelta(days=3), limit=5) == [lead.id]
        assert work.actuals.untold(since=day + timedelta(days=3), limit=5) == []
    extra = Extra(what="zip ties", amount=Decimal("7.25"))
    told = tell(shop, lead, Actuals(used=300, burst={10: 0}, extras=(extra,)), went_wrong="rain")
    assert told is not None
    assert told_of(shop, lead) == told
    corrected = tell(shop, lead, Actuals(hours={"tying": 2.5}), revision=1)
    assert corrected is not None
    with shop.ports.read() as work:
        assert work.actuals.since(day - timedelta(days=3)) == [corrected]
        assert work.actuals.all_observations() == [corrected.observation]
        assert work.actuals.untold(since=day - timedelta(days=3), limit=5) == []
        kept = Figures(work.figures, since=None, until=None, currency="USD").kept
        columns = work.exports.columns("actuals")
        (row,) = [dict(zip(columns, cells, strict=True)) for cells in work.exports.rows("actuals")]
    assert (kept.jobs, kept.cost) == (1, corrected.real_cost)
    assert (row["number"], row["real_cost"], row["revision"]) == (
        lead.number,
        corrected.real_cost,
        2,
    )
