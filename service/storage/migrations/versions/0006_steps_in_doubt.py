"""Steps in doubt: counted, with a bound; and the trace that a step belongs to

Old code may go on beside it: every new column is empty or has a default of the server's.

Revision ID: 0006
Revises: 0005
"""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

from service.storage.types import Instant

revision: str = "0006"
down_revision: str | None = "0005"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

_IN_DOUBT = sa.text("doubts > 0")


def upgrade() -> None:
    op.add_column(
        "steps", sa.Column("doubts", sa.Integer(), nullable=False, server_default=sa.text("0"))
    )
    op.add_column("steps", sa.Column("doubtful_since", Instant(timezone=True), nullable=True))
    op.add_column("steps", sa.Column("traceparent", sa.String(length=55), nullable=True))
    op.create_index(
        op.f("ix_steps_in_doubt"),
        "steps",
        ["state", "doubtful_since"],
        sqlite_where=_IN_DOUBT,
        postgresql_where=_IN_DOUBT,
    )
    # Of a lane only the oldest may go: found without sorting what is owed.
    op.drop_index(op.f("ix_steps_lane_state"), "steps")
    op.create_index(op.f("ix_steps_lane_state"), "steps", ["lane", "state", "position"])
    op.create_index(op.f("ix_quotes_good"), "quotes", ["lead_id", "expires_at", "sent_at"])
    # What was given up before may have arrived as well. What is owed is counted when it is taken.
    op.execute(
        "UPDATE steps SET doubts = 1, doubtful_since = due_at WHERE state = 'dead' AND maybe_done"
    )


def downgrade() -> None:
    raise NotImplementedError(
        "What may have reached a client twice would be forgotten: restore the backup instead."
    )
