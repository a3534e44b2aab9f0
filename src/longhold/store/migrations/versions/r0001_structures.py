"""Structures with every version, results, lists of offers."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """From an empty database."""
    time = sa.DateTime(timezone=True)
    op.create_table(
        "structures",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("name_key", sa.Text, nullable=False),
        sa.Column("newest", sa.Integer, nullable=False),
        sa.Column("saved_at", time, nullable=False),
        sa.Column("created_at", time, nullable=False),
        sa.Column("archived_at", time, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_structures"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_structures_saved_at", "structures", ["saved_at"])
    op.create_index(
        "uq_structures_name_key_in_use",
        "structures",
        ["name_key"],
        unique=True,
        sqlite_where=sa.text("archived_at IS NULL"),
        postgresql_where=sa.text("archived_at IS NULL"),
    )
    op.create_table(
        "versions",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("structure_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("parent", sa.Integer, nullable=True),
        sa.Column("restored_from", sa.Integer, nullable=True),
        sa.Column("author", sa.String(200), nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("saved_at", time, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_versions"),
        sa.ForeignKeyConstraint(["structure_id"], ["structures.id"], name="fk_versions_structure_id"),
        sa.UniqueConstraint("structure_id", "number", name="uq_versions_structure_id_number"),
    )
    op.create_table(
        "results",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("structure_id", sa.Integer, nullable=True),
        sa.Column("number", sa.Integer, nullable=True),
        sa.Column("kind", sa.String(100), nullable=False),
        sa.Column("inputs_hash", sa.String(64), nullable=False),
        sa.Column("code_version", sa.String(100), nullable=False),
        sa.Column("result", sa.Text, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("kept_at", time, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_results"),
        sa.ForeignKeyConstraint(["structure_id"], ["structures.id"], name="fk_results_structure_id"),
        sa.UniqueConstraint(
            "inputs_hash", "code_version", "kind", name="uq_results_inputs_hash_code_version_kind"
        ),
    )
    op.create_index("ix_results_structure_id", "results", ["structure_id"])
    op.create_table(
        "offer_lists",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("source", sa.Text, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("author", sa.String(200), nullable=False),
        sa.Column("kept_at", time, nullable=False),
        sa.Column("archived_at", time, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_offer_lists"),
    )
    op.create_index("ix_offer_lists_kept_at", "offer_lists", ["kept_at"])


def downgrade() -> None:
    """Never: a step back would lose what people saved. A backup brings the former store back."""
    raise NotImplementedError("a store is never taken back a step")
