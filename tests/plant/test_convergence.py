"""The length of a step, and the membrane's map, hardly matter: by how much is stated here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from plant_houses import GALLON_M3, drive_of, habit, plant
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Trace, simulate
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.weather.hours import HourlyWeather

WEEKS = (date(2015, 3, 29), date(2015, 4, 5))


def a_week(house: Plant, weather: HourlyWeather, begin: date) -> Trace:
    """Run a week of recorded weather from a sap tank half full, in a plain way of working."""
    drive = drive_of(house, weather, begin, 7)
    start = start_state(house, Levels(sap=Contents(200.0 * GALLON_M3), pan_brix=12.0))
    return simulate(house, drive, habit(house, 7), start)


def syrup_kg(run: Trace) -> float:
    return float(run.totals[at.SYRUP_WATER_KG] + run.totals[at.SYRUP_SUGAR_KG])


def sugar_boiled_kg(run: Trace) -> float:
    """Sugar in syrup and in the pan: draws are whole, what is on its way to one is not."""
    pan = run.state[at.PAN_SUGAR : at.PAN_SUGAR + at.MAX_COMPARTMENTS].sum()
    return float(run.totals[at.SYRUP_SUGAR_KG] + pan)


@pytest.mark.parametrize("begin", WEEKS)
@pytest.mark.parametrize("membrane", [True, False])
@pytest.mark.parametrize(("step_s", "tolerance"), [(300.0, 0.004), (900.0, 0.015)])
def test_results_do_not_hang_on_the_step(
    whately_2015: HourlyWeather, begin: date, membrane: bool, step_s: float, tolerance: float
) -> None:
    """Against a step of a minute: at five minutes within 0.4 %, at a quarter of an hour 1.5 %.

    Decisions fall on the beginning of a step: what is left of the difference is a start or a stop
    that comes a step later, up to 15 minutes in a week.
    """
    fine = a_week(plant(membrane=membrane, step_s=60.0), whately_2015, begin)
    coarse = a_week(plant(membrane=membrane, step_s=step_s), whately_2015, begin)
    one_draw_kg = plant(membrane=membrane).p[at.DRAW_KG]
    assert abs(syrup_kg(coarse) - syrup_kg(fine)) <= one_draw_kg * 1.001
    assert sugar_boiled_kg(coarse) == pytest.approx(sugar_boiled_kg(fine), rel=tolerance)
    for total in (at.STEAM_KG, at.PERMEATE_KG, at.MEMBRANE_S, at.FIRE_S, at.WOOD_BURNT_M3):
        assert coarse.totals[total] == pytest.approx(fine.totals[total], rel=tolerance)
    assert fine.totals[at.DRAWS] > 1


def test_the_map_gives_what_the_full_model_gives(whately_2015: HourlyWeather) -> None:
    """A week with the operating map, and one that asks the full model at every step.

    The map's error is at most 0.2 % of the permeate at any point.
    """
    mapped = plant()
    nowhere = mapped.map_coefficients.copy()
    nowhere[:8] = np.nan  # its box: no point is inside
    full = replace(mapped, map_coefficients=nowhere)
    with_map, without = (a_week(each, whately_2015, WEEKS[0]) for each in (mapped, full))
    assert with_map.totals[at.MEMBRANE_S] > 10 * 3600.0
    assert not np.array_equal(with_map.totals, without.totals)  # two ways indeed
    permeate, reference = (each.totals[at.PERMEATE_KG] for each in (with_map, without))
    assert permeate == pytest.approx(reference, rel=0.002)
    assert syrup_kg(with_map) == pytest.approx(syrup_kg(without), rel=0.005)
    boiled, expected = sugar_boiled_kg(with_map), sugar_boiled_kg(without)
    assert boiled == pytest.approx(expected, rel=0.002)
