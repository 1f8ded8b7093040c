"""A moment typed: a clock time alone belongs to a day that the caller knows."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from sugarwright.cli.moment import read_moment_s
from sugarwright.errors import InputError

ISSUED_S = datetime(2026, 3, 19, 2, 30, tzinfo=UTC).timestamp()  # 22:30 of the 18th in New York


def read(text: str) -> datetime:
    moment_s = read_moment_s("--now", text, "America/New_York", ISSUED_S)
    return datetime.fromtimestamp(moment_s, UTC)


@pytest.mark.parametrize(
    ("text", "month_day_hour_minute"),
    [
        ("23:00", (3, 19, 3, 0)),  # daylight time, four hours behind UTC
        ("5 am", (3, 18, 9, 0)),
        (" 05:10 ", (3, 18, 9, 10)),
        ("2026-03-19 05:10", (3, 19, 9, 10)),
        ("2026-03-01 05:10", (3, 1, 10, 10)),  # standard time, five hours behind
        ("2026-03-19T05:10Z", (3, 19, 5, 10)),
        ("2026-03-19", (3, 19, 4, 0)),
    ],
)
def test_moments(text: str, month_day_hour_minute: tuple[int, int, int, int]) -> None:
    assert read(text) == datetime(2026, *month_day_hour_minute, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "5", "25:00", "24:00", "soon", "2026-02-30 05:10", "99"])
def test_what_is_no_moment(text: str) -> None:
    with pytest.raises(InputError, match=r"--now.*is no time"):
        read(text)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2027-03-14 02:30", 'does not exist on 2027-03-14.*Write "01:30" or "03:30"'),
        ("2026-11-01 01:30", 'happens twice.*"2026-11-01 01:30-04:00".*"2026-11-01 01:30-05:00"'),
    ],
)
def test_an_hour_that_clocks_skip_or_show_twice_is_refused(text: str, told: str) -> None:
    with pytest.raises(InputError, match=f"--now.*{told}"):
        read(text)


def test_what_is_asked_for_of_an_hour_shown_twice_is_read() -> None:
    assert read("2026-11-01 01:30-05:00") == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)


def test_a_clock_time_alone_of_a_day_that_skips_it_is_refused() -> None:
    day_s = datetime(2027, 3, 14, 12, 0, tzinfo=UTC).timestamp()
    with pytest.raises(InputError, match="does not exist"):
        read_moment_s("--now", "02:30", "America/New_York", day_s)
