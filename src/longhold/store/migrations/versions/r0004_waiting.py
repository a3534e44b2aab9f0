"""What was typed into a structure and waits to be put right."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """From the third shape."""
    op.create_table(
        "waiting",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("structure_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("cell", sa.Text, nullable=False),
        sa.Column("typed", sa.Text, nullable=False),
        sa.Column("author", sa.String(200), nullable=False),
        sa.Column("typed_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_waiting"),
        sa.ForeignKeyConstraint(["structure_id"], ["structures.id"], name="fk_waiting_structure_id"),
    )
    op.create_index("ix_waiting_structure_id", "waiting", ["structure_id"])


def downgrade() -> None:
    """Never: a step back would lose what people saved. A backup brings the former store back."""
    raise NotImplementedError("a store is never taken back a step")
