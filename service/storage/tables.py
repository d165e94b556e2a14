"""The tables. Changes to them are migrations; see `migrations/`."""

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from service.storage.types import Instant, Money, Plain

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
    # Of the brief and the history, so that lists and figures need not read either.
    Column("event_on", String(10)),
    Column("answered_at", Instant),
    Column("lost_because", String(40)),
    # Goes up with every change that the owner makes to the brief.
    Column("revision", Integer, nullable=False),
    Column("merged_into", String(32)),
    Column("erased_at", Instant),
    # Of the state, and of why it was lost, so that the desk's list can be narrowed down by it.
    Column("standing", String(16), nullable=False),
    Index("ix_leads_of_chat", "channel", "chat_id"),
    Index("ix_leads_state_seq", "state", "seq"),
    # All that figures read.
    Index(
        "ix_leads_created_at",
        *("created_at", "state", "answered_at", "lost_because", "merged_into", "channel"),
        *("source", "event_on", "id"),
    ),
    Index("ix_leads_event_on", "event_on", "seq"),
    Index("ix_leads_state_event_on", "state", "event_on", "seq"),
    Index("ix_leads_standing_seq", "standing", "seq"),
    Index("ix_leads_standing_event_on", "standing", "event_on", "seq"),
)

# The words by which a request is found: folded to plain lower-case letters and digits.
lead_terms = Table(
    "lead_terms",
    metadata,
    # Its beginning is looked up too, which needs the order of plain bytes.
    Column("term", Plain(40), primary_key=True),
    Column("seq", Integer, ForeignKey("leads.seq"), primary_key=True, autoincrement=False),
    Index("ix_lead_terms_seq", "seq", "term"),
)

lead_notes = Table(
    "lead_notes",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Column("text", Text, nullable=False),
)

lead_changes = Table(
    "lead_changes",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Column("what", String(80), nullable=False),
    Column("detail", JSON, nullable=False),
)

quotes = Table(
    "quotes",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False),
    Column("number", String(24), nullable=False, unique=True),
    Column("kind", String(12), nullable=False),
    # What it was made for; the request's own brief may have been changed since.
    Column("brief", Text, nullable=False),
    Column("low", Money, nullable=False),
    Column("likely", Money, nullable=False),
    Column("high", Money, nullable=False),
    Column("deposit", Money, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("note", Text),
    Column("created_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("sent_at", Instant),
    # The lines of the price as the owner changed them; null where the estimate's own stand.
    Column("lines", JSON(none_as_null=True)),
    # Which of the shop's own lessons the estimate was made with; null where the book's word stood.
    Column("calibration", String(12)),
    # Of the estimate, for figures: they outlive what is erased with a client's data.
    Column("book_version", String(12), nullable=False),
    Column("cost", Money, nullable=False),
    Column("before_tax", Money, nullable=False),
    Column("hours", JSON, nullable=False),
    # At the end: it is a hundred times as long as all the rest, which SQLite would have to read
    # through to get at what stands behind.
    Column("estimate", Text, nullable=False),
    Index("ix_quotes_sent_at", "sent_at", "kind"),
    # Whether a lead has a price that is good: every sweep asks it of each that was quoted.
    Index("ix_quotes_good", "lead_id", "expires_at", "sent_at"),
    # All that figures read.
    Index(
        "ix_quotes_of_lead",
        *("lead_id", "seq", "sent_at", "currency", "before_tax", "cost"),
    ),
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
    # active, booked, moved (another row took its place), released.
    Column("state", String(12), nullable=False),
    # The whole stay: off from the workshop and, after setting up, free again; the strike; when the
    # equipment is back. Between `starts_at` and `ends_at` the crew sets up.
    Column("leaves_at", Instant, nullable=False),
    Column("free_at", Instant, nullable=False),
    Column("strikes_at", Instant, nullable=False),
    Column("struck_at", Instant, nullable=False),
    Column("returns_at", Instant, nullable=False),
    Column("crew", Integer, nullable=False),
    Column("latitude", Float),
    Column("longitude", Float),
    # Goes up with every change of a lead's date or standing, whichever row holds it.
    Column("revision", Integer, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("changed_at", Instant, nullable=False),
    Index("ix_holds_state_starts_at", "state", "starts_at"),
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

# A frame, cover or stand that the shop owns in ones and twos: a quarter of an hour of one unit of
# it can be promised once only, by the same means.
equipment_slots = Table(
    "equipment_slots",
    metadata,
    Column("item", String(120), primary_key=True),
    Column("unit", Integer, primary_key=True, autoincrement=False),
    Column("slot", Integer, primary_key=True, autoincrement=False),
    Column("hold_id", String(32), ForeignKey("holds.id"), nullable=False, index=True),
)

# Whoever changes what happens on a day locks its row first, so that drives between two jobs of a
# day are reckoned with what is really there.
calendar_days = Table("calendar_days", metadata, Column("day", String(10), primary_key=True))

# When the shop does not work although the price book's calendar says so. Without times: all day.
closed_times = Table(
    "closed_times",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("first", String(10), nullable=False, index=True),
    Column("last", String(10), nullable=False, index=True),
    Column("since", String(5)),
    Column("until", String(5)),
    Column("note", String(200), nullable=False),
    Column("made_at", Instant, nullable=False),
)

payments = Table(
    "payments",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    # deposit, balance, fee, refund, gift; the amount is never negative.
    Column("kind", String(12), nullable=False),
    Column("amount", Money, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("paid_on", String(10), nullable=False),
    Column("method", String(40), nullable=False),
    Column("reference", String(120), nullable=False),
    Column("recorded_at", Instant, nullable=False),
    Column("recorded_by", String(80), nullable=False),
    Column("voided_at", Instant),
)

# The terms that clients accepted, as they read at the time, by a digest of their text.
terms = Table(
    "terms",
    metadata,
    Column("version", String(16), primary_key=True),
    Column("texts", JSON, nullable=False),
    Column("since", Instant, nullable=False),
)

acceptances = Table(
    "acceptances",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("version", String(16), ForeignKey("terms.version"), nullable=False),
    Column("language", String(8), nullable=False),
    Column("at", Instant, nullable=False),
)

# What clients agreed to have kept of them, and when.
consents = Table(
    "consents",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("what", String(40), nullable=False),
    Column("version", String(16), nullable=False),
    Column("channel", String(16), nullable=False),
    Column("at", Instant, nullable=False),
)

# Messages that will fall due. `basis` is what one is about (a quote's number, a hold's id): about
# one thing a client is reminded once only.
reminders = Table(
    "reminders",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("kind", String(24), nullable=False),
    Column("basis", String(64), nullable=False),
    Column("due_at", Instant, nullable=False),
    # owed, sent, dropped (not wanted any more), skipped (by the owner)
    Column("state", String(8), nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("closed_at", Instant, index=True),
    # What was written.
    Column("message_id", String(32)),
    UniqueConstraint("lead_id", "kind", "basis"),
    Index("ix_reminders_state_due_at", "state", "due_at"),
)

# Texts that the owner changed at the desk; in front of all others.
texts = Table(
    "texts",
    metadata,
    Column("key", String(80), primary_key=True),
    Column("language", String(8), primary_key=True),
    Column("text", Text, nullable=False),
    Column("changed_at", Instant, nullable=False),
)

price_books = Table(
    "price_books",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    # A digest of the text: going back to an earlier one gives its version again.
    Column("version", String(12), nullable=False, index=True),
    Column("text", Text, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("made_by", String(80), nullable=False),
    Column("note", String(200), nullable=False),
)

# Balloons that came in and went out; what is on hand is their sum.
stock_moves = Table(
    "stock_moves",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("size_class", Integer, nullable=False),
    Column("colour", String(80), nullable=False),
    Column("count", Integer, nullable=False),
    # counted, bought, booked, returned, unused, used
    Column("why", String(12), nullable=False),
    Column("lead_id", String(32), ForeignKey("leads.id"), index=True),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Index("ix_stock_moves_of", "size_class", "colour"),
)

# What was bought, pack by pack; the balloons stand in `stock_moves`. `contents` is what one pack
# holds, [size class, colour, count] each, and empty for what is no balloon.
purchases = Table(
    "purchases",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("supplier", String(120), nullable=False),
    Column("item", String(200), nullable=False),
    Column("contents", JSON, nullable=False),
    Column("packs", Integer, nullable=False),
    Column("cost", Money, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("bought_at", Instant, nullable=False, index=True),
    Column("who", String(80), nullable=False),
    Column("undone_at", Instant),
)

# Which jobs a purchase was for. `settled` is what they need where they share their spares, [size
# class, colour, what the job alone would take, its share] each; `count` of what is no balloon.
purchase_jobs = Table(
    "purchase_jobs",
    metadata,
    Column("purchase_id", String(32), ForeignKey("purchases.id"), primary_key=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), primary_key=True, index=True),
    Column("count", Integer, nullable=False),
    Column("settled", JSON, nullable=False),
)

# What the crew has to know of a place and no brief says.
site_notes = Table(
    "site_notes",
    metadata,
    Column("lead_id", String(32), ForeignKey("leads.id"), primary_key=True),
    # address, parking, access, contact, phone, notes
    Column("words", JSON, nullable=False),
    Column("changed_at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
)

# What a finished job really took. `observation` is what the calibration learns from it, `told` what
# its estimate said and what the book alone would have said: both outlive a client's data.
actuals = Table(
    "actuals",
    metadata,
    Column("lead_id", String(32), ForeignKey("leads.id"), primary_key=True),
    Column("quote_id", String(32), ForeignKey("quotes.id"), nullable=False),
    Column("done_on", String(10), nullable=False, index=True),
    Column("entered_at", Instant, nullable=False),
    Column("changed_at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("took", JSON, nullable=False),
    Column("went_wrong", Text, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("real_cost", Money, nullable=False),
    Column("observation", JSON, nullable=False),
    Column("told", JSON, nullable=False),
)

# Photos of finished jobs.
job_photos = Table(
    "job_photos",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("lead_id", String(32), ForeignKey("leads.id"), nullable=False, index=True),
    Column("jpeg", LargeBinary, nullable=False),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
)

# What the shop goes by besides its price book: the newest row counts, and none is ever changed.
calibrations = Table(
    "calibrations",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    # A digest of what is applied: going back to an earlier one gives its version again.
    Column("version", String(12), nullable=False, index=True),
    Column("made_at", Instant, nullable=False),
    Column("made_by", String(80), nullable=False),
    # What was decided: the subject, accepted or refused or taken back, and by how much.
    Column("decision", JSON, nullable=False),
    Column("jobs", Integer, nullable=False),
    Column("applied", JSON, nullable=False),
)

# Long work: how many parts, and how it ended.
chores = Table(
    "chores",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("kind", String(24), nullable=False),
    Column("asked", JSON, nullable=False),
    Column("total", Integer, nullable=False),
    Column("made_at", Instant, nullable=False, index=True),
    Column("who", String(80), nullable=False),
    Column("ended_at", Instant),
    Column("stopped_at", Instant),
)

chore_parts = Table(
    "chore_parts",
    metadata,
    Column("chore_id", String(32), ForeignKey("chores.id"), primary_key=True),
    Column("n", Integer, primary_key=True, autoincrement=False),
    Column("id", String(32), nullable=False, unique=True),
    # What it makes: a kind of document, or a price; of a request, or of a day.
    Column("about", String(24), nullable=False),
    Column("day", String(10)),
    Column("lead_id", String(32), ForeignKey("leads.id"), index=True),
    # owed, done, failed
    Column("state", String(8), nullable=False),
    Column("figures", JSON(none_as_null=True)),
    Column("trouble", String(200)),
    Column("name", String(200)),
    Column("document", LargeBinary),
)

# Calendar feeds that can be subscribed to, by the digest of the key in their address.
feeds = Table(
    "feeds",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("digest", String(64), nullable=False, unique=True),
    Column("role", String(12), nullable=False),
    Column("name", String(80), nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("revoked_at", Instant),
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
    # The client said "stop": nothing is written to them unasked.
    Column("stopped_at", Instant),
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
    # A picture that goes with the text: its address, and in words what it shows.
    Column("picture", JSON(none_as_null=True)),
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
    # How many attempts may have reached the outside and were never heard of, and since when.
    Column("doubts", Integer, nullable=False, server_default="0"),
    Column("doubtful_since", Instant),
    Column("traceparent", String(55)),
    Index("ix_steps_state_due_at", "state", "due_at"),
    Index("ix_steps_lane_state", "lane", "state", "position"),
    # Hardly any step is ever in doubt; those that are have to be counted.
    Index(
        "ix_steps_in_doubt",
        *("state", "doubtful_since"),
        sqlite_where=text("doubts > 0"),
        postgresql_where=text("doubts > 0"),
    ),
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

# Who may sit at the desk: the owner, and helpers. An invitation not yet taken up has no password.
people = Table(
    "people",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("role", String(12), nullable=False),
    # As it is typed to sign in, folded; the owner's may be left empty there.
    Column("name", String(80), nullable=False),
    Column("sign_in_name", String(80), nullable=False, unique=True),
    Column("password_hash", String(255)),
    Column("since", Instant, nullable=False),
    Column("password_at", Instant),
    Column("ended_at", Instant),
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
    Column("person_id", String(32), ForeignKey("people.id"), nullable=False, index=True),
    Column("csrf", String(64), nullable=False),
    Column("device", String(120), nullable=False),
    Column("opened_at", Instant, nullable=False),
    Column("seen_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
)

sign_in_failures = Table(
    "sign_in_failures",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("at", Instant, nullable=False, index=True),
    Column("address", String(64), nullable=False),
    Column("sign_in_name", String(80), nullable=False, index=True),
)
