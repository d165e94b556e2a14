"""From booking to strike: pictures, purchases, what jobs really took, what was learnt, long work

Revision ID: 0005
Revises: 0004
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import sqlalchemy as sa
from alembic import op

from service.storage.types import Instant, Money

revision: str = "0005"
down_revision: str | None = "0004"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    op.create_table(
        "calibrations",
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("version", sa.String(length=12), nullable=False),
        sa.Column("made_at", Instant(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("decision", sa.JSON(), nullable=False),
        sa.Column("jobs", sa.Integer(), nullable=False),
        sa.Column("applied", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_calibrations")),
    )
    op.create_index(op.f("ix_calibrations_version"), "calibrations", ["version"], unique=False)
    op.create_table(
        "chores",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=24), nullable=False),
        sa.Column("asked", sa.JSON(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("ended_at", Instant(timezone=True), nullable=True),
        sa.Column("stopped_at", Instant(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_chores")),
    )
    op.create_index(op.f("ix_chores_made_at"), "chores", ["made_at"], unique=False)
    op.create_table(
        "purchases",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("supplier", sa.String(length=120), nullable=False),
        sa.Column("item", sa.String(length=200), nullable=False),
        sa.Column("contents", sa.JSON(), nullable=False),
        sa.Column("packs", sa.Integer(), nullable=False),
        sa.Column("cost", Money(), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("bought_at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("undone_at", Instant(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purchases")),
    )
    op.create_index(op.f("ix_purchases_bought_at"), "purchases", ["bought_at"], unique=False)
    op.create_table(
        "purchase_jobs",
        sa.Column("purchase_id", sa.String(length=32), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("settled", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_purchase_jobs_lead_id")),
        sa.ForeignKeyConstraint(
            ["purchase_id"], ["purchases.id"], name=op.f("fk_purchase_jobs_purchase_id")
        ),
        sa.PrimaryKeyConstraint("purchase_id", "lead_id", name=op.f("pk_purchase_jobs")),
    )
    op.create_index(op.f("ix_purchase_jobs_lead_id"), "purchase_jobs", ["lead_id"], unique=False)
    op.create_table(
        "chore_parts",
        sa.Column("chore_id", sa.String(length=32), nullable=False),
        sa.Column("n", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("about", sa.String(length=24), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=True),
        sa.Column("lead_id", sa.String(length=32), nullable=True),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("figures", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("trouble", sa.String(length=200), nullable=True),
        sa.Column("name", sa.String(length=200), nullable=True),
        sa.Column("document", sa.LargeBinary(), nullable=True),
        sa.ForeignKeyConstraint(["chore_id"], ["chores.id"], name=op.f("fk_chore_parts_chore_id")),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_chore_parts_lead_id")),
        sa.PrimaryKeyConstraint("chore_id", "n", name=op.f("pk_chore_parts")),
        sa.UniqueConstraint("id", name=op.f("uq_chore_parts_id")),
    )
    op.create_index(op.f("ix_chore_parts_lead_id"), "chore_parts", ["lead_id"], unique=False)
    op.create_table(
        "job_photos",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_job_photos_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job_photos")),
    )
    op.create_index(op.f("ix_job_photos_lead_id"), "job_photos", ["lead_id"], unique=False)
    op.create_table(
        "site_notes",
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("words", sa.JSON(), nullable=False),
        sa.Column("changed_at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_site_notes_lead_id")),
        sa.PrimaryKeyConstraint("lead_id", name=op.f("pk_site_notes")),
    )
    op.create_table(
        "actuals",
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("quote_id", sa.String(length=32), nullable=False),
        sa.Column("done_on", sa.String(length=10), nullable=False),
        sa.Column("entered_at", Instant(timezone=True), nullable=False),
        sa.Column("changed_at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("took", sa.JSON(), nullable=False),
        sa.Column("went_wrong", sa.Text(), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("real_cost", Money(), nullable=False),
        sa.Column("observation", sa.JSON(), nullable=False),
        sa.Column("told", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_actuals_lead_id")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_actuals_quote_id")),
        sa.PrimaryKeyConstraint("lead_id", name=op.f("pk_actuals")),
    )
    op.create_index(op.f("ix_actuals_done_on"), "actuals", ["done_on"], unique=False)
    op.add_column("messages", sa.Column("picture", sa.JSON(none_as_null=True), nullable=True))
    op.add_column("quotes", sa.Column("calibration", sa.String(length=12), nullable=True))
    _cost_as_planned()


def _cost_as_planned() -> None:
    """The cost of a quote is that of its lines before overhead, and no longer the likely one."""
    connection = op.get_bind()
    quotes = sa.table(
        "quotes", sa.column("seq"), sa.column("estimate", sa.Text), sa.column("cost", Money)
    )
    # One at a time: an estimate is long, and there may be many.
    for seq in list(connection.scalars(sa.select(quotes.c.seq).order_by(quotes.c.seq))):
        text = connection.scalar(sa.select(quotes.c.estimate).where(quotes.c.seq == seq))
        cost = _planned(json.loads(text or "{}").get("cost_lines", ()))
        connection.execute(sa.update(quotes).where(quotes.c.seq == seq).values(cost=cost))


def _planned(lines: Iterable[Mapping[str, Any]]) -> Decimal:
    direct = (Decimal(line["amount"]) for line in lines if line["code"] != "overhead")
    return sum(direct, Decimal(0)).quantize(Decimal("0.01"), ROUND_HALF_UP)


def downgrade() -> None:
    raise NotImplementedError(
        "What finished jobs taught would be lost: restore the backup instead."
    )
