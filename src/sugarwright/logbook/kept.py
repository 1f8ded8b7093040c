"""What is kept beside the entries: the house as it was, what was learnt, states of the twin."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass
from typing import Any

from sugarwright.errors import InputError

MOST_STATES = 100
"""States kept of one name. They can be computed anew from the entries, so older ones go."""

_STANDS = (
    "name = ? AND document IS NOT NULL "
    "AND serial NOT IN (SELECT takes_back FROM knowledge WHERE takes_back IS NOT NULL)"
)


@dataclass(frozen=True)
class Version:
    """One version of a piece of knowledge.

    Parameters
    ----------
    made_s : when it was learnt, UTC s
    document : what was learnt
    taken_back_s : when it was taken back, UTC s; None if it was not
    """

    made_s: float
    document: dict[str, Any]
    taken_back_s: float | None


def keep_house(connection: sqlite3.Connection, text: str, now_s: float) -> bool:
    """Keep a description unless it is the one kept last; tell whether it was new.

    It holds from now on, but never from before the last one: a clock may have been set back.
    """
    newest = connection.execute(
        "SELECT text, from_s FROM houses ORDER BY serial DESC LIMIT 1"
    ).fetchone()
    if newest is not None and newest[0] == text:
        return False
    from_s = now_s if newest is None else max(now_s, float(newest[1]))
    connection.execute("INSERT INTO houses (from_s, text) VALUES (?, ?)", (from_s, text))
    return True


def house_at(connection: sqlite3.Connection, time_s: float) -> str | None:
    """Return the description of that time; before the first one, the first; None without any."""
    before = "WHERE from_s <= ? ORDER BY from_s DESC, serial DESC LIMIT 1"
    found = connection.execute(f"SELECT text FROM houses {before}", (time_s,)).fetchone()
    if found is None:
        first = "SELECT text FROM houses ORDER BY from_s, serial LIMIT 1"
        found = connection.execute(first).fetchone()
    return None if found is None else str(found[0])


def keep_knowledge(
    connection: sqlite3.Connection, name: str, document: dict[str, Any], now_s: float
) -> None:
    """Add a version, which is then the newest."""
    try:
        text = json.dumps(document, ensure_ascii=False, allow_nan=False)
    except (TypeError, ValueError) as problem:
        raise InputError("knowledge", name, f"cannot be kept: {problem}") from None
    connection.execute(
        "INSERT INTO knowledge (name, made_s, document) VALUES (?, ?, ?)", (name, now_s, text)
    )


def newest_knowledge(connection: sqlite3.Connection, name: str) -> dict[str, Any] | None:
    """Return the newest version that was not taken back; None without one."""
    found = _newest(connection, name)
    document: dict[str, Any] | None = None if found is None else json.loads(found[1])
    return document


def undo_knowledge(connection: sqlite3.Connection, name: str, now_s: float) -> None:
    """Take back the newest version: the one before it counts again, and nothing is deleted."""
    found = _newest(connection, name)
    if found is None:
        raise InputError("knowledge", name, "holds nothing that could be taken back")
    connection.execute(
        "INSERT INTO knowledge (name, made_s, takes_back) VALUES (?, ?, ?)", (name, now_s, found[0])
    )


def versions(connection: sqlite3.Connection, name: str) -> tuple[Version, ...]:
    """Return all versions, the oldest first, those taken back among them."""
    rows = connection.execute(
        "SELECT k.made_s, k.document, u.made_s FROM knowledge k "
        "LEFT JOIN knowledge u ON u.takes_back = k.serial "
        "WHERE k.name = ? AND k.document IS NOT NULL ORDER BY k.serial",
        (name,),
    )
    return tuple(Version(made_s, json.loads(text), back_s) for made_s, text, back_s in rows)


def keep_state(
    connection: sqlite3.Connection, name: str, time_s: float, content: bytes, made_s: float
) -> None:
    """Keep a state; one of the same instant takes the former's place, the oldest of many go."""
    connection.execute(
        "INSERT INTO states (name, time_s, made_s, content) VALUES (?, ?, ?, ?) ON CONFLICT DO "
        "UPDATE SET made_s = excluded.made_s, content = excluded.content",
        (name, time_s, made_s, content),
    )
    connection.execute(
        "DELETE FROM states WHERE name = ? AND time_s NOT IN "
        "(SELECT time_s FROM states WHERE name = ? ORDER BY time_s DESC LIMIT ?)",
        (name, name, MOST_STATES),
    )


def newest_state(
    connection: sqlite3.Connection, name: str, before_s: float | None
) -> tuple[float, bytes] | None:
    """Return the instant and content of the newest state, of those before an instant; or None."""
    earlier = "" if before_s is None else "AND time_s < ?"
    found = connection.execute(
        f"SELECT time_s, content FROM states WHERE name = ? {earlier} ORDER BY time_s DESC LIMIT 1",
        (name, *(() if before_s is None else (before_s,))),
    ).fetchone()
    return None if found is None else (float(found[0]), bytes(found[1]))


def _newest(connection: sqlite3.Connection, name: str) -> tuple[int, str] | None:
    found: tuple[int, str] | None = connection.execute(
        f"SELECT serial, document FROM knowledge WHERE {_STANDS} ORDER BY serial DESC LIMIT 1",
        (name,),
    ).fetchone()
    return found
