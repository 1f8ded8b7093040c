"""What sensors say in the twin: never surer than their lasting error, doubted once, and quick."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from plant_houses import GALLON_M3
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.sensor_register import Sensor
from sugarwright.saying.standing import doubt_text, stands_on_text
from sugarwright.twin.air import Air
from sugarwright.twin.contents import tanks_of, volumes_m3
from sugarwright.twin.doubt import BELIEVED, OPEN, REFUTED
from sugarwright.twin.now import Question, follow_log, now
from sugarwright.twin.sensed import QUARTER_S, UNHEARD_S, Sensed
from sugarwright.twin.track import Track
from twin_cases import BEGIN_S, HOUR_S, States, followed, gallons, house, plant, tank_at

SD_GAL = 6.0
SENSOR = Sensor("sap-level", "sap", "volume", "gal", SD_GAL * GALLON_M3)
OTHER = replace(SENSOR, series="sap-eye")
Said = Callable[[float], float | None]


def says(
    gal: Said, first_h: float = 0.0, until_h: float = 24.0
) -> Callable[..., list[tuple[float, float]]]:
    """What a sensor says at some hours after the begin; None: nothing."""
    times_s = BEGIN_S + np.arange(first_h * HOUR_S + 0.9 * QUARTER_S, until_h * HOUR_S, QUARTER_S)
    told = [(float(t), gal((t - BEGIN_S) / HOUR_S)) for t in times_s]
    rows = [(t, value * GALLON_M3) for t, value in told if value is not None]

    def levels(_series: str, begin_s: float, end_s: float) -> list[tuple[float, float]]:
        return [row for row in rows if begin_s <= row[0] < end_s]

    return levels


def heard(gal: Said, sensor: Sensor = SENSOR, **span: float) -> list[Entry]:
    return Sensed((sensor,), says(gal, **span), np.inf).since(0.0)


def held_gal(track: Track) -> np.ndarray:
    tank, _ = tanks_of(plant())["sap"]
    gal: np.ndarray = volumes_m3(plant(), track.ensemble.x, tank) / GALLON_M3
    return gal


def jitter(gal: float) -> Said:
    """A reading that differs by a gallon from one quarter hour to the next."""
    return lambda hour: gal + np.sin(40.0 * hour)


def test_a_hundred_readings_are_no_surer_than_the_sensor_itself() -> None:
    """An offset common to all stays, however many are averaged (GUM, JCGM 100:2008, 4.2.7).

    From memory: what is correlated is not made smaller by the root of the count.
    """
    track = followed(sensed=heard(jitter(150.0)), members=200)
    gal = held_gal(track)
    assert np.median(gal) == pytest.approx(150.0, abs=0.6 * SD_GAL)
    assert 0.75 * SD_GAL < gal.std() < 1.15 * SD_GAL
    assert not track.doubts


def test_a_stick_beside_it_teaches_how_far_the_sensor_is_off() -> None:
    sensed = heard(jitter(108.0))
    track = followed(gallons("sap", 12.0, 100.0), sensed=sensed, members=200)
    gal = held_gal(track)
    assert np.median(gal) == pytest.approx(100.0, abs=2.0)
    assert gal.std() < 0.6 * SD_GAL
    offset = np.median(track.ensemble.offsets[:, 0])
    assert offset * SD_GAL == pytest.approx(8.0, abs=2.5)


def test_a_sensor_gone_mad_is_doubted_once_and_trusted_again_after_an_hour() -> None:
    def mad(hour: float) -> float:
        return 150.0 if not 6.0 < hour < 18.0 else 20.0 + 10.0 * np.sin(3.0 * hour)

    meanwhile = followed(gallons("sap", 1.0, 150.0), sensed=heard(mad, until_h=18.0))
    assert [(each.state, each.sensor) for each in meanwhile.doubts] == [(OPEN, "sap-level")]
    assert np.median(held_gal(meanwhile)) == pytest.approx(150.0, abs=3.0)
    assert meanwhile.astray == {"sap-level": 0}
    after = followed(gallons("sap", 1.0, 150.0), sensed=heard(mad))
    assert [each.state for each in after.doubts] == [REFUTED]
    assert not after.astray


def test_a_sensor_is_no_witness_of_its_own_but_a_person_is() -> None:
    """Somebody emptied the tank and did not say so."""
    sensed = heard(lambda hour: 150.0 if hour < 6.0 else 30.0)
    alone = followed(gallons("sap", 1.0, 150.0), sensed=sensed)
    assert [each.state for each in alone.doubts] == [OPEN]
    assert np.median(held_gal(alone)) == pytest.approx(150.0, abs=3.0)
    told = (gallons("sap", 1.0, 150.0), gallons("sap", 12.0, 31.0))
    track = followed(*told, sensed=sensed)
    assert [each.state for each in track.doubts] == [BELIEVED]
    assert np.median(held_gal(track)) == pytest.approx(31.0, abs=3.0)
    assert not track.astray


def test_another_sensor_bears_out_the_first_and_what_a_person_read() -> None:
    emptied = [*heard(lambda hour: 150.0 if hour < 6.0 else 30.0)]
    second = heard(lambda hour: 150.0 if hour < 6.0 else 32.0, OTHER)
    both = sorted([*emptied, *second], key=lambda each: (each.at_s, each.key))
    track = followed(gallons("sap", 1.0, 150.0), sensed=both)
    assert {each.state for each in track.doubts} == {BELIEVED}
    assert np.median(held_gal(track)) == pytest.approx(31.0, abs=4.0)
    late = heard(lambda hour: 150.0 if hour < 6.0 else 30.0)
    person = followed(gallons("sap", 1.0, 150.0), gallons("sap", 5.99, 31.0), sensed=late)
    assert person.doubts[0].state == BELIEVED
    assert np.median(held_gal(person)) == pytest.approx(31.0, abs=4.0)


# --- from the record to the answer ---------------------------------------------------------------


class Still:
    """Weather below freezing, so that no sap runs."""

    mark = "still"

    def air(self, members: int, seed: int, since_s: float, now_s: float, until_s: float) -> Air:
        first_s = BEGIN_S - 20 * 86400
        off = np.linspace(-0.5, 0.5, members)[:, np.newaxis]
        return Air(first_s, -4.0 + off + np.zeros(30 * 24), told_c=np.full(30 * 24, -4.0))


TYPED = (gallons("sap", 0.0, 150.0),)


def asked(hour: float, gal: Said, typed: Sequence[Entry] = TYPED) -> Question:
    now_s = BEGIN_S + hour * HOUR_S
    return Question(
        house(), typed, now_s, Still(), members=40, sensed=Sensed((SENSOR,), says(gal), now_s)
    )


def test_what_sensors_say_moves_the_answer_and_is_no_entry_of_the_log() -> None:
    report = now(asked(20.0, jitter(170.0)))
    sap = tank_at(report, "sap")
    assert sap.volume_m3.middle > 151.0 * GALLON_M3
    assert report.entries == 1
    assert [(each.measured, each.typed) for each in sap.read] == [("sensor", "")]
    assert sap.read[0].at_s > BEGIN_S + 19.5 * HOUR_S


def test_a_house_of_sensors_alone_is_followed_from_their_first_word() -> None:
    report = now(asked(20.0, jitter(170.0), ()))
    assert "sensors" in stands_on_text(report)
    sap = tank_at(report, "sap").volume_m3
    assert sap.middle == pytest.approx(170.0 * GALLON_M3, rel=0.05)
    assert sap.high - sap.low == pytest.approx(2 * 1.645 * SD_GAL * GALLON_M3, rel=0.35)


def test_a_kept_answer_serves_while_sensors_say_what_it_foretold() -> None:
    store = States()
    now(asked(10.0, jitter(150.0)), store)
    made = len(store.kept)
    now(asked(12.0, jitter(150.0)), store)
    assert len(store.kept) == made  # told as it has become
    later = 10.0 + UNHEARD_S / HOUR_S + 1.0
    now(asked(later, jitter(150.0)), store)
    assert len(store.kept) > made  # after some hours they are heard all the same
    made = len(store.kept)
    report = now(asked(later + 0.6, lambda hour: 150.0 if hour < later else 20.0), store)
    assert len(store.kept) > made
    assert [each.sensor for each in report.doubts] == ["sap-level"]
    said = doubt_text(report.doubts[0], report)
    assert "Sensor sap-level (sap tank 20 gal" in said
    assert "is not believed" in said
    made = len(store.kept)
    now(asked(later + 1.6, lambda hour: 150.0 if hour < later else 20.0), store)
    assert len(store.kept) == made  # nor does one that is not believed hold answers up


def test_a_state_is_carried_on_by_what_sensors_said_since() -> None:
    store = States()
    follow_log(asked(10.0, jitter(170.0)), store)
    steps: list[int] = []
    track, _ = follow_log(
        asked(16.0, jitter(170.0)), store, progress=lambda done, of: steps.append(done)
    )
    anew, _ = follow_log(asked(16.0, jitter(170.0)), again=True)
    assert 20 <= len(steps) <= 26  # a quarter hour each, not the log anew
    assert np.median(held_gal(track)) == pytest.approx(np.median(held_gal(anew)), abs=0.5)
    assert held_gal(track).std() == pytest.approx(held_gal(anew).std(), rel=0.2)


def test_an_entry_typed_in_late_goes_back_behind_what_sensors_led_to() -> None:
    store = States()
    follow_log(asked(10.0, jitter(150.0)), store)
    late = (*TYPED, gallons("sap", 8.0, 148.0))
    track, _ = follow_log(asked(10.0, jitter(150.0), late), store)
    anew, _ = follow_log(asked(10.0, jitter(150.0), late), again=True)
    assert np.array_equal(track.ensemble.x, anew.ensemble.x)
