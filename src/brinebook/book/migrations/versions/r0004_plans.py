"""Accepted plans, and what was said of them: append-only, as facts are."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table of accepted plans."""
    op.create_table(
        "plans",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("plan_id", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("action", sa.Text, nullable=False),
        sa.Column("step", sa.Integer, nullable=False),
        sa.Column("fact", sa.Text, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("entered_us", sa.BigInteger, nullable=False),
        sa.Column("entered_by", sa.Text, nullable=False),
        sa.Column("entered_through", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["systems.system_id"], name="fk_plans_systems"),
        sa.PrimaryKeyConstraint("system_id", "plan_id", "revision", name="pk_plans"),
    )
