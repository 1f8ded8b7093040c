"""Readings of sensors: thinned so that nothing that moved is lost, found again by time."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook_cases import MORNING_S
from sugarwright.errors import RangeError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.sensors import by_quarters, thinned

VALUES = st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=60)


@given(VALUES, st.floats(0.0, 1.0), st.integers(1, 20))
def test_what_is_left_out_was_told_by_the_one_kept_before(
    values: list[float], resolution: float, gap_minutes: int
) -> None:
    readings = [(60.0 * at, value) for at, value in enumerate(values)]
    kept = list(thinned(readings, None, resolution, 60.0 * gap_minutes))
    assert kept[0] == readings[0]
    for time_s, value in readings:
        before = [each for each in kept if each[0] <= time_s][-1]
        assert abs(before[1] - value) <= resolution
        assert time_s - before[0] < 60.0 * gap_minutes
    assert set(kept) <= set(readings)


def test_a_still_tank_takes_a_line_in_ten_minutes() -> None:
    readings = [(float(at), 1.0) for at in range(3600)]
    assert len(list(thinned(readings, None, 0.002, 600.0))) == 6


def test_found_again_by_time_and_each_once(tmp_path: Path) -> None:
    readings = [(MORNING_S + 60.0 * at, 0.5 * at) for at in range(10)]
    with Logbook.open(tmp_path) as book:
        assert book.newest_sensor("sap level") is None
        assert book.add_sensor("sap level", reversed(readings)) == 10
        assert book.add_sensor("sap level", readings[3:]) == 0
        assert book.add_sensor("pan", [(MORNING_S, 104.0)]) == 1
    with Logbook.open(tmp_path) as book:
        found = book.sensor("sap level", MORNING_S + 60.0, MORNING_S + 180.0)
        assert found == tuple(readings[1:3])
        assert book.newest_sensor("sap level") == readings[-1]
        assert book.sensor_names() == ("pan", "sap level")


def test_thinning_goes_on_from_what_is_kept(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as book:
        book.add_sensor("air", [(MORNING_S, 1.0)], resolution=0.5)
        assert book.add_sensor("air", [(MORNING_S + 60.0, 1.3)], resolution=0.5) == 0
        assert book.add_sensor("air", [(MORNING_S + 120.0, 1.6)], resolution=0.5) == 1


def test_what_is_no_number_is_refused_with_its_batch(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as book:
        with pytest.raises(RangeError, match="no number"):
            book.add_sensor("air", [(MORNING_S, 1.0), (MORNING_S + 1.0, float("nan"))])
        assert book.newest_sensor("air") is None


@given(
    st.lists(st.tuples(st.integers(0, 6000), st.integers(-50, 50)), max_size=60),
    st.integers(0, 4000),
    st.integers(0, 7000),
)
def test_a_quarter_hour_is_told_by_the_medians_of_its_last_readings(
    rows: list[tuple[int, int]], begin_s: int, end_s: int
) -> None:
    """Against the same said by NumPy over all readings."""
    kept = dict(rows[::-1])  # of one instant one stands
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE series (id INTEGER PRIMARY KEY, name TEXT UNIQUE)")
    connection.execute(
        "CREATE TABLE readings (series, time_s REAL, value REAL, PRIMARY KEY (series, time_s))"
    )
    connection.execute("INSERT INTO series VALUES (1, 'a')")
    connection.executemany("INSERT INTO readings VALUES (1, ?, ?)", kept.items())
    wanted = []
    for quarter in range(begin_s // 900, 9):
        last = sorted(t for t in kept if t // 900 == quarter)[-5:]
        if last and (quarter + 1) * 900 <= end_s:
            wanted.append((np.median(last), np.median([kept[t] for t in last])))
    assert list(by_quarters(connection, "a", begin_s, end_s)) == wanted
    assert by_quarters(connection, "b", begin_s, end_s) == ()
