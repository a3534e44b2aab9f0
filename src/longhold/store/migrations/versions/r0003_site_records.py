"""Readings kept whole, and one row for each reading and delivery however often it is sent."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)


def upgrade() -> None:
    """From the second shape."""
    _made_anew(
        "readings",
        [
            sa.Column("entry", sa.String(100), nullable=False),
            sa.Column("joint", sa.String(200), nullable=False),
            sa.Column("part", sa.String(200), nullable=False),
            sa.Column("kind", sa.String(100), nullable=False),
            sa.Column("content", sa.Text, nullable=False),
            sa.Column("sha256", sa.String(64), nullable=False),
            sa.Column("source", sa.String(200), nullable=False),
            sa.Column("author", sa.String(200), nullable=False),
            sa.Column("taken_on", sa.Date, nullable=False),
            sa.Column("kept_at", _TIME, nullable=False),
        ],
        _reading,
    )
    op.create_index("ix_readings_structure_id_taken_on", "readings", ["structure_id", "taken_on"])
    op.create_index("ix_readings_structure_id_sha256", "readings", ["structure_id", "sha256"])
    _made_anew(
        "deliveries",
        [
            sa.Column("entry", sa.String(100), nullable=False),
            sa.Column("reference", sa.String(200), nullable=False),
            sa.Column("content", sa.Text, nullable=False),
            sa.Column("sha256", sa.String(64), nullable=False),
            sa.Column("author", sa.String(200), nullable=False),
            sa.Column("received_at", _TIME, nullable=False),
            sa.Column("kept_at", _TIME, nullable=False),
        ],
        lambda row: {**row, "entry": f"former-{row['id']}"},
    )
    op.create_index("ix_deliveries_structure_id_received_at", "deliveries", ["structure_id", "received_at"])


def downgrade() -> None:
    """Never: a step back would lose what people saved. A backup brings the former store back."""
    raise NotImplementedError("a store is never taken back a step")


def _made_anew(name: str, columns: list[Any], kept: Callable[[dict[str, Any]], dict[str, Any]]) -> None:
    """A table in its new shape with its rows: SQLite changes neither constraints nor nullability in place."""
    connection = op.get_bind()
    former = sa.Table(name, sa.MetaData(), autoload_with=connection)
    rows = [dict(row._mapping) for row in connection.execute(sa.select(former).order_by(former.c.id))]
    op.drop_table(name)
    table = op.create_table(
        name,
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("structure_id", sa.Integer, nullable=False),
        *columns,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["structure_id"], ["structures.id"], name=f"fk_{name}_structure_id"),
        sa.UniqueConstraint("structure_id", "entry", name=f"uq_{name}_structure_id_entry"),
    )
    for row in rows:
        connection.execute(table.insert().values(**{key: kept(row)[key] for key in kept(row) if key != "id"}))


def _reading(row: dict[str, Any]) -> dict[str, Any]:
    """A row of the former shape as something seen: kept in its own words, and no correction of a forecast."""
    day = row["taken_at"].date()
    content = json.dumps(
        {
            "joint": row["joint"] or "-",
            "part": row["part"],
            "date": day.isoformat(),
            "measured": "look",
            "words": f"{row['kind']}: {row['value']:g} {row['unit']}",
            "note": "" if row["detail"] == "{}" else str(row["detail"])[:2000],
        },
        ensure_ascii=False,
        separators=(",", ":"),
    )
    return {
        "structure_id": row["structure_id"],
        "entry": f"former-{row['id']}",
        "joint": row["joint"],
        "part": row["part"],
        "kind": "look",
        "content": content,
        "sha256": hashlib.sha256(content.encode()).hexdigest(),
        "source": "",
        "author": row["author"],
        "taken_on": day,
        "kept_at": row["kept_at"],
    }
