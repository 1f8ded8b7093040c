"""``trees.toml``: every fit of the trees, the newest last, for people to read and to take back.

Written whole beside the old file and then put in its place, so that a power cut leaves one or the
other. Nothing is overwritten: a new fit is added, and ``without_newest`` takes it away again.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
import tomllib
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sugarwright.errors import InputError
from sugarwright.plant.specs import toml
from sugarwright.plant.tree_knowledge import Shape, TreeKnowledge

TREES_FILE = "trees.toml"
_HEAD = """\
# What your gatherings taught about your trees; written by `sugarwright learn trees`.
# The last [[fit]] of a season counts. `sugarwright learn trees --undo` takes the newest away.
#
# yield_factor: sap per tap against an ordinary bush on the same weather (median);
#   yield_sd_log: how unsure that is (0.2: two chances in three that it is within a fifth)
# independent_gatherings: how many gatherings, each of a run of its own, would teach as much
"""
_KEYS: dict[str, type] = {
    "gatherings": int,
    "brix_readings": int,
    "independent_gatherings": float,
    "yield_factor": float,
    "yield_sd_log": float,
    "sap_brix": float,
    "sap_brix_sd": float,
}
_SHAPE_KEYS: dict[str, type] = {
    "name": str,
    "value": float,
    "sd_log": float,
    "scale_correlation": float,
}


def read_trees(path: str | Path) -> tuple[TreeKnowledge, ...]:
    """Return every fit in a file, oldest first; none if there is no such file.

    Raises
    ------
    InputError : the file cannot be read, or says what cannot be
    """
    place = str(path)
    try:
        text = Path(path).read_text(encoding="utf-8")
        document = tomllib.loads(text)
    except FileNotFoundError:
        return ()
    except (OSError, ValueError) as problem:  # not UTF-8, not TOML
        fix = "Put it right, or move it away and learn again"
        raise InputError(TREES_FILE, None, f"cannot be read ({problem})", "", fix, place) from None
    fits = document.get("fit", [])
    if not isinstance(fits, list):
        raise InputError("fit", fits, "is no list of fits", "[[fit]]", place=place)
    return tuple(_fit(raw, f"{place} fit {count}") for count, raw in enumerate(fits, 1))


def write_trees(path: str | Path, history: Sequence[TreeKnowledge]) -> None:
    """Write every fit, oldest first, in place of what is there: wholly or not at all.

    Raises
    ------
    InputError : the file cannot be written
    """
    text = "\n".join([_HEAD, *map(_fit_text, history)])
    target = Path(path)
    try:
        handle, name = tempfile.mkstemp(prefix=".trees-", suffix=".toml", dir=target.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(target)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
    except OSError as problem:
        raise InputError(TREES_FILE, str(path), f"cannot be written ({problem})") from None


def without_newest(history: Sequence[TreeKnowledge]) -> tuple[TreeKnowledge, ...]:
    """Return a history without what was learnt last (several seasons may have been, at once).

    Raises
    ------
    InputError : there is nothing to take back
    """
    if not history:
        raise InputError(TREES_FILE, None, "holds no fit that could be taken back")
    newest = max(fit.learnt_s for fit in history)
    return tuple(fit for fit in history if fit.learnt_s != newest)


def _fit_text(fit: TreeKnowledge) -> str:
    learnt = datetime.fromtimestamp(fit.learnt_s, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    lines = ["[[fit]]", f"season = {fit.season}", f"learnt = {learnt}"]
    lines += [f"{key} = {toml(kind(getattr(fit, key)))}" for key, kind in _KEYS.items()]
    for shape in fit.shapes:
        lines.append("[[fit.shape]]")
        lines += [f"{key} = {toml(kind(getattr(shape, key)))}" for key, kind in _SHAPE_KEYS.items()]
    return "\n".join(lines) + "\n"


def _fit(raw: Any, place: str) -> TreeKnowledge:
    if not isinstance(raw, dict):
        raise InputError("fit", raw, "is no table", "[[fit]]", place=place)
    learnt = _value(raw, "learnt", datetime, place)
    if learnt.tzinfo is None:
        raise InputError(
            "learnt", str(learnt), "states no time zone", "2027-03-30T12:00:00Z", "", place
        )
    shapes = raw.get("shape", [])
    try:
        return TreeKnowledge(
            season=_value(raw, "season", int, place),
            learnt_s=int(learnt.timestamp()),
            **{key: _value(raw, key, kind, place) for key, kind in _KEYS.items()},
            shapes=tuple(
                Shape(**{key: _value(each, key, kind, place) for key, kind in _SHAPE_KEYS.items()})
                for each in (shapes if isinstance(shapes, list) else [shapes])
            ),
        )
    except InputError as error:
        raise error.at(error.field, place) from None


def _value(raw: Any, key: str, kind: type, place: str) -> Any:
    """Return a key's value, which must be of the kind wanted (a whole number may stand for any)."""
    value: Any = raw.get(key) if isinstance(raw, dict) else None
    good = isinstance(value, (int, float) if kind is float else kind)
    if not good or isinstance(value, bool):
        words = {int: "a whole number", float: "a number", str: "a text", datetime: "a time"}
        problem = "is missing" if value is None else f"is not {words[kind]}"
        raise InputError(
            key, None if value is None else str(value), problem, words[kind], "", place
        )
    return float(value) if kind is float else value
