"""Readings put right by what was learnt of their instruments; the log stays as it was read."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from command_line import run
from plant_houses import house
from sugarwright.answering.readings import readings
from sugarwright.errors import InputError
from sugarwright.learning.corrected import corrected, instruments_kept
from sugarwright.learning.instrument_keys import INSTRUMENTS
from sugarwright.learning.instruments import Bias, InstrumentLesson, learn_instruments
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.twin.told import digest

NOW_S = 1_773_000_000


def entry(at_s: float, *measures: Measure, place: str = "sap", **words: str) -> Entry:
    return Entry(f"{at_s}", "reading", at_s, at_s, place=place, measures=measures, words=words)


def lesson(*biases: Bias) -> InstrumentLesson:
    return InstrumentLesson(biases, ())


HIGH = Bias("hydrometer", "brix", 9, 0.2, 0.05, 0.3)


def document(*biases: Bias) -> dict[str, object]:
    kept = instruments_kept(lesson(*biases), NOW_S, NOW_S - 60.0)
    assert kept is not None
    return kept.document()


def test_a_hydrometer_that_reads_high_is_put_right_and_less_sure() -> None:
    read = entry(1.0, Measure("volume", 0.4), Measure("brix", 2.1, sd=0.12, typed="2.1"))
    (true,) = corrected([read], document(HIGH))
    assert true.value("brix") == pytest.approx(1.9)
    brix = true.measure("brix")
    assert brix is not None
    assert brix.sd == pytest.approx(math.hypot(0.12, 0.05))
    assert brix.typed == "2.1"
    assert true.measure("volume") is read.measure("volume")
    assert read.value("brix") == 2.1


def test_only_what_that_instrument_read_is_put_right() -> None:
    other = entry(1.0, Measure("brix", 2.1, instrument="refractometer"))
    warm = entry(2.0, Measure("temperature", 4.0))
    both = entry(3.0, Measure("feed_brix", 2.1), Measure("concentrate_brix", 8.0), place="membrane")
    true = corrected([other, warm, both], document(HIGH))
    assert true[:2] == [other, warm]
    assert true[2].value("feed_brix") == pytest.approx(1.9)
    assert true[2].value("concentrate_brix") == pytest.approx(7.8)


@pytest.mark.parametrize(
    ("read", "place"),
    [
        (Measure("brix", 66.9), "pan"),  # syrup's own hydrometer
        (Measure("permeate_brix", 0.4), "membrane"),  # by a refractometer, as usual
        (Measure("temperature", 4.0), "sap"),  # which thermometer nobody says
    ],
)
def test_what_was_read_with_something_else_stays(read: Measure, place: str) -> None:
    warm = Bias("thermometer", "temperature", 4, 1.2, 0.2, 1.0)
    log = [entry(1.0, read, place=place)]
    assert corrected(log, document(HIGH, warm)) == log
    named = entry(2.0, Measure("temperature", 101.2, instrument="thermometer"), place="pan")
    (true,) = corrected([named], document(warm))
    assert true.value("temperature") == pytest.approx(100.0)


def test_a_sensor_is_left_alone() -> None:
    read = replace(entry(1.0, Measure("brix", 2.1)), source="sensor")
    assert corrected([read], document(HIGH)) == [read]


def test_the_twin_sees_that_a_reading_was_put_right() -> None:
    """A state that was kept of the readings as they were must not be gone on from."""
    read = [entry(1.0, Measure("brix", 2.1))]
    assert digest(corrected(read, document(HIGH))) != digest(read)


def test_where_none_reads_off_any_more_that_is_kept() -> None:
    fine = lesson(Bias("hydrometer", "brix", 30, 0.01, 0.05, 0.3))
    kept = instruments_kept(fine, NOW_S, 0.0, document(HIGH))
    assert kept is not None
    assert kept.figures == ()
    assert instruments_kept(fine, NOW_S, 0.0, kept.document()) is None


def test_two_that_differ_widely_blame_neither() -> None:
    log = []
    for day in range(12):
        at_s = 86400.0 * day
        log.append(entry(at_s, Measure("brix", 3.0)))
        log.append(entry(at_s + 60.0, Measure("brix", 2.0, instrument="refractometer")))
    found = learn_instruments(house(), log)
    assert len(found.apart) == 1
    assert instruments_kept(found, NOW_S, 0.0) is None


def test_no_strength_is_put_below_nothing() -> None:
    (true,) = corrected([entry(1.0, Measure("brix", 0.1))], document(HIGH))
    assert true.value("brix") == 0.0


def test_only_sure_and_likely_biases_are_kept() -> None:
    unsure = Bias("hydrometer", "brix", 2, 0.1, 0.1, 0.3)
    broken = Bias("thermometer", "temperature", 4, 9.0, 0.2, 1.0)
    of_a_tank = Bias("stick", "volume", 5, 0.2, 0.01, 0.05)
    assert instruments_kept(lesson(unsure, broken, of_a_tank), NOW_S, 0.0) is None
    kept = instruments_kept(lesson(unsure, broken, of_a_tank, HIGH), NOW_S, 0.0)
    assert kept is not None
    assert [each.key for each in kept.figures] == ["brix.hydrometer"]


def test_a_damaged_document_is_told() -> None:
    with pytest.raises(InputError, match="learn --undo instruments"):
        corrected([entry(1.0, Measure("brix", 2.0))], {"form": 99})


def test_learning_again_from_the_log_does_not_count_twice() -> None:
    elevation_m = house().site.elevation_m
    boiling = boiling_point_c(0.0, standard_pressure_pa(elevation_m))
    read = Measure("temperature", boiling + 1.4, sd=0.2, instrument="thermometer")
    log = [entry(60.0 * k, read, place="pan", note="held in boiling water") for k in range(3)]
    (first,) = learn_instruments(house(), log).biases
    put_right = corrected(log, document(first))
    (left,) = learn_instruments(house(), put_right).biases
    assert abs(left.bias) < 0.2 * first.bias  # which is why learning begins from what was read


def test_kept_it_counts_and_taken_back_it_does_not(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    assert run("demo", folder).code == 0
    with Logbook.open(folder) as book:
        before = book.entries()
        told = next(each for each in reversed(before) if each.value("brix") is not None)
        book.keep_knowledge(INSTRUMENTS, document(HIGH), float(NOW_S))
        true = {each.key: each for each in readings(book)}
        assert true[told.key].value("brix") == pytest.approx((told.value("brix") or 0.0) - 0.2)
        assert book.entries() == before
    assert run("learn", folder, "--undo", "instruments").code == 0
    with Logbook.open(folder) as book:
        assert readings(book) == before
