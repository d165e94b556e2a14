"""The tables. Changes to them are migrations; see `migrations/`."""

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from service.storage.types import Instant, Money

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

leads = Table(
    "leads",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("state", String(16), nullable=False, index=True),
    Column("channel", String(16), nullable=False),
    Column("chat_id", String(128), nullable=False),
    Column("language", String(8), nullable=False),
    Column("client", JSON, nullable=False),
    Column("brief", Text, nullable=False),
    Column("review_reasons", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("source", String(64)),
    Index("ix_leads_of_chat", "channel", "chat_id"),
)

lead_changes = Table(
    "lead_changes",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("at", Instant, nullable=False),
    Column("who", String(40), nullable=False),
    Column("what", String(80), nullable=False),
    Column("detail", JSON, nullable=False),
)

quotes = Table(
    "quotes",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("number", String(24), nullable=False, unique=True),
    Column("kind", String(12), nullable=False),
    Column("estimate", Text, nullable=False),
    Column("low", Money, nullable=False),
    Column("likely", Money, nullable=False),
    Column("high", Money, nullable=False),
    Column("deposit", Money, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("note", Text),
    Column("created_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("sent_at", Instant),
)

links = Table(
    "links",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("purpose", String(16), nullable=False),
    Column("subject_id", String(32), nullable=False, index=True),
    Column("created_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("revoked_at", Instant),
)

holds = Table(
    "holds",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("quote_id", String(32), ForeignKey("quotes.id"), nullable=False),
    Column("starts_at", Instant, nullable=False),
    Column("ends_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("client", JSON, nullable=False),
    Column("state", String(12), nullable=False),
)

# A crew's quarter of an hour can be kept by one hold only: the primary key makes it impossible
# for two clients to get overlapping windows, whatever the timing and whatever the database.
hold_slots = Table(
    "hold_slots",
    metadata,
    Column("slot", Integer, primary_key=True, autoincrement=False),
    Column("crew", Integer, primary_key=True, autoincrement=False),
    Column("hold_id", String(32), ForeignKey("holds.id"), nullable=False, index=True),
)

conversations = Table(
    "conversations",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("channel", String(16), nullable=False),
    Column("chat_id", String(128), nullable=False),
    Column("version", Integer, nullable=False),
    Column("last_seq", Integer, nullable=False),
    Column("state", JSON, nullable=False),
    Column("updated_at", Instant, nullable=False),
    Column("calls_owner_since", Instant, index=True),
    Column("owner_spoke", Boolean, nullable=False),
    UniqueConstraint("channel", "chat_id"),
)

photos = Table(
    "photos",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("conversation_id", Integer, ForeignKey("conversations.id"), nullable=False, index=True),
    Column("jpeg", LargeBinary, nullable=False),
    Column("created_at", Instant, nullable=False),
)

messages = Table(
    "messages",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("conversation_id", Integer, ForeignKey("conversations.id"), nullable=False),
    Column("seq", Integer, nullable=False),
    Column("direction", String(3), nullable=False),
    Column("kind", String(16), nullable=False),
    Column("text", Text, nullable=False),
    Column("buttons", JSON, nullable=False),
    Column("asks", String(40)),
    Column("update_id", String(128)),
    Column("at", Instant, nullable=False),
    Column("swatches", JSON, nullable=False),
    Column("edits", String(64)),
    Column("photo_id", String(64), ForeignKey("photos.id")),
    UniqueConstraint("conversation_id", "seq"),
)

inbox = Table(
    "inbox",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("channel", String(16), nullable=False),
    Column("update_id", String(128), nullable=False),
    Column("chat_id", String(128), nullable=False),
    Column("payload", JSON, nullable=False),
    Column("received_at", Instant, nullable=False),
    Column("handled_at", Instant),
    UniqueConstraint("channel", "update_id"),
    Index("ix_inbox_unhandled", "channel", "handled_at", "received_at"),
    Index("ix_inbox_of_chat", "channel", "chat_id", "handled_at"),
)

steps = Table(
    "steps",
    metadata,
    Column("position", Integer, primary_key=True, autoincrement=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("kind", String(12), nullable=False),
    Column("subject_id", String(32), nullable=False, index=True),
    Column("lane", String(160), nullable=False),
    Column("state", String(8), nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("fence", Integer, nullable=False),
    Column("due_at", Instant, nullable=False),
    Column("lease_until", Instant),
    Column("maybe_done", Boolean, nullable=False),
    Column("last_error", String(500)),
    Index("ix_steps_state_due_at", "state", "due_at"),
    Index("ix_steps_lane_state", "lane", "state"),
)

answers = Table(
    "answers",
    metadata,
    Column("scope", String(32), primary_key=True),
    Column("key", String(255), primary_key=True),
    Column("fingerprint", String(64), nullable=False),
    Column("status", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("created_at", Instant, nullable=False),
)

owner = Table(
    "owner",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("password_hash", String(255), nullable=False),
    Column("changed_at", Instant, nullable=False),
)

# Chats in which the owner is told what waits, and decides. `digest_on` is the last day, at the
# shop, whose morning digest was dealt with.
owner_chats = Table(
    "owner_chats",
    metadata,
    Column("channel", String(16), primary_key=True),
    Column("chat_id", String(128), primary_key=True),
    Column("name", String(200)),
    Column("paired_at", Instant, nullable=False),
    Column("digest_on", String(10), nullable=False),
)

desk_sessions = Table(
    "desk_sessions",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("csrf", String(64), nullable=False),
    Column("expires_at", Instant, nullable=False),
)

sign_in_failures = Table(
    "sign_in_failures",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("at", Instant, nullable=False, index=True),
    Column("address", String(64), nullable=False),
)
