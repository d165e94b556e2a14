"""Quotes stored before estimates said more are read like new ones, on SQLite and PostgreSQL."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import Engine, insert, select

from service.estimating import Brief, Estimate, Support
from service.leads.lead import LeadState
from service.storage import tables
from service.storage.database import MIGRATIONS, migrate, open_engine
from tests.service.storage.conftest import NOON, Shop

# Briefs and estimates as the first tables kept them, and the ends of each path as it was drawn.
STORED = [
    json.loads(line)
    for line in (Path(__file__).parent / "quotes_of_0001.jsonl").read_text("utf-8").splitlines()
]


def to_revision(engine: Engine, revision: str, *, down: bool = False) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        (command.downgrade if down else command.upgrade)(config, revision)


def store(engine: Engine, index: int, kept: Any) -> None:
    text = {name: json.dumps(kept[name], ensure_ascii=False) for name in ("brief", "estimate")}
    price = kept["estimate"]["price"]
    with engine.begin() as connection:
        connection.execute(
            insert(tables.leads).values(
                id=f"lead-{index}",
                state=LeadState.QUOTED,
                channel="form",
                chat_id="",
                language="en",
                client={"name": "Nora", "email": None, "phone": None},
                brief=text["brief"],
                review_reasons=[],
                created_at=NOON,
            )
        )
        connection.execute(
            insert(tables.quotes).values(
                id=f"quote-{index}",
                lead_id=f"lead-{index}",
                number=f"G{1001 + index}-1",
                kind="ballpark",
                estimate=text["estimate"],
                low=Decimal(price["low"]),
                likely=Decimal(price["likely"]),
                high=Decimal(price["high"]),
                deposit=Decimal(price["deposit"]),
                currency=price["currency"],
                created_at=NOON,
                expires_at=NOON,
            )
        )


@dataclass
class Old:
    """A database of the first tables, with a quote of each stored kind."""

    engine: Engine

    def read(self, index: int) -> tuple[Brief, Estimate]:
        with Shop(self.engine).read() as work:
            quote = work.quotes.get(f"quote-{index}")
            return work.leads.get(quote.lead_id).brief, quote.estimate

    def kept(self) -> list[Any]:
        query = select(tables.quotes.c.estimate).order_by(tables.quotes.c.seq)
        with self.engine.begin() as connection:
            return [json.loads(text) for text in connection.execute(query).scalars()]


@pytest.fixture
def old(database_url: str) -> Iterator[Old]:
    engine = open_engine(database_url)
    to_revision(engine, "0001")
    for index, kept in enumerate(STORED):
        store(engine, index, kept)
    yield Old(engine)
    engine.dispose()


def test_old_briefs_are_read_as_they_were(old: Old) -> None:
    migrate(old.engine)
    for index, stored in enumerate(STORED):
        brief, _ = old.read(index)
        asked = stored["brief"]
        assert [piece.coverage for piece in brief.pieces] == [
            piece["coverage"] for piece in asked["pieces"]
        ]
        assert [piece.support for piece in brief.pieces] == [
            piece["support"] for piece in asked["pieces"]
        ]
        assert [share.colour for share in brief.palette] == [
            share["colour"] for share in asked["palette"]
        ]
        assert list(brief.foils) == asked["foils"]
        assert brief.floating == ()
        assert brief.client_keeps is None


def test_everything_a_client_was_told_stays(old: Old) -> None:
    migrate(old.engine)
    for kept, stored in zip(old.kept(), STORED, strict=True):
        before = stored["estimate"]
        told = {name: kept["price"][name] for name in before["price"]}
        assert told == before["price"]
        assert kept["explanation"] == before["explanation"]
        assert kept["assumptions"] == before["assumptions"]
        assert kept["balloons_total"] == before["balloons_total"]
        texts = [caution["text"] for caution in kept["cautions"]]
        wind = [before["wind"]["caution"]] if before["wind"] else []
        assert texts == [caution["text"] for caution in before["cautions"]] + wind


def test_paths_keep_their_ends_and_the_points_that_hold_them(old: Old) -> None:
    migrate(old.engine)
    for index, stored in enumerate(STORED):
        _, estimate = old.read(index)
        for piece, (start, end) in zip(estimate.pieces, stored["ends"], strict=True):
            assert [piece.start.x, piece.start.y, piece.start.z] == pytest.approx(start)
            assert [piece.end.x, piece.end.y, piece.end.z] == pytest.approx(end, abs=1e-9)
            assert piece.runs == ((0, piece.garland_length_m),)
            assert len(piece.attachments_m) == piece.attachment_points
            assert list(piece.attachments_m) == sorted(set(piece.attachments_m))
            whole_hoop = piece.support is Support.HOOP
            assert (piece.attachments_m[-1] == pytest.approx(piece.garland_length_m)) != whole_hoop


def test_the_plan_follows_from_the_hours(old: Old) -> None:
    migrate(old.engine)
    _, estimate = old.read(0)
    plan, hours = estimate.plan, estimate.hours
    assert estimate.load.trips == 3  # two car loads, and back to strike
    one_way = hours["drive"] / 6
    assert plan.crew == 1
    assert plan.set_up_h == pytest.approx(hours["install"] + hours["finish"])
    # There with the first load, back and there again with the second.
    assert plan.arrive_before_h == pytest.approx(plan.set_up_h + 2 * one_way)
    assert plan.leave_before_h == pytest.approx(plan.arrive_before_h + one_way)
    made = ("sizing_and_inflating", "tying", "clustering", "line_build", "foils")
    assert plan.bench_h == pytest.approx(sum(hours[task] for task in made))
    assert plan.ahead_h == pytest.approx(plan.bench_h + hours["load"] + plan.leave_before_h)
    assert plan.strike_h == hours["strike"]
    assert hours["accents"] == 0


def test_money_adds_up_as_it_did(old: Old) -> None:
    migrate(old.engine)
    for index in range(len(STORED)):
        _, estimate = old.read(index)
        shopping = estimate.shopping
        assert sum(order.goods + order.delivery for order in shopping.orders) == shopping.cost
        assert len({order.supplier for order in shopping.orders}) == len(shopping.orders)
        direct = sum(line.amount for line in estimate.cost_lines if line.code != "overhead")
        assert abs(estimate.cost.likely - direct) <= Decimal("0.005")
        assert all(line.taxable for line in estimate.cost_lines)


def test_what_the_explanation_told_of_the_range_is_kept_as_figures(old: Old) -> None:
    migrate(old.engine)
    _, estimate = old.read(0)
    # "P10 of the estimate: 85%", "P90 of the estimate: 118%"
    assert round(estimate.cost.low / estimate.cost.likely, 3) == Decimal("0.850")
    assert round(estimate.cost.high / estimate.cost.likely, 3) == Decimal("1.180")
    assert [(driver.name, driver.share) for driver in estimate.drivers][:2] == [
        ("pace of work", 0.58),
        ("packing", 0.4),
    ]
    assert estimate.known_as == "nearly everything is known"
    assert old.read(1)[1].known_as == "a first sketch, most of it open"


def test_the_tax_on_the_whole_price_is_worked_out_on_top_or_within(old: Old) -> None:
    migrate(old.engine)
    on_top, within = old.read(0)[1].price, old.read(1)[1].price
    assert on_top.tax == Decimal("63.75")  # 1,020 x 0.0625
    assert within.tax == Decimal("140.88")  # 2,395 - 2,395 / 1.0625
    assert on_top.taxable_share == within.taxable_share == 1


def test_what_was_not_reckoned_stays_empty(old: Old) -> None:
    migrate(old.engine)
    _, estimate = old.read(0)
    assert estimate.wind is None
    assert estimate.cautions[-1].code == "wind"
    assert estimate.expansion is None
    assert (estimate.spares, estimate.fittings, estimate.shopping.filled) == ((), (), ())
    assert all(not piece.order and not piece.cluster_types for piece in estimate.pieces)


def test_a_quote_that_is_already_fuller_is_left_alone(old: Old) -> None:
    to_revision(old.engine, "0002")
    once = old.kept()
    to_revision(old.engine, "0001", down=True)
    with old.engine.begin() as connection:
        for index, estimate in enumerate(once):
            connection.execute(
                tables.quotes.update()
                .where(tables.quotes.c.id == f"quote-{index}")
                .values(estimate=json.dumps(estimate))
            )
    migrate(old.engine)
    assert old.kept() == once


def test_a_brief_that_does_not_fit_its_quote_does_not_stop_the_rest(old: Old) -> None:
    fitting = json.dumps(STORED[1]["brief"] | {"pieces": STORED[1]["brief"]["pieces"][3:4]})
    with old.engine.begin() as connection:
        connection.execute(
            tables.leads.update().where(tables.leads.c.id == "lead-1").values(brief=fitting)
        )
    migrate(old.engine)
    frame = old.read(1)[1].pieces[0]
    assert frame.start == frame.end
    assert len(old.read(1)[1].pieces) == len(STORED[1]["estimate"]["pieces"])
    assert old.read(0)[1].pieces[0].end.x == 3.0


def test_going_back_restores_what_was_stored(old: Old) -> None:
    to_revision(old.engine, "0002")
    assert old.kept() != [stored["estimate"] for stored in STORED]
    to_revision(old.engine, "0001", down=True)
    assert old.kept() == [stored["estimate"] for stored in STORED]
