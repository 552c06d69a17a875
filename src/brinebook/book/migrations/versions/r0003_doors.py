"""What the notebook in the browser keeps: settings, passes, photos, and which forms were saved."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the four tables, and the index by which the last write is found."""
    op.create_table(
        "settings",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("value", sa.Text, nullable=False),
        sa.Column("set_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("system_id", "key", name="pk_settings"),
    )
    _passes()
    _photos()
    op.create_table(
        "saves",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("chains", sa.Text, nullable=False),
        sa.Column("saved_us", sa.BigInteger, nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["systems.system_id"], name="fk_saves_systems"),
        sa.PrimaryKeyConstraint("system_id", "key", name="pk_saves"),
    )
    op.create_index("ix_facts_entered_us", "facts", ["system_id", "entered_us"])


def _passes() -> None:
    op.create_table(
        "passes",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("pass_id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("scopes", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("made_us", sa.BigInteger, nullable=False),
        sa.Column("expires_us", sa.BigInteger, nullable=True),
        sa.Column("ended_us", sa.BigInteger, nullable=True),
        sa.ForeignKeyConstraint(["system_id"], ["systems.system_id"], name="fk_passes_systems"),
        sa.PrimaryKeyConstraint("system_id", "pass_id", name="pk_passes"),
        sa.UniqueConstraint("digest", name="uq_passes_digest"),
    )


def _photos() -> None:
    op.create_table(
        "photos",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("chain", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("small", sa.LargeBinary, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.Column("added_us", sa.BigInteger, nullable=False),
        sa.Column("added_by", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["systems.system_id"], name="fk_photos_systems"),
        sa.PrimaryKeyConstraint("system_id", "chain", name="pk_photos"),
    )
