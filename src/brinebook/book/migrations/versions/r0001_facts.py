"""The first format: systems with their descriptions, facts with revisions, probe readings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def _system_id(table: str) -> tuple[sa.Column[str], sa.ForeignKeyConstraint]:
    """The column that every table keeps in its key, and where it points."""
    return (
        sa.Column("system_id", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["systems.system_id"], name=f"fk_{table}_systems"),
    )


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "systems",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("entered_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("system_id", name="pk_systems"),
        sa.UniqueConstraint("name", name="uq_systems_name"),
    )
    op.create_table(
        "descriptions",
        *_system_id("descriptions"),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        *_entered(),
        sa.PrimaryKeyConstraint("system_id", "revision", name="pk_descriptions"),
    )
    _facts()
    _probes()


def _entered() -> tuple[sa.Column[int], sa.Column[str], sa.Column[str]]:
    """When a row was entered, by whom, and through what."""
    return (
        sa.Column("entered_us", sa.BigInteger, nullable=False),
        sa.Column("entered_by", sa.Text, nullable=False),
        sa.Column("entered_through", sa.Text, nullable=False),
    )


def _facts() -> None:
    op.create_table(
        "facts",
        *_system_id("facts"),
        sa.Column("chain", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("action", sa.Text, nullable=False),
        sa.Column("withdrawn", sa.Boolean, nullable=False),
        sa.Column("fact_id", sa.Text, nullable=False),
        sa.Column("happened_us", sa.BigInteger, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("value", sa.Text, nullable=False),
        sa.Column("unit", sa.Text, nullable=False),
        sa.Column("detail", sa.Text, nullable=False),
        *_entered(),
        sa.PrimaryKeyConstraint("system_id", "chain", "revision", name="pk_facts"),
    )
    op.create_index("ix_facts_fact_id", "facts", ["system_id", "fact_id"])
    op.create_index("ix_facts_happened_us", "facts", ["system_id", "happened_us"])


def _probes() -> None:
    op.create_table(
        "probes",
        *_system_id("probes"),
        sa.Column("probe", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("unit", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("system_id", "probe", name="pk_probes"),
        sa.UniqueConstraint("system_id", "name", "unit", name="uq_probes_system_id"),
    )
    op.create_table(
        "probe_readings",
        *_system_id("probe_readings"),
        sa.Column("probe", sa.Integer, nullable=False),
        sa.Column("happened_us", sa.BigInteger, nullable=False),
        sa.Column("value", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint(
            "system_id", "probe", "happened_us", "value", name="pk_probe_readings"
        ),
        sqlite_with_rowid=False,
    )
