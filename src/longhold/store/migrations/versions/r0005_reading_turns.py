"""Readings that were taken back, or count again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """From the fourth shape."""
    op.create_table(
        "reading_turns",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("reading_id", sa.Integer, nullable=False),
        sa.Column("counts", sa.Boolean, nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("author", sa.String(200), nullable=False),
        sa.Column("turned_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_reading_turns"),
        sa.ForeignKeyConstraint(["reading_id"], ["readings.id"], name="fk_reading_turns_reading_id"),
    )
    op.create_index("ix_reading_turns_reading_id", "reading_turns", ["reading_id"])


def downgrade() -> None:
    """Never: a step back would lose what people saved. A backup brings the former store back."""
    raise NotImplementedError("a store is never taken back a step")
