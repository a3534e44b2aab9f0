"""Accounts and sessions, jobs, attachments, readings, deliveries."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """From the first shape."""
    _people()
    _jobs()
    _on_structures()


def downgrade() -> None:
    """Never: a step back would lose what people saved. A backup brings the former store back."""
    raise NotImplementedError("a store is never taken back a step")


def _made(name: str, columns: dict[str, Any], *constraints: Any) -> None:
    """A table with an id and columns that always have a value, except where a name ends in "?"."""
    op.create_table(
        name,
        sa.Column("id", sa.Integer, nullable=False),
        *(
            sa.Column(column.rstrip("?"), kind, nullable=column.endswith("?"))
            for column, kind in columns.items()
        ),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        *constraints,
    )


def _link(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [to], name=f"fk_{table}_{column}")


def _people() -> None:
    time = sa.DateTime(timezone=True)
    _made(
        "accounts",
        {
            "name": sa.String(200),
            "name_key": sa.Text,
            "role": sa.String(20),
            "password_hash": sa.Text,
            "created_at": time,
            "closed_at?": time,
        },
        sa.UniqueConstraint("name_key", name="uq_accounts_name_key"),
        sa.CheckConstraint("role IN ('viewer', 'editor', 'owner')", name="ck_accounts_role"),
    )
    _made(
        "sessions",
        {"token_hash": sa.String(64), "account_id": sa.Integer, "opened_at": time, "expires_at": time},
        _link("sessions", "account_id", "accounts.id"),
        sa.UniqueConstraint("token_hash", name="uq_sessions_token_hash"),
    )
    op.create_index("ix_sessions_account_id", "sessions", ["account_id"])
    op.create_index("ix_sessions_expires_at", "sessions", ["expires_at"])


def _jobs() -> None:
    time = sa.DateTime(timezone=True)
    states = "'queued', 'running', 'done', 'failed', 'canceled', 'interrupted'"
    _made(
        "jobs",
        {
            "kind": sa.String(100),
            "inputs": sa.Text,
            "inputs_hash": sa.String(64),
            "author": sa.String(200),
            "state": sa.String(20),
            "progress": sa.Float,
            "stage": sa.Text,
            "result?": sa.Text,
            "fault": sa.Text,
            "attempt": sa.Integer,
            "worker": sa.Text,
            "queued_at": time,
            "started_at?": time,
            "heard_at?": time,
            "ended_at?": time,
        },
        sa.CheckConstraint(f"state IN ({states})", name="ck_jobs_state"),
        sa.CheckConstraint("progress >= 0 AND progress <= 1", name="ck_jobs_progress"),
    )
    op.create_index("ix_jobs_state_id", "jobs", ["state", "id"])
    op.create_index("ix_jobs_inputs_hash_kind", "jobs", ["inputs_hash", "kind"])


def _on_structures() -> None:
    time = sa.DateTime(timezone=True)
    _made(
        "attachments",
        {
            "structure_id?": sa.Integer,
            "joint": sa.String(200),
            "name": sa.String(200),
            "media_type": sa.String(100),
            "size_bytes": sa.Integer,
            "sha256": sa.String(64),
            "data": sa.LargeBinary,
            "author": sa.String(200),
            "kept_at": time,
        },
        _link("attachments", "structure_id", "structures.id"),
    )
    op.create_index("ix_attachments_structure_id", "attachments", ["structure_id"])
    _made(
        "readings",
        {
            "structure_id": sa.Integer,
            "joint": sa.String(200),
            "part": sa.String(200),
            "kind": sa.String(100),
            "value": sa.Float,
            "unit": sa.String(40),
            "detail": sa.Text,
            "author": sa.String(200),
            "taken_at": time,
            "kept_at": time,
        },
        _link("readings", "structure_id", "structures.id"),
    )
    op.create_index("ix_readings_structure_id_taken_at", "readings", ["structure_id", "taken_at"])
    _made(
        "deliveries",
        {
            "structure_id": sa.Integer,
            "reference": sa.String(200),
            "content": sa.Text,
            "sha256": sa.String(64),
            "author": sa.String(200),
            "received_at": time,
            "kept_at": time,
        },
        _link("deliveries", "structure_id", "structures.id"),
    )
    op.create_index("ix_deliveries_structure_id_received_at", "deliveries", ["structure_id", "received_at"])
