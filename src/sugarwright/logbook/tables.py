"""The tables of ``logbook.db``: the one description, for new files and for migrations.

Nothing of everyday use imports this, since SQLAlchemy takes longer to come than an entry to keep.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any

from sqlalchemy import (
    REAL,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator


class UtcSeconds(TypeDecorator[float]):
    """An instant: UTC seconds since 1970. What has no zone, or is no number, is refused."""

    impl = REAL
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> float | None:
        """Return seconds from seconds, or from a time that states its zone."""
        if isinstance(value, datetime):
            if value.tzinfo is None:
                raise ValueError(f"{value} states no time zone")
            return value.timestamp()
        if value is None:
            return None
        if not math.isfinite(value):
            raise ValueError(f"{value} is no instant")
        return float(value)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

entries = Table(
    "entries",
    metadata,
    Column("serial", Integer, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    # the key of the first version of what this entry is a version of; its own for a first one
    Column("family", Text, nullable=False),
    Column("replaces", Text, ForeignKey("entries.key")),
    Column("kind", Text, nullable=False),
    Column("at_s", UtcSeconds, nullable=False),
    Column("begin_s", UtcSeconds),
    Column("made_s", UtcSeconds, nullable=False),
    Column("place", Text, nullable=False),
    Column("to_place", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("flags", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("source", Text, nullable=False),
    Column("typed", Text, nullable=False),
    Index(None, "at_s", "serial"),
    Index(None, "family", "serial"),
    sqlite_autoincrement=True,
)

measures = Table(
    "measures",
    metadata,
    Column("entry", Integer, ForeignKey("entries.serial"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("quantity", Text, nullable=False),
    Column("value", REAL, nullable=False),
    Column("sd", REAL),
    Column("typed", Text, nullable=False),
    Column("instrument", Text, nullable=False),
    UniqueConstraint("entry", "quantity"),
    sqlite_with_rowid=False,
)

houses = Table(
    "houses",
    metadata,
    Column("serial", Integer, primary_key=True),
    Column("from_s", UtcSeconds, nullable=False),
    Column("text", Text, nullable=False),
    sqlite_autoincrement=True,
)

knowledge = Table(
    "knowledge",
    metadata,
    Column("serial", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("made_s", UtcSeconds, nullable=False),
    # None in a line that takes back; what it takes back stays readable
    Column("document", Text),
    Column("takes_back", Integer, ForeignKey("knowledge.serial")),
    Index(None, "name", "serial"),
    sqlite_autoincrement=True,
)

states = Table(
    "states",
    metadata,
    Column("name", Text, primary_key=True),
    Column("time_s", UtcSeconds, primary_key=True),
    Column("made_s", UtcSeconds, nullable=False),
    Column("content", LargeBinary, nullable=False),
)

forecasts = Table(
    "forecasts",
    metadata,
    Column("serial", Integer, primary_key=True),
    Column("issued_s", UtcSeconds, nullable=False),
    Column("fetched_s", UtcSeconds, nullable=False),
    Column("source", Text, nullable=False),
    Column("content", Text, nullable=False),
    Index(None, "issued_s", "source"),
    sqlite_autoincrement=True,
)

observed = Table(
    "observed",
    metadata,
    Column("time_s", Integer, primary_key=True),
    Column("temperature_c", REAL, nullable=False),
    Column("pressure_pa", REAL),
    Column("humidity_fraction", REAL),
    Column("wind_m_s", REAL),
    Column("source", Text, nullable=False),
)

plans = Table(
    "plans",
    metadata,
    Column("serial", Integer, primary_key=True),
    Column("begin_s", UtcSeconds, nullable=False),
    Column("content", Text, nullable=False),
    Index(None, "begin_s"),
    sqlite_autoincrement=True,
)

# Which files of the folder are in the logbook already, and what was wrong with one of them.
taken_in = Table(
    "taken_in",
    metadata,
    Column("name", Text, primary_key=True),
    Column("size_bytes", Integer, nullable=False),
    Column("changed_ns", Integer, nullable=False),
    Column("taken_s", UtcSeconds, nullable=False),
    Column("problem", Text, nullable=False),
)

series = Table(
    "series",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
)

readings = Table(
    "readings",
    metadata,
    Column("series", Integer, ForeignKey("series.id"), primary_key=True),
    Column("time_s", UtcSeconds, primary_key=True),
    Column("value", REAL, nullable=False),
    sqlite_with_rowid=False,
)

APPEND_ONLY = ("entries", "measures", "houses", "knowledge", "forecasts", "observed", "plans")
"""Tables whose lines the database itself refuses to alter or to delete."""
