"""First tables

Revision ID: 0001
Revises: none
"""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

from service.storage.types import Instant, Money

revision: str = "0001"
down_revision: str | None = None
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    op.create_table(
        "answers",
        sa.Column("scope", sa.String(length=32), nullable=False),
        sa.Column("key", sa.String(length=255), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("created_at", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("scope", "key", name=op.f("pk_answers")),
    )
    op.create_table(
        "conversations",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("channel", sa.String(length=16), nullable=False),
        sa.Column("chat_id", sa.String(length=128), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("last_seq", sa.Integer(), nullable=False),
        sa.Column("state", sa.JSON(), nullable=False),
        sa.Column("updated_at", Instant(timezone=True), nullable=False),
        sa.Column("calls_owner_since", Instant(timezone=True), nullable=True),
        sa.Column("owner_spoke", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_conversations")),
        sa.UniqueConstraint("channel", "chat_id", name=op.f("uq_conversations_channel_chat_id")),
    )
    with op.batch_alter_table("conversations", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_conversations_calls_owner_since"), ["calls_owner_since"], unique=False
        )

    op.create_table(
        "desk_sessions",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("csrf", sa.String(length=64), nullable=False),
        sa.Column("expires_at", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_desk_sessions")),
    )
    op.create_table(
        "inbox",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("channel", sa.String(length=16), nullable=False),
        sa.Column("update_id", sa.String(length=128), nullable=False),
        sa.Column("chat_id", sa.String(length=128), nullable=False),
        sa.Column("payload", sa.JSON(), nullable=False),
        sa.Column("received_at", Instant(timezone=True), nullable=False),
        sa.Column("handled_at", Instant(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbox")),
        sa.UniqueConstraint("channel", "update_id", name=op.f("uq_inbox_channel_update_id")),
    )
    with op.batch_alter_table("inbox", schema=None) as batch_op:
        batch_op.create_index(
            "ix_inbox_of_chat", ["channel", "chat_id", "handled_at"], unique=False
        )
        batch_op.create_index(
            "ix_inbox_unhandled", ["channel", "handled_at", "received_at"], unique=False
        )

    op.create_table(
        "leads",
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("channel", sa.String(length=16), nullable=False),
        sa.Column("chat_id", sa.String(length=128), nullable=False),
        sa.Column("language", sa.String(length=8), nullable=False),
        sa.Column("client", sa.JSON(), nullable=False),
        sa.Column("brief", sa.Text(), nullable=False),
        sa.Column("review_reasons", sa.JSON(), nullable=False),
        sa.Column("created_at", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_leads")),
        sa.UniqueConstraint("id", name=op.f("uq_leads_id")),
    )
    with op.batch_alter_table("leads", schema=None) as batch_op:
        batch_op.create_index("ix_leads_of_chat", ["channel", "chat_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_leads_state"), ["state"], unique=False)

    op.create_table(
        "links",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("purpose", sa.String(length=16), nullable=False),
        sa.Column("subject_id", sa.String(length=32), nullable=False),
        sa.Column("created_at", Instant(timezone=True), nullable=False),
        sa.Column("expires_at", Instant(timezone=True), nullable=False),
        sa.Column("revoked_at", Instant(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_links")),
    )
    with op.batch_alter_table("links", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_links_subject_id"), ["subject_id"], unique=False)

    op.create_table(
        "owner",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("password_hash", sa.String(length=255), nullable=False),
        sa.Column("changed_at", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_owner")),
    )
    op.create_table(
        "sign_in_failures",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_failures")),
    )
    with op.batch_alter_table("sign_in_failures", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_failures_at"), ["at"], unique=False)

    op.create_table(
        "steps",
        sa.Column("position", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("subject_id", sa.String(length=32), nullable=False),
        sa.Column("lane", sa.String(length=160), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("fence", sa.Integer(), nullable=False),
        sa.Column("due_at", Instant(timezone=True), nullable=False),
        sa.Column("lease_until", Instant(timezone=True), nullable=True),
        sa.Column("maybe_done", sa.Boolean(), nullable=False),
        sa.Column("last_error", sa.String(length=500), nullable=True),
        sa.PrimaryKeyConstraint("position", name=op.f("pk_steps")),
        sa.UniqueConstraint("id", name=op.f("uq_steps_id")),
    )
    with op.batch_alter_table("steps", schema=None) as batch_op:
        batch_op.create_index("ix_steps_lane_state", ["lane", "state"], unique=False)
        batch_op.create_index("ix_steps_state_due_at", ["state", "due_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_steps_subject_id"), ["subject_id"], unique=False)

    op.create_table(
        "lead_changes",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=40), nullable=False),
        sa.Column("what", sa.String(length=80), nullable=False),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_lead_changes_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lead_changes")),
    )
    with op.batch_alter_table("lead_changes", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lead_changes_lead_id"), ["lead_id"], unique=False)

    op.create_table(
        "messages",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("conversation_id", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("direction", sa.String(length=3), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("buttons", sa.JSON(), nullable=False),
        sa.Column("asks", sa.String(length=40), nullable=True),
        sa.Column("update_id", sa.String(length=128), nullable=True),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["conversation_id"], ["conversations.id"], name=op.f("fk_messages_conversation_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_messages")),
        sa.UniqueConstraint("conversation_id", "seq", name=op.f("uq_messages_conversation_id_seq")),
    )
    op.create_table(
        "quotes",
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("number", sa.String(length=24), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("estimate", sa.Text(), nullable=False),
        sa.Column("low", Money(length=20), nullable=False),
        sa.Column("likely", Money(length=20), nullable=False),
        sa.Column("high", Money(length=20), nullable=False),
        sa.Column("deposit", Money(length=20), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("created_at", Instant(timezone=True), nullable=False),
        sa.Column("expires_at", Instant(timezone=True), nullable=False),
        sa.Column("sent_at", Instant(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_quotes_lead_id")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_quotes")),
        sa.UniqueConstraint("id", name=op.f("uq_quotes_id")),
        sa.UniqueConstraint("number", name=op.f("uq_quotes_number")),
    )
    with op.batch_alter_table("quotes", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quotes_lead_id"), ["lead_id"], unique=False)

    op.create_table(
        "holds",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("quote_id", sa.String(length=32), nullable=False),
        sa.Column("starts_at", Instant(timezone=True), nullable=False),
        sa.Column("ends_at", Instant(timezone=True), nullable=False),
        sa.Column("expires_at", Instant(timezone=True), nullable=False),
        sa.Column("client", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_holds_lead_id")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_holds_quote_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_holds")),
    )
    with op.batch_alter_table("holds", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_holds_lead_id"), ["lead_id"], unique=False)

    op.create_table(
        "hold_slots",
        sa.Column("slot", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("crew", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hold_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["hold_id"], ["holds.id"], name=op.f("fk_hold_slots_hold_id")),
        sa.PrimaryKeyConstraint("slot", "crew", name=op.f("pk_hold_slots")),
    )
    with op.batch_alter_table("hold_slots", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_hold_slots_hold_id"), ["hold_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("hold_slots", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_hold_slots_hold_id"))

    op.drop_table("hold_slots")
    with op.batch_alter_table("holds", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_holds_lead_id"))

    op.drop_table("holds")
    with op.batch_alter_table("quotes", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quotes_lead_id"))

    op.drop_table("quotes")
    op.drop_table("messages")
    with op.batch_alter_table("lead_changes", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lead_changes_lead_id"))

    op.drop_table("lead_changes")
    with op.batch_alter_table("steps", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_steps_subject_id"))
        batch_op.drop_index("ix_steps_state_due_at")
        batch_op.drop_index("ix_steps_lane_state")

    op.drop_table("steps")
    with op.batch_alter_table("sign_in_failures", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sign_in_failures_at"))

    op.drop_table("sign_in_failures")
    op.drop_table("owner")
    with op.batch_alter_table("links", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_links_subject_id"))

    op.drop_table("links")
    with op.batch_alter_table("leads", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_leads_state"))
        batch_op.drop_index("ix_leads_of_chat")

    op.drop_table("leads")
    with op.batch_alter_table("inbox", schema=None) as batch_op:
        batch_op.drop_index("ix_inbox_unhandled")
        batch_op.drop_index("ix_inbox_of_chat")

    op.drop_table("inbox")
    op.drop_table("desk_sessions")
    with op.batch_alter_table("conversations", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_conversations_calls_owner_since"))

    op.drop_table("conversations")
    op.drop_table("answers")
