"""Plans as issued, in the logbook: what a next plan may go on from, and be judged by later."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from typing import Any

from sugarwright.logbook.open_file import OpenFile

_INSERT = (
    "INSERT INTO plans (begin_s, content) SELECT :begin_s, :content WHERE NOT EXISTS "
    "(SELECT 1 FROM plans WHERE begin_s = :begin_s AND content = :content)"
)
_KEEP = (  # made again after another for the same hour, it is the newest once more
    "INSERT INTO plans (begin_s, content) SELECT :begin_s, :content WHERE NOT EXISTS "
    "(SELECT 1 FROM plans WHERE begin_s = :begin_s AND content = :content AND serial = "
    "(SELECT MAX(serial) FROM plans WHERE begin_s = :begin_s))"
)


class PlanBook:
    """The plans of a logbook, as plain documents: what stands in them is the planner's own."""

    def __init__(self, file: OpenFile) -> None:
        self._file = file

    def keep(self, begin_s: float, document: dict[str, Any]) -> bool:
        """Keep a plan as issued; tell whether it was new.

        Parameters
        ----------
        begin_s : UTC s from which it plans
        document : plain lists, texts and numbers

        Raises
        ------
        LogbookError : it cannot be written
        """
        with self._file.writing() as connection:
            return connection.execute(_KEEP, _values(begin_s, document)).rowcount > 0

    def newest_first(self, begin_s: float, end_s: float) -> Iterator[dict[str, Any]]:
        """Yield the plans that begin from ``begin_s`` to before ``end_s``, the last made first.

        One that cannot be read is passed over: a plan is better made anew than not at all.
        """
        with self._file.reading() as connection:
            rows = connection.execute(
                "SELECT content FROM plans WHERE begin_s >= ? AND begin_s < ? "
                "ORDER BY begin_s DESC, serial DESC",
                (begin_s, end_s),
            ).fetchall()
        for (content,) in rows:
            try:
                document = json.loads(content)
            except (ValueError, TypeError):
                continue
            if isinstance(document, dict):
                yield document


def insert_plan(connection: sqlite3.Connection, begin_s: float, document: dict[str, Any]) -> bool:
    """Add a plan unless the very same is there; tell whether it was new."""
    return connection.execute(_INSERT, _values(begin_s, document)).rowcount > 0


def _values(begin_s: float, document: dict[str, Any]) -> dict[str, float | str]:
    return {"begin_s": begin_s, "content": json.dumps(document, allow_nan=False)}
