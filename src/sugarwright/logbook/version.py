"""Of which form a logbook file is."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from sugarwright.errors import LogbookError
from sugarwright.logbook.connection import RESTORE, plainly

VERSION = "0003"
"""Of this program's logbooks: the newest of ``migrations/versions``."""

APPLICATION_ID = 0x53574C42  # "SWLB", where tools that tell files by their first bytes look


def version_of(path: Path, connection: sqlite3.Connection) -> str:
    """Return the version of a file. Raises LogbookError when it is no logbook."""
    with plainly(path):
        mark = connection.execute("PRAGMA application_id").fetchone()[0]
        if mark == APPLICATION_ID:
            row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
            if row is not None:
                return str(row[0])
    raise LogbookError("logbook", str(path), "is a database, but no logbook", fix=RESTORE)
