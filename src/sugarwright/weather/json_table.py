"""Hourly weather in a JSON file of no service known here, turned into a table.

Either a list of rows, ``[{"time": "2027-03-09T05:00Z", "temperature_c": -2.5}, ...]``, or columns
of one length, ``{"time": [...], "temperature_c": [...]}``; either may lie inside an object. The
keys are read as a table's titles are.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from typing import Any

from sugarwright.errors import WeatherFileError
from sugarwright.weather.headers import recognise

_FORMAT = '[{"time": "2027-03-09T05:00Z", "temperature_c": -2.5}, ...]'
_DEEPEST = 4


def table_of_json(text: str, name: str) -> str:
    """Return a table (CSV) with what a JSON text holds.

    Raises
    ------
    WeatherFileError : if it is no JSON, or holds no rows with a time and a temperature
    """
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as problem:
        why = f"is no JSON that can be read ({problem})"
        raise WeatherFileError("weather", None, why, "", "Save it again", name) from None
    for rows in _tables(document):
        columns = recognise(list(rows[0]))
        if columns.time and columns.found["temperature_c"]:
            return _written(rows)
    lacking = "holds no list of rows with a time and an air temperature"
    raise WeatherFileError("weather", None, lacking, _FORMAT, "", name)


def _tables(inner: Any, depth: int = 0) -> Iterator[list[dict[str, Any]]]:
    """Yield whatever in a document looks like a table, outer ones first."""
    if isinstance(inner, list) and inner and all(isinstance(row, dict) for row in inner):
        if inner[0]:
            yield inner
    elif isinstance(inner, dict) and depth < _DEEPEST:
        columns = {key: each for key, each in inner.items() if isinstance(each, list) and each}
        lengths = {len(each) for each in columns.values()}
        if len(columns) > 1 and len(lengths) == 1:
            rows = zip(*columns.values(), strict=True)
            yield [dict(zip(columns, row, strict=True)) for row in rows]
        for below in inner.values():
            yield from _tables(below, depth + 1)


def _written(rows: list[dict[str, Any]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    titles = list(rows[0])
    writer.writerow([title.replace("\n", " ") for title in titles])
    for row in rows:
        values = [row.get(title) for title in titles]
        writer.writerow(["" if each is None else str(each).replace("\n", " ") for each in values])
    return text.getvalue()
