"""The form of the file: new ones and migrated ones are alike; others are told apart."""

from __future__ import annotations

import re
import sqlite3
import tomllib
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

import sugarwright
from logbook_cases import note
from sugarwright.errors import LogbookError
from sugarwright.logbook import schema
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.tables import metadata
from sugarwright.logbook.version import APPLICATION_ID, VERSION

SCRIPTS = Path(schema.__file__).parent / "migrations"
VERSIONS = [each.revision for each in ScriptDirectory(str(SCRIPTS)).walk_revisions()][::-1]


def old_one(folder: Path, version: str) -> Path:
    """Make a logbook as a program of that version made it."""
    path = folder / LOGBOOK_FILE
    raw = sqlite3.connect(path)
    raw.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    raw.close()
    schema.migrate(path, to=version)
    return path


def form(path: Path) -> dict[str, list[str]]:
    """Return what makes up a file: the parts of each table, index and trigger."""
    rows = sqlite3.connect(path).execute("SELECT name, sql FROM sqlite_master")
    return {name: sorted(re.findall(r"[^\s,()\"]+", sql or "")) for name, sql in rows}


def test_this_programs_version_is_the_newest_migration() -> None:
    assert VERSIONS[-1] == VERSION
    assert sorted(VERSIONS) == VERSIONS  # newer ones are told by their number


def test_every_migration_lies_in_the_package() -> None:
    """The folder that is shipped (pyproject: all of src/sugarwright) holds each of them."""
    wheel = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text())["tool"][
        "hatch"
    ]["build"]["targets"]
    assert wheel["wheel"] == {"packages": ["src/sugarwright"]}  # and nothing of it left out
    package = Path(sugarwright.__file__).parent
    files = sorted(each.name for each in (SCRIPTS / "versions").glob("v*.py"))
    assert package in SCRIPTS.parents
    assert [name[1:5] for name in files] == VERSIONS


def test_migrations_lead_to_the_tables_as_described(tmp_path: Path) -> None:
    path = old_one(tmp_path, "head")
    with create_engine(f"sqlite:///{path}").connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
    (tmp_path / "new").mkdir()
    with Logbook.open(tmp_path / "new") as book:
        assert form(book.path) == form(path)


def test_a_newer_one_is_refused_untouched(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as book:
        book.add([note("a")])
    path = tmp_path / LOGBOOK_FILE
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="newer Sugarwright"):
        Logbook.open(tmp_path)
    assert path.read_bytes() == before


def test_another_programs_database_is_refused(tmp_path: Path) -> None:
    raw = sqlite3.connect(tmp_path / LOGBOOK_FILE)
    raw.execute("CREATE TABLE recipes (name TEXT)")
    raw.close()
    with pytest.raises(LogbookError, match="no logbook"):
        Logbook.open(tmp_path)
