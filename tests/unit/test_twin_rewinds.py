"""What comes to be known late takes the twin back to before it: entries, corrections, weather.

The oracle is the log followed anew with everything known from the start (``again``).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from sugarwright.logbook.entry import Entry
from sugarwright.twin.air import Air
from sugarwright.twin.hours_told import HoursTold
from sugarwright.twin.marks import STATE
from sugarwright.twin.now import Question, follow_log, now
from sugarwright.twin.track import Track
from twin_cases import BEGIN_S, HOUR_S, States, entry, gallons, house

FIRST_S = BEGIN_S - 20 * 86400
NOW_S = BEGIN_S + 50.0 * HOUR_S
MEMBERS = 40


class Told:
    """Weather that says the same whenever it is asked; members part from it by up to a degree."""

    def __init__(self, air_c: np.ndarray) -> None:
        self.air_c = air_c

    @property
    def mark(self) -> str:
        return f"{self.air_c.sum()}"

    def air(self, members: int, seed: int, since_s: float, now_s: float, until_s: float) -> Air:
        off = np.linspace(-0.5, 0.5, members)[:, np.newaxis]
        return Air(FIRST_S, self.air_c + off, told_c=self.air_c)


def warm_days() -> np.ndarray:
    """Frost at night and five degrees at noon: sap runs."""
    hours = np.arange(30 * 24)
    air_c: np.ndarray = 1.0 + 5.0 * np.sin(2.0 * np.pi * (hours - 8) / 24.0)
    return air_c


def hour_of(hour: float) -> int:
    """Place in the weather of an hour after the begin."""
    return int(BEGIN_S - FIRST_S) // HOUR_S + int(hour)


@cache
def log() -> tuple[Entry, ...]:
    """Two days, read every eight hours."""
    levels = (20.0, 40.0, 60.0, 80.0, 90.0, 110.0, 130.0)
    return tuple(gallons("sap", 8.0 * k, gal) for k, gal in enumerate(levels))


def asked(entries: tuple[Entry, ...], air_c: np.ndarray) -> Question:
    return Question(house(), entries, NOW_S, Told(air_c), members=MEMBERS)


def followed_after(first: Question, second: Question) -> tuple[Track, Track, int]:
    """Follow one question, then another from the kept states; and the other anew."""
    store, count = States(), [0]
    follow_log(first, store)

    def tell(done: int, of: int) -> None:
        count[0] += 1

    track, _ = follow_log(second, store, progress=tell)
    anew, _ = follow_log(second, again=True)
    return track, anew, count[0]


def same(one: Track, other: Track) -> bool:
    return np.array_equal(one.ensemble.x, other.ensemble.x)


def test_where_nothing_came_to_be_known_nothing_is_followed_again() -> None:
    question = asked(log(), warm_days())
    track, anew, steps = followed_after(question, question)
    assert steps == 0
    assert same(track, anew)


@pytest.mark.parametrize(("hour", "again"), [(-30, 7), (3, 7), (30, 4)])
def test_weather_that_is_known_late_takes_the_twin_back_to_before_it(hour: int, again: int) -> None:
    """States are kept after the readings of the hours 16, 32 and 48: seven readings, or four."""
    measured = warm_days()
    measured[hour_of(hour) : hour_of(hour) + 6] += 3.0
    first, second = asked(log(), warm_days()), asked(log(), measured)
    track, anew, steps = followed_after(first, second)
    assert same(track, anew)
    assert not same(track, follow_log(first)[0])
    assert steps == again


def test_a_forecast_of_hours_to_come_takes_nothing_back() -> None:
    other = warm_days()
    other[hour_of(50) :] += 3.0
    assert followed_after(asked(log(), warm_days()), asked(log(), other))[2] == 0


def test_where_nothing_was_known_of_the_weather_hours_that_are_known_take_back() -> None:
    unknown, known = np.full(48, np.nan), np.full(48, 2.0)
    assert not HoursTold(100, unknown).holds(HoursTold(100, known))
    assert HoursTold(100, known).holds(
        HoursTold(100, unknown)
    )  # what is forgotten corrects nothing
    assert HoursTold(100, known).holds(HoursTold(120, known + np.where(np.arange(48) < 28, 0, 9)))
    assert not HoursTold(100, known).holds(HoursTold(120, known + 0.1))
    assert HoursTold(100, known).holds(HoursTold(200, known + 9.0))


@pytest.mark.parametrize("which", [1, 5])
def test_a_corrected_entry_takes_the_twin_back_to_before_it(which: int) -> None:
    """The old version no longer stands; the new one has its own key, as the logbook gives it."""
    wrong = log()[which]
    measure = replace(wrong.measures[0], value=wrong.measures[0].value * 0.9)
    right = replace(wrong, key="right", replaces=wrong.key, measures=(measure,))
    entries = tuple(right if each is wrong else each for each in log())
    track, anew, steps = followed_after(asked(log(), warm_days()), asked(entries, warm_days()))
    assert same(track, anew)
    assert len(log()) - which <= steps <= len(log())


def test_a_reading_put_right_to_another_tank_leaves_its_first_tank_as_if_never_read() -> None:
    """80 gallons written of the sap tank were the permeate's."""
    slip = entry("reading", 26.0, "sap", *gallons("sap", 26.0, 82.0).measures)
    right = replace(slip, key="right", replaces=slip.key, place="permeate")
    first = asked((*log(), slip), warm_days())
    second = asked((*log(), right), warm_days())
    track, anew, steps = followed_after(first, second)
    assert same(track, anew)
    assert 0 < steps <= len(log()) + 1
    assert {("permeate", "volume"), ("sap", "volume")} == set(track.seen)
    withdrawn, without, _ = followed_after(first, asked(log(), warm_days()))
    assert same(withdrawn, without)


@pytest.mark.parametrize("after_s", [0.0, 61.0, 120.0, 149.0, 180.0, 240.0])
def test_an_answer_is_the_same_when_it_is_told_again_from_what_was_kept(after_s: float) -> None:
    """At a step of five minutes, and at minutes nearer to the one before or the one after."""
    question, store = asked(log(), warm_days()), States()
    question = replace(question, now_s=question.now_s + after_s)
    first = now(question, store)
    again = now(question, store)
    assert again.tanks == first.tanks
    assert again.now_s == first.now_s
    assert abs(first.now_s - question.now_s) <= (0.0 if after_s < 150.0 else 300.0 - after_s)
    assert now(question, None, again=True).tanks == first.tanks


def test_an_answer_that_is_kept_is_not_told_once_the_weather_is_another() -> None:
    store, measured = States(), warm_days()
    first = now(asked(log(), warm_days()), store)
    measured[hour_of(30) : hour_of(50)] -= 12.0  # no sap ran after all
    second = now(asked(log(), measured), store)
    anew = now(asked(log(), measured), None, again=True)
    assert second.tanks == anew.tanks
    assert first.tanks != second.tanks
    assert sum(name == STATE for name, *_ in store.kept) > 2
