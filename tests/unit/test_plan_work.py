"""A day's chores with their minutes and deadlines, and the hours that people give."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from outside_cases import (
    EVENINGS,
    LEAD_DAYS,
    TUESDAY_S,
    air,
    gathering_house,
    outside,
    who,
    words_of,
)
from planning_cases import GALLON_M3, demo_house, forecast_from, gallons, local_s, quick
from sugarwright.planning.outlook import syrup_m3
from sugarwright.planning.report import ChoreDue, Range
from sugarwright.planning.scene import Scene
from sugarwright.planning.today import plan_today
from sugarwright.planning.work import chores_of, given_s, hands_s
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import Chore, House
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Levels
from sugarwright.plant.tank_kernel import Floats
from sugarwright.saying.plan_work import chores_text, overwork_text
from sugarwright.weather.hours import HourlyWeather

COLD = air(-4.0)
HOUR_S = 3600.0


def frost_at(hour: int) -> Floats:
    """Air of two days that freezes so many hours after Tuesday's midnight; mild before."""
    air_c = np.full(24 * (LEAD_DAYS + 2), 5.0)
    air_c[: 24 * (LEAD_DAYS - 1)] = -5.0  # the trees need a frost before they run
    air_c[24 * LEAD_DAYS + hour :] = -4.0
    return air_c


def _chore(name: str, when: str, duration_s: float, people: int, per_m3: float | None) -> Chore:
    return Chore(name=name, when=when, duration_s=duration_s, people=people, per_m3=per_m3)


CHORES = (
    _chore("bottling", "per syrup volume", 600.0, 2, GALLON_M3),
    _chore("clean the pan", "each boil", 1800.0, 1, None),
    _chore("look it over", "each membrane run", 300.0, 1, None),
    _chore("hang the hoses", "each wash", 240.0, 1, None),
    _chore("rinse the tanks", "each sap day", 1200.0, 1, None),
    _chore("drain the line", "before a frost", 1200.0, 1, None),
)


def _due(house: House, **plan: float) -> tuple[dict[str, ChoreDue], np.ndarray]:
    """Chores of the first day, and the totals of that day."""
    day = outside(replace(house, chores=CHORES), 60.0, COLD, **plan)
    scene = day.scene()
    runs = run_many(day.plant, day.weathers, day.rows[np.newaxis], day.state, last=scene.last)
    totals = runs.totals[0]
    found = chores_of(scene, totals, syrup_m3(day.plant, totals))
    return {each.name: each for each in found}, totals


# --- chores --------------------------------------------------------------------------------------


def test_chores_come_round_as_often_as_the_simulator_charges_them() -> None:
    house = gathering_house("pump", (EVENINGS,))
    found, totals = _due(house, FIRE_STOCK_M3=20 * GALLON_M3, MEMBRANE_SAP_M3=30 * GALLON_M3)
    boils, runs = totals[0, at.LIGHT_UPS], totals[0, at.MEMBRANE_STARTS]
    assert boils >= 1
    assert runs >= 1
    assert found["clean the pan"].duration_s == boils * 1800.0
    assert found["look it over"].duration_s == runs * 300.0
    assert found["rinse the tanks"].duration_s == 1200.0
    assert "hang the hoses" not in found  # no wash that day
    assert "drain the line" not in found  # told with the draining itself


def test_tanks_that_stand_all_day_are_not_rinsed() -> None:
    """What comes in or goes out makes a day of sap; what stands leaves no tank to be rinsed."""
    house = replace(gathering_house("pump", (EVENINGS,)), chores=CHORES)
    scene = outside(house, 60.0, COLD, FIRE_START=-1.0).scene()
    nothing, rows = np.zeros((1, at.TOTALS_SIZE)), scene.trace.rows.copy()
    rows[:, at.T_SAP_M3], rows[:, at.T_STOCK_M3] = 300 * GALLON_M3, 0.0

    def rinses(rows: np.ndarray) -> bool:
        stood = replace(scene, trace=replace(scene.trace, rows=rows))
        return any(
            each.name == "rinse the tanks" for each in chores_of(stood, nothing, np.zeros(1))
        )

    assert not rinses(rows)
    rows[scene.last // 2 : scene.last, at.T_SAP_M3] = 200 * GALLON_M3
    assert rinses(rows)


def test_bottling_goes_by_the_syrup_and_may_wait_until_the_next_night() -> None:
    house = gathering_house("pump", (EVENINGS,))
    found, _ = _due(house, FIRE_STOCK_M3=20 * GALLON_M3)
    bottling = found["bottling"]
    assert bottling.syrup_m3 is not None
    assert bottling.syrup_m3 > GALLON_M3
    assert bottling.duration_s == pytest.approx(600.0 * bottling.syrup_m3 / GALLON_M3)
    assert bottling.people == 2
    assert bottling.by_s == TUESDAY_S + 2 * 86400
    assert found["clean the pan"].by_s == TUESDAY_S + 86400


def test_without_a_fire_there_is_nothing_to_bottle() -> None:
    found, _ = _due(gathering_house("pump", (EVENINGS,)), FIRE_START=-1.0)
    assert not {"bottling", "clean the pan"} & found.keys()


def test_a_fire_that_burns_as_the_plan_begins_is_a_boil_of_its_first_day() -> None:
    house = replace(gathering_house("pump", (EVENINGS,)), chores=CHORES)
    scene = replace(outside(house, 60.0, COLD, FIRE_START=-1.0).scene(), fire_before=True)
    none, lit = np.zeros((1, at.TOTALS_SIZE)), np.zeros((1, at.TOTALS_SIZE))
    lit[0, at.LIGHT_UPS] = 1.0

    def cleaning_s(scene: Scene, totals: np.ndarray) -> float:
        due = {each.name: each.duration_s for each in chores_of(scene, totals, np.zeros(1))}
        return due.get("clean the pan", 0.0)

    assert cleaning_s(scene, none) == 1800.0
    assert cleaning_s(scene, lit) == 2 * 1800.0  # lit anew as well
    assert cleaning_s(replace(scene, first=scene.first + 12), none) == 0.0


def test_chores_are_said_with_minutes_people_and_deadline() -> None:
    chores = (
        ChoreDue("bottling", "per syrup volume", 3300.0, 2, TUESDAY_S + 2 * 86400, 2.4 * GALLON_M3),
        ChoreDue("clean the pan", "each boil", 1800.0, 1, TUESDAY_S + 86400),
    )
    words = words_of()
    day = replace(words.report.days[0], chores=chores)
    assert chores_text(words, day) == (
        "bottling, 2.4 gal of syrup: 55 min, two people, by Wednesday night; clean the pan "
        "30 min, after the boil"
    )


# --- hours ---------------------------------------------------------------------------------------


def test_hours_given_are_those_of_everybody_that_day() -> None:
    helper = who((17 * 60, 19 * 60), name="helper")
    day = outside(gathering_house("pump", (EVENINGS, helper)), 60.0, COLD)
    assert given_s(day.scene()) == (2.0 + 6.5 + 2.0) * HOUR_S


def test_draining_is_work_of_the_evening_that_asks_for_it_and_not_of_its_frost() -> None:
    """It is drained in the evening and freezes at two, when the simulator books it."""
    drain = CHORES[-1]
    house = replace(gathering_house("pump", (EVENINGS,)), chores=(replace(drain, people=2),))
    night = outside(house, 60.0, frost_at(26), FIRE_START=-1.0, MEMBRANE_START=-1.0)
    (asked,) = night.told("drain before the frost")
    assert asked.time_s < TUESDAY_S + 86400 <= (asked.expected_s or 0)
    cut = night.scene().last
    runs = [
        run_many(night.plant, night.weathers, night.rows[np.newaxis], night.state, last=last)
        for last in (cut, night.forecast.steps)
    ]
    totals = runs[0].totals[0], runs[1].totals[0] - runs[0].totals[0]
    assert (totals[0][0, at.FROSTS], totals[1][0, at.FROSTS]) == (0.0, 1.0)
    work_s = 2 * drain.duration_s
    assert hands_s(night.plant, totals[0], [asked])[0] == totals[0][0, at.HANDS_S] + work_s
    assert hands_s(night.plant, totals[1], [])[0] == totals[1][0, at.HANDS_S] - work_s


def test_draining_that_no_chore_prices_is_the_work_that_it_is_told_to_take() -> None:
    house = replace(gathering_house("pump", (EVENINGS,)), chores=())
    night = outside(house, 60.0, frost_at(26), FIRE_START=-1.0, MEMBRANE_START=-1.0)
    (asked,) = night.told("drain before the frost")
    assert hands_s(night.plant, np.zeros((1, at.TOTALS_SIZE)), [asked])[0] == asked.duration_s


def test_the_plan_s_days_have_their_draining(whately_2015: HourlyWeather) -> None:
    house = replace(demo_house(), chores=(replace(CHORES[-1], duration_s=36000.0),))
    now_s = local_s("2015-03-16 15:10")
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        known = forecast_from(whately_2015, now_s, 36)
        report = plan_today(assemble(house), known, Levels(sap=gallons(60)), now_s, 36)
    asks = [any("drain" in each.kind for each in day.actions) for day in report.days]
    assert any(asks)
    assert [day.work_s.middle > 36000.0 for day in report.days] == asks


@pytest.mark.parametrize(
    ("work_h", "says"),
    [(7.2, ""),
     (8.0, "8 h of work, and you give 7 h: bottling (45 min, two people) can wait till Wednesday "
           "night, or it takes another pair of hands"),
     (15.0, "15 h of work, and you give 7 h: that does not fit, even if bottling (45 min, two "
            "people) waits till Wednesday night; it takes another pair of hands")],
)  # fmt: skip
def test_more_work_than_hours_is_said(work_h: float, says: str) -> None:
    words, work = words_of(), Range(1.0, work_h * HOUR_S, 20.0 * HOUR_S)
    due_s = TUESDAY_S + 2 * 86400
    bottling = ChoreDue("bottling", "per syrup volume", 2700.0, 2, due_s, 2.0 * GALLON_M3)
    tanks = ChoreDue("rinse the tanks", "each sap day", 1200.0, 1, TUESDAY_S + 86400)
    day = replace(words.report.days[0], work_s=work, given_s=7.0 * HOUR_S, chores=(bottling, tanks))
    text = overwork_text(words, day)
    assert says in text if says else not text
    assert "rinse" not in text  # the same day's work does not wait


def test_more_work_than_hours_with_nothing_that_can_wait_names_no_syrup() -> None:
    words = words_of()
    tanks = ChoreDue("rinse the tanks", "each sap day", 1200.0, 1, TUESDAY_S + 86400)
    work = Range(1.0, 8.0 * HOUR_S, 9.0 * HOUR_S)
    day = replace(words.report.days[0], work_s=work, given_s=7.0 * HOUR_S, chores=(tanks,))
    text = overwork_text(words, day)
    assert text.endswith("you give 7 h: that does not fit; it takes another pair of hands")
