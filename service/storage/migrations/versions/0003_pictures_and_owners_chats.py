"""Pictures in conversations, and the owner's own chats

Messages may show colours, take the place of an earlier message, and come with a photo. Chats can be
paired with the owner. Leads say what led to them.

Revision ID: 0003
Revises: 0002
"""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

from service.storage.types import Instant

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    op.create_table(
        "photos",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("conversation_id", sa.Integer(), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.Column("created_at", Instant(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["conversation_id"], ["conversations.id"], name=op.f("fk_photos_conversation_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photos")),
    )
    op.create_index(op.f("ix_photos_conversation_id"), "photos", ["conversation_id"])
    op.create_table(
        "owner_chats",
        sa.Column("channel", sa.String(length=16), nullable=False),
        sa.Column("chat_id", sa.String(length=128), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=True),
        sa.Column("paired_at", Instant(timezone=True), nullable=False),
        sa.Column("digest_on", sa.String(length=10), nullable=False),
        sa.PrimaryKeyConstraint("channel", "chat_id", name=op.f("pk_owner_chats")),
    )
    op.add_column("leads", sa.Column("source", sa.String(length=64), nullable=True))
    with op.batch_alter_table("messages") as messages:
        # The messages that are there show no colours.
        messages.add_column(sa.Column("swatches", sa.JSON(), nullable=False, server_default="[]"))
        messages.add_column(sa.Column("edits", sa.String(length=64), nullable=True))
        messages.add_column(sa.Column("photo_id", sa.String(length=64), nullable=True))
        messages.create_foreign_key(op.f("fk_messages_photo_id"), "photos", ["photo_id"], ["id"])
    with op.batch_alter_table("messages") as messages:
        messages.alter_column("swatches", server_default=None)


def downgrade() -> None:
    with op.batch_alter_table("messages") as messages:
        messages.drop_constraint(op.f("fk_messages_photo_id"), type_="foreignkey")
        messages.drop_column("photo_id")
        messages.drop_column("edits")
        messages.drop_column("swatches")
    op.drop_column("leads", "source")
    op.drop_table("owner_chats")
    op.drop_table("photos")
