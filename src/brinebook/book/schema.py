"""The tables, as SQLAlchemy Core knows them. Every table carries ``system_id`` in its key.

Instants are whole microseconds since 1970-01-01T00:00:00Z: exact, and the same on both engines.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(referred_table_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_1_name)s",
    }
)


def _system_id() -> Column[str]:
    return Column("system_id", Text, ForeignKey("systems.system_id"), nullable=False)


systems = Table(
    "systems",
    metadata,
    Column("system_id", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("entered_us", BigInteger, nullable=False),
    PrimaryKeyConstraint("system_id"),
    UniqueConstraint("name"),
)

descriptions = Table(
    "descriptions",
    metadata,
    _system_id(),
    Column("revision", Integer, nullable=False),
    Column("text", Text, nullable=False),
    Column("entered_us", BigInteger, nullable=False),
    Column("entered_by", Text, nullable=False),
    Column("entered_through", Text, nullable=False),
    PrimaryKeyConstraint("system_id", "revision"),
)

facts = Table(
    "facts",
    metadata,
    _system_id(),
    Column("chain", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("action", Text, nullable=False),
    Column("withdrawn", Boolean, nullable=False),
    Column("fact_id", Text, nullable=False),
    Column("happened_us", BigInteger, nullable=False),
    Column("kind", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("value", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("detail", Text, nullable=False),
    Column("entered_us", BigInteger, nullable=False),
    Column("entered_by", Text, nullable=False),
    Column("entered_through", Text, nullable=False),
    PrimaryKeyConstraint("system_id", "chain", "revision"),
    Index(None, "system_id", "fact_id"),
    Index(None, "system_id", "happened_us"),
    Index(None, "system_id", "entered_us"),
)

probes = Table(
    "probes",
    metadata,
    _system_id(),
    Column("probe", Integer, nullable=False),
    Column("name", Text, nullable=False),
    Column("unit", Text, nullable=False),
    PrimaryKeyConstraint("system_id", "probe"),
    UniqueConstraint("system_id", "name", "unit"),
)

probe_readings = Table(
    "probe_readings",
    metadata,
    _system_id(),
    Column("probe", Integer, nullable=False),
    Column("happened_us", BigInteger, nullable=False),
    Column("value", Double, nullable=False),
    PrimaryKeyConstraint("system_id", "probe", "happened_us", "value"),
    sqlite_with_rowid=False,
)

kept = Table(
    "kept",
    metadata,
    _system_id(),
    Column("key", Text, nullable=False),
    Column("fingerprint", Text, nullable=False),
    Column("program", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("kept_us", BigInteger, nullable=False),
    PrimaryKeyConstraint("system_id", "key"),
)

#: ``system_id`` is empty for what is of the whole book (its password): so no foreign key here.
settings = Table(
    "settings",
    metadata,
    Column("system_id", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("value", Text, nullable=False),
    Column("set_us", BigInteger, nullable=False),
    PrimaryKeyConstraint("system_id", "key"),
)

passes = Table(
    "passes",
    metadata,
    _system_id(),
    Column("pass_id", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("scopes", Text, nullable=False),
    Column("digest", Text, nullable=False),
    Column("made_us", BigInteger, nullable=False),
    Column("expires_us", BigInteger, nullable=True),
    Column("ended_us", BigInteger, nullable=True),
    PrimaryKeyConstraint("system_id", "pass_id"),
    UniqueConstraint("digest"),
)

photos = Table(
    "photos",
    metadata,
    _system_id(),
    Column("chain", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("small", LargeBinary, nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("added_us", BigInteger, nullable=False),
    Column("added_by", Text, nullable=False),
    PrimaryKeyConstraint("system_id", "chain"),
)

saves = Table(
    "saves",
    metadata,
    _system_id(),
    Column("key", Text, nullable=False),
    Column("chains", Text, nullable=False),
    Column("saved_us", BigInteger, nullable=False),
    PrimaryKeyConstraint("system_id", "key"),
)

plans = Table(
    "plans",
    metadata,
    _system_id(),
    Column("plan_id", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("action", Text, nullable=False),
    Column("step", Integer, nullable=False),
    Column("fact", Text, nullable=False),
    Column("content", Text, nullable=False),
    Column("entered_us", BigInteger, nullable=False),
    Column("entered_by", Text, nullable=False),
    Column("entered_through", Text, nullable=False),
    PrimaryKeyConstraint("system_id", "plan_id", "revision"),
)
