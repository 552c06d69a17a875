"""Results that are dear to compute may be kept beside the facts they came from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table of kept results."""
    op.create_table(
        "kept",
        sa.Column("system_id", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("fingerprint", sa.Text, nullable=False),
        sa.Column("program", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("kept_us", sa.BigInteger, nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["systems.system_id"], name="fk_kept_systems"),
        sa.PrimaryKeyConstraint("system_id", "key", name="pk_kept"),
    )
