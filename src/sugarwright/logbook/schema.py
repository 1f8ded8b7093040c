"""The version of a logbook file: new files are made in it, older ones brought to it."""

from __future__ import annotations

import contextlib
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from sugarwright.errors import LogbookError
from sugarwright.logbook.backups import back_up_before
from sugarwright.logbook.connection import connect, damaged, plainly
from sugarwright.logbook.files import passing_file, put_in_place
from sugarwright.logbook.version import APPLICATION_ID, VERSION, version_of

if TYPE_CHECKING:
    from sqlalchemy import Connection


def make_new(path: Path) -> None:
    """Make an empty logbook, wholly or not at all; leave one that somebody else just made.

    Raises
    ------
    LogbookError : the folder is not there, or cannot be written to
    """
    try:
        with passing_file(path.parent) as beside:
            fill(beside)
            put_in_place(beside, path)
    except OSError as problem:
        reason = problem.strerror or str(problem)
        fix = "Look whether the folder is there, may be written to, and has room"
        raise LogbookError("logbook", str(path), f"cannot be made ({reason})", fix=fix) from None


def bring_up_to_date(path: Path, connection: sqlite3.Connection) -> None:
    """Bring an older logbook to this program's version, after a backup of it as it was.

    Raises
    ------
    LogbookError : it is of a newer program, or no logbook
    """
    found = version_of(path, connection)
    if found == VERSION:
        return
    if found > VERSION:
        problem = f"was written by a newer Sugarwright (its form is {found}, this one's {VERSION})"
        fix = "Nothing was touched. Update this program, or use the newer one"
        raise LogbookError("logbook", str(path), problem, fix=fix)
    back_up_before(path.parent, connection, found, time.time())
    migrate(path)


def migrate(path: Path, scripts: Path | None = None, to: str = "head") -> None:
    """Run the migrations that are missing, in one transaction: all of them or none.

    Parameters
    ----------
    path : of the logbook
    scripts : folder of the migrations; this package's own when left out
    to : version to reach

    Raises
    ------
    LogbookError : the file cannot be written; it is then as it was
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(scripts or Path(__file__).parent / "migrations"))
    with _alone(path) as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, to)
        _refuse_changes(connection)
        if broken := connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall():
            raise damaged(path, f"a line of {broken[0][0]} points nowhere")


def fill(path: Path, raw: sqlite3.Connection | None = None) -> None:
    """Write the tables of this program's version into an empty file, or into memory."""
    from sugarwright.logbook.tables import metadata

    with _alone(path, raw) as connection:
        metadata.create_all(connection)
        for text in (
            f"PRAGMA application_id = {APPLICATION_ID}",
            "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL, "
            "CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))",
            f"INSERT INTO alembic_version VALUES ('{VERSION}')",
        ):
            connection.exec_driver_sql(text)
        _refuse_changes(connection)


def _refuse_changes(connection: Connection) -> None:
    """Let the database itself refuse to alter or delete what was written."""
    from sqlalchemy import inspect

    from sugarwright.logbook.tables import APPEND_ONLY

    there = inspect(connection).get_table_names()  # not all of them in an older version
    for table in (each for each in APPEND_ONLY if each in there):
        for act in ("update", "delete"):
            connection.exec_driver_sql(
                f"CREATE TRIGGER IF NOT EXISTS {table}_no_{act} BEFORE {act} ON {table} BEGIN "
                f"SELECT raise(ABORT, 'nothing written in {table} is ever altered'); END"
            )


@contextlib.contextmanager
def _alone(path: Path, raw: sqlite3.Connection | None = None) -> Iterator[Connection]:
    """Work on a file's form in one transaction, nobody else writing."""
    from sqlalchemy import NullPool, StaticPool, create_engine, event
    from sqlalchemy.exc import DBAPIError

    def connected() -> sqlite3.Connection:
        connection = raw or connect(path)
        connection.execute("PRAGMA foreign_keys = OFF")  # tables are made anew; checked at the end
        return connection

    pool = NullPool if raw is None else StaticPool  # closes it afterwards, or leaves it open
    engine = create_engine("sqlite://", creator=connected, poolclass=pool)
    event.listen(engine, "begin", lambda each: each.exec_driver_sql("BEGIN EXCLUSIVE"))
    try:
        with engine.begin() as connection:
            yield connection
    except DBAPIError as problem:
        with plainly(path):
            raise problem.orig or problem from None
