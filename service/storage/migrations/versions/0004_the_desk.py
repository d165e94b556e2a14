"""The desk: people, bookings, money, reminders, versions of the price book

Sessions end: everybody signs in again. What is known of the holds, quotes and requests that are there
fills their new columns; everything is written out here, because the estimator and the reading of
names move on, and this must not.

Revision ID: 0004
Revises: 0003
"""

import json
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import sqlalchemy as sa
from alembic import op

from service.storage.types import Instant, Money, Plain

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    _make_tables()
    _let_people_in()
    _widen()
    _fill_quotes()
    _fill_leads()
    _fill_holds()
    _put_estimates_last()


def _make_tables() -> None:
    op.create_table(
        "calendar_days",
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.PrimaryKeyConstraint("day", name=op.f("pk_calendar_days")),
    )
    op.create_table(
        "closed_times",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("first", sa.String(length=10), nullable=False),
        sa.Column("last", sa.String(length=10), nullable=False),
        sa.Column("since", sa.String(length=5), nullable=True),
        sa.Column("until", sa.String(length=5), nullable=True),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closed_times")),
    )
    op.create_index(op.f("ix_closed_times_first"), "closed_times", ["first"])
    op.create_index(op.f("ix_closed_times_last"), "closed_times", ["last"])

    op.create_table(
        "feeds",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("role", sa.String(length=12), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("made_at", Instant(timezone=True), nullable=False),
        sa.Column("revoked_at", Instant(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_feeds")),
        sa.UniqueConstraint("digest", name=op.f("uq_feeds_digest")),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("role", sa.String(length=12), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("sign_in_name", sa.String(length=80), nullable=False),
        sa.Column("password_hash", sa.String(length=255), nullable=True),
        sa.Column("since", Instant(timezone=True), nullable=False),
        sa.Column("password_at", Instant(timezone=True), nullable=True),
        sa.Column("ended_at", Instant(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("sign_in_name", name=op.f("uq_people_sign_in_name")),
    )
    op.create_table(
        "price_books",
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("version", sa.String(length=12), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("made_at", Instant(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_price_books")),
    )
    op.create_index(op.f("ix_price_books_version"), "price_books", ["version"])

    op.create_table(
        "terms",
        sa.Column("version", sa.String(length=16), nullable=False),
        sa.Column("texts", sa.JSON(), nullable=False),
        sa.Column("since", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("version", name=op.f("pk_terms")),
    )
    op.create_table(
        "texts",
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("language", sa.String(length=8), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("changed_at", Instant(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", "language", name=op.f("pk_texts")),
    )
    op.create_table(
        "acceptances",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("version", sa.String(length=16), nullable=False),
        sa.Column("language", sa.String(length=8), nullable=False),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_acceptances_lead_id")),
        sa.ForeignKeyConstraint(
            ["version"], ["terms.version"], name=op.f("fk_acceptances_version")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_acceptances")),
    )
    op.create_index(op.f("ix_acceptances_lead_id"), "acceptances", ["lead_id"])

    op.create_table(
        "consents",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("version", sa.String(length=16), nullable=False),
        sa.Column("channel", sa.String(length=16), nullable=False),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_consents_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consents")),
    )
    op.create_index(op.f("ix_consents_lead_id"), "consents", ["lead_id"])

    op.create_table(
        "lead_notes",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_lead_notes_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lead_notes")),
    )
    op.create_index(op.f("ix_lead_notes_lead_id"), "lead_notes", ["lead_id"])

    op.create_table(
        "lead_terms",
        sa.Column("term", Plain(length=40), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["seq"], ["leads.seq"], name=op.f("fk_lead_terms_seq")),
        sa.PrimaryKeyConstraint("term", "seq", name=op.f("pk_lead_terms")),
    )
    op.create_index("ix_lead_terms_seq", "lead_terms", ["seq", "term"])

    op.create_table(
        "payments",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("amount", Money(length=20), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("paid_on", sa.String(length=10), nullable=False),
        sa.Column("method", sa.String(length=40), nullable=False),
        sa.Column("reference", sa.String(length=120), nullable=False),
        sa.Column("recorded_at", Instant(timezone=True), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.Column("voided_at", Instant(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_payments_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_payments")),
    )
    op.create_index(op.f("ix_payments_lead_id"), "payments", ["lead_id"])

    op.create_table(
        "reminders",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=24), nullable=False),
        sa.Column("basis", sa.String(length=64), nullable=False),
        sa.Column("due_at", Instant(timezone=True), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("made_at", Instant(timezone=True), nullable=False),
        sa.Column("closed_at", Instant(timezone=True), nullable=True),
        sa.Column("message_id", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_reminders_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reminders")),
        sa.UniqueConstraint(
            "lead_id", "kind", "basis", name=op.f("uq_reminders_lead_id_kind_basis")
        ),
    )
    op.create_index(op.f("ix_reminders_lead_id"), "reminders", ["lead_id"])
    op.create_index(op.f("ix_reminders_closed_at"), "reminders", ["closed_at"])
    op.create_index("ix_reminders_state_due_at", "reminders", ["state", "due_at"])

    op.create_table(
        "stock_moves",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("size_class", sa.Integer(), nullable=False),
        sa.Column("colour", sa.String(length=80), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("why", sa.String(length=12), nullable=False),
        sa.Column("lead_id", sa.String(length=32), nullable=True),
        sa.Column("at", Instant(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["lead_id"], ["leads.id"], name=op.f("fk_stock_moves_lead_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_moves")),
    )
    op.create_index(op.f("ix_stock_moves_lead_id"), "stock_moves", ["lead_id"])
    op.create_index("ix_stock_moves_of", "stock_moves", ["size_class", "colour"])

    op.create_table(
        "equipment_slots",
        sa.Column("item", sa.String(length=120), nullable=False),
        sa.Column("unit", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("slot", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hold_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["hold_id"], ["holds.id"], name=op.f("fk_equipment_slots_hold_id")),
        sa.PrimaryKeyConstraint("item", "unit", "slot", name=op.f("pk_equipment_slots")),
    )
    op.create_index(op.f("ix_equipment_slots_hold_id"), "equipment_slots", ["hold_id"])


def _let_people_in() -> None:
    """The owner's password stays; sessions do not say whose they are, so they end."""
    connection = op.get_bind()
    owner = sa.table("owner", sa.column("password_hash"), sa.column("changed_at", Instant))
    people = sa.table(
        "people",
        *(sa.column(name) for name in ("id", "role", "name", "sign_in_name", "password_hash")),
        *(sa.column(name, Instant) for name in ("since", "password_at")),
    )
    for password_hash, changed_at in connection.execute(
        sa.select(owner.c.password_hash, owner.c.changed_at)
    ).all():
        connection.execute(
            sa.insert(people).values(
                id="owner",
                role="owner",
                name="owner",
                sign_in_name="owner",
                password_hash=password_hash,
                since=changed_at,
                password_at=changed_at,
            )
        )
    op.drop_table("owner")
    op.drop_table("desk_sessions")
    op.create_table(
        "desk_sessions",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("csrf", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=120), nullable=False),
        sa.Column("opened_at", Instant(timezone=True), nullable=False),
        sa.Column("seen_at", Instant(timezone=True), nullable=False),
        sa.Column("expires_at", Instant(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_desk_sessions_person_id")
        ),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_desk_sessions")),
    )
    op.create_index(op.f("ix_desk_sessions_person_id"), "desk_sessions", ["person_id"])
    op.execute("DELETE FROM sign_in_failures")
    op.add_column(
        "sign_in_failures",
        sa.Column("sign_in_name", sa.String(length=80), nullable=False, server_default=""),
    )
    op.create_index(op.f("ix_sign_in_failures_sign_in_name"), "sign_in_failures", ["sign_in_name"])


def _widen() -> None:
    """Defaults only so that the rows that are there can take the columns; they are filled next."""
    epoch = sa.text("0" if op.get_bind().dialect.name == "sqlite" else "'epoch'")
    instant = Instant(timezone=True)
    op.add_column("conversations", sa.Column("stopped_at", instant))
    op.add_column("leads", sa.Column("event_on", sa.String(length=10)))
    op.add_column("leads", sa.Column("answered_at", instant))
    op.add_column("leads", sa.Column("lost_because", sa.String(length=40)))
    op.add_column("leads", sa.Column("revision", sa.Integer(), nullable=False, server_default="0"))
    op.add_column("leads", sa.Column("merged_into", sa.String(length=32)))
    op.add_column("leads", sa.Column("erased_at", instant))
    op.add_column(
        "leads", sa.Column("standing", sa.String(length=16), nullable=False, server_default="")
    )
    op.create_index(
        "ix_leads_created_at",
        "leads",
        [
            *("created_at", "state", "answered_at", "lost_because", "merged_into", "channel"),
            *("source", "event_on", "id"),
        ],
    )
    op.create_index("ix_leads_event_on", "leads", ["event_on", "seq"])
    op.create_index("ix_leads_state_seq", "leads", ["state", "seq"])
    op.create_index("ix_leads_state_event_on", "leads", ["state", "event_on", "seq"])
    op.create_index("ix_leads_standing_seq", "leads", ["standing", "seq"])
    op.create_index("ix_leads_standing_event_on", "leads", ["standing", "event_on", "seq"])
    op.add_column("quotes", sa.Column("lines", sa.JSON(none_as_null=True)))
    for column in (
        sa.Column("brief", sa.Text(), nullable=False, server_default=""),
        sa.Column("book_version", sa.String(length=12), nullable=False, server_default=""),
        sa.Column("cost", Money(length=20), nullable=False, server_default="0"),
        sa.Column("before_tax", Money(length=20), nullable=False, server_default="0"),
        sa.Column("hours", sa.JSON(), nullable=False, server_default="{}"),
    ):
        op.add_column("quotes", column)
    op.create_index("ix_quotes_sent_at", "quotes", ["sent_at", "kind"])
    op.drop_index("ix_quotes_lead_id", "quotes")
    op.create_index(
        "ix_quotes_of_lead",
        "quotes",
        ["lead_id", "seq", "sent_at", "currency", "before_tax", "cost"],
    )
    for name in ("leaves", "free", "strikes", "struck", "returns", "made", "changed"):
        column = sa.Column(f"{name}_at", instant, nullable=False, server_default=epoch)
        op.add_column("holds", column)
    for name in ("crew", "revision"):
        op.add_column("holds", sa.Column(name, sa.Integer(), nullable=False, server_default="0"))
    op.add_column("holds", sa.Column("latitude", sa.Float()))
    op.add_column("holds", sa.Column("longitude", sa.Float()))
    op.create_index("ix_holds_state_starts_at", "holds", ["state", "starts_at"])
    with op.batch_alter_table("lead_changes") as changes:
        changes.alter_column("who", type_=sa.String(length=80), existing_type=sa.String(length=40))


_leads = sa.table(
    "leads",
    *(sa.column(name) for name in ("seq", "id", "event_on")),
    sa.column("brief", sa.Text),
    sa.column("client", sa.JSON),
    sa.column("created_at", Instant),
    sa.column("answered_at", Instant),
)
_quotes = sa.table(
    "quotes",
    *(sa.column(name) for name in ("seq", "id", "lead_id", "book_version")),
    sa.column("estimate", sa.Text),
    sa.column("cost", Money),
    sa.column("likely", Money),
    sa.column("before_tax", Money),
    sa.column("hours", sa.JSON),
    sa.column("sent_at", Instant),
)
_INSTANTS = (
    "starts_at",
    "ends_at",
    "leaves_at",
    "free_at",
    "strikes_at",
    "struck_at",
    "returns_at",
    "made_at",
    "changed_at",
)
_holds = sa.table(
    "holds",
    *(sa.column(name) for name in ("id", "lead_id", "quote_id", "latitude", "longitude", "crew")),
    *(sa.column(name) for name in ("state", "revision")),
    *(sa.column(name, Instant) for name in _INSTANTS),
)
_slots = sa.table("hold_slots", sa.column("hold_id"), sa.column("crew"))
_terms = sa.table("lead_terms", sa.column("term"), sa.column("seq"))


def _fill_quotes() -> None:
    connection = op.get_bind()
    op.execute(
        "UPDATE quotes SET brief = (SELECT brief FROM leads WHERE leads.id = quotes.lead_id)"
    )
    # One at a time: an estimate is long, and there may be many.
    for seq in list(connection.scalars(sa.select(_quotes.c.seq).order_by(_quotes.c.seq))):
        text, likely = connection.execute(
            sa.select(_quotes.c.estimate, _quotes.c.likely).where(_quotes.c.seq == seq)
        ).one()
        estimate = json.loads(text or "{}")
        connection.execute(
            sa.update(_quotes)
            .where(_quotes.c.seq == seq)
            .values(
                book_version=estimate.get("price_book_version", ""),
                cost=Decimal(estimate.get("cost", {}).get("likely", "0")),
                before_tax=_before_tax(likely, estimate.get("price", {})),
                hours=estimate.get("hours", {}),
            )
        )


def _before_tax(likely: Decimal, price: Mapping[str, Any]) -> Decimal:
    if not price.get("tax_included"):
        return likely
    due = Decimal(price.get("tax_rate", "0")) * Decimal(price.get("taxable_share", "1"))
    return (likely / (1 + due)).quantize(Decimal("0.01"), ROUND_HALF_UP)


def _fill_leads() -> None:
    connection = op.get_bind()
    op.execute("UPDATE leads SET standing = state")
    op.execute(
        "UPDATE leads SET standing = 'replaced', lost_because = 'replaced'"
        " WHERE state = 'lapsed' AND EXISTS (SELECT 1 FROM lead_changes"
        " WHERE lead_id = leads.id AND what = 'replaced by another request')"
    )
    for seq in list(connection.scalars(sa.select(_leads.c.seq).order_by(_leads.c.seq))):
        lead = connection.execute(sa.select(_leads).where(_leads.c.seq == seq)).mappings().one()
        brief = json.loads(lead["brief"])
        answered = sa.select(sa.func.min(_quotes.c.sent_at)).where(_quotes.c.lead_id == lead["id"])
        connection.execute(
            sa.update(_leads)
            .where(_leads.c.seq == seq)
            .values(
                event_on=(brief.get("event") or {}).get("date"),
                answered_at=connection.scalar(answered),
            )
        )
        terms = sorted(set(_words(seq, lead["client"], brief)))
        connection.execute(sa.insert(_terms), [{"term": term, "seq": seq} for term in terms])


def _words(seq: int, client: Mapping[str, Any], brief: Mapping[str, Any]) -> Iterator[str]:
    yield f"g{1000 + seq}"
    site = brief.get("site") or {}
    said = [client.get("name"), client.get("email"), site.get("place"), site.get("postal_code")]
    for text in filter(None, said):
        plain = unicodedata.normalize("NFKD", str(text)).lower()
        plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
        yield from (word[:40] for word in re.findall(r"[^\W_]+", plain))
    digits = re.sub(r"\D", "", client.get("phone") or "")
    if digits:
        yield from (digits[:40], digits[-4:])


def _fill_holds() -> None:
    connection = op.get_bind()
    rows = connection.execute(
        sa.select(
            _holds.c.id,
            _holds.c.starts_at,
            _holds.c.ends_at,
            _holds.c.state,
            _leads.c.brief,
            _leads.c.created_at,
            _quotes.c.estimate,
            sa.select(sa.func.min(_slots.c.crew))
            .where(_slots.c.hold_id == _holds.c.id)
            .scalar_subquery()
            .label("crew"),
        )
        .join_from(_holds, _leads, _holds.c.lead_id == _leads.c.id)
        .join(_quotes, _holds.c.quote_id == _quotes.c.id)
    ).all()
    for row in rows:
        brief, estimate = json.loads(row.brief), json.loads(row.estimate)
        site = brief.get("site") or {}
        connection.execute(
            sa.update(_holds)
            .where(_holds.c.id == row.id)
            .values(
                **_stay(row.starts_at, row.ends_at, estimate),
                crew=row.crew or 0,
                # What is kept came last.
                revision=int(row.state in ("active", "booked")),
                latitude=site.get("latitude"),
                longitude=site.get("longitude"),
                made_at=row.created_at,
                changed_at=row.created_at,
            )
        )


def _stay(starts: datetime, ready: datetime, estimate: Mapping[str, Any]) -> Mapping[str, datetime]:
    """The drive from the plan; four hours after everything stands it is taken down."""
    plan = estimate.get("plan") or {}
    leave_h = max(0.0, plan.get("leave_before_h", 0.0) - plan.get("arrive_before_h", 0.0))
    drive = timedelta(hours=leave_h)
    strikes = ready + timedelta(hours=4)
    struck = strikes + timedelta(hours=plan.get("strike_h", 0.0))
    return {
        "leaves_at": starts - drive,
        "free_at": ready,
        "strikes_at": strikes,
        "struck_at": struck,
        "returns_at": struck + drive,
    }


def _put_estimates_last() -> None:
    """SQLite reads through a long column to get at those behind it; PostgreSQL keeps it apart."""
    if op.get_bind().dialect.name != "sqlite":
        return
    op.add_column("quotes", sa.Column("moved", sa.Text(), nullable=False, server_default=""))
    op.execute("UPDATE quotes SET moved = estimate")
    op.drop_column("quotes", "estimate")
    op.alter_column("quotes", "moved", new_column_name="estimate")


def downgrade() -> None:
    raise NotImplementedError("Bookings and payments would be lost: restore the backup instead.")
