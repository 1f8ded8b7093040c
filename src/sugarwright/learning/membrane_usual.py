"""How a membrane is usually run by its log, and readings of it as they would be tomorrow."""

from __future__ import annotations

import math
from statistics import median

from sugarwright.learning.membrane_condition import Seen, permeate_kg_s, seen_in
from sugarwright.learning.membrane_course import DAY_S, LEVEL
from sugarwright.learning.membrane_known import Known
from sugarwright.learning.membrane_log import Input, Reading
from sugarwright.learning.membrane_money import Usual
from sugarwright.learning.membrane_next import Days
from sugarwright.logbook.catalogue import usual_sd
from sugarwright.physics.solution import density_kg_m3


def usual_of(known: Known) -> Usual:
    """Return how the membrane is run, by its readings; without any, as the house says."""
    log, membrane, habit = known.log, known.membrane, known.plant.house.habit
    running = [each for each in known.readings if not each.clean_water]

    def usually(quantity: str, described: float) -> float:
        return median([each.inputs[quantity].value for each in running] or [described])

    day_h = [0.0] * (1 + int((log.end_s - log.begin_s) / DAY_S))
    for step in log.steps:
        day_h[int((step.at_s - log.begin_s) / DAY_S)] += step.hours_h
    ran = [each for each in day_h if each > 0.5]
    sap_h = 3600.0 * habit.concentrate_flow_m3_s
    return Usual(
        usually("pressure", membrane.exit_pressure_pa),
        usually("concentrate_flow", habit.concentrate_flow_m3_s),
        usually("feed_brix", known.plant.house.trees.sap_brix),
        usually("temperature", 4.0),
        median(ran or [min(12.0, habit.membrane_sap_m3 / sap_h)]),
        log.count("rinse") > 0,
    )


def days_of(known: Known, usual: Usual) -> Days:
    """Return how a coming day goes: as those of the log did."""
    log = known.log
    days = {int((each.at_s - log.begin_s) / DAY_S) for each in known.readings}
    running = sum(not each.clean_water for each in known.readings)
    washes = log.count("wash")
    span_d = max(1.0, (log.end_s - log.begin_s) / DAY_S)
    each_day = max(1, round(running / max(len(days), 1)))
    every = max(1, round(span_d / washes)) if washes else 0
    return Days(usual.day_h, each_day, usual.rinsed, every)


def running_reading(known: Known, usual: Usual) -> tuple[Reading, Seen]:
    """Return a reading while it runs as it would be: the last one, else one by the house."""
    for reading, seen in zip(reversed(known.readings), reversed(known.seen), strict=True):
        if not reading.clean_water:
            return reading, seen
    return _made_up(known, usual, usual.feed_brix)


def clean_water_reading(known: Known, usual: Usual) -> tuple[Reading, Seen]:
    """Return a clean-water test as it would be, read with the usual instruments."""
    return _made_up(known, usual, 0.0)


def _made_up(known: Known, usual: Usual, feed_brix: float) -> tuple[Reading, Seen]:
    assert known.plant.membrane_map is not None
    machine, warmth_c = known.plant.membrane_map.machine, usual.temperature_c
    condition = min(max(math.exp(float(known.fit.mean[LEVEL])), 0.05), 1.5)
    setting = (usual.pressure_pa, usual.concentrate_flow_m3_s, feed_brix, warmth_c)
    made_m3_s = permeate_kg_s(machine, condition, *setting) / density_kg_m3(0.0, warmth_c)
    values = {
        "temperature": warmth_c,
        "pressure": usual.pressure_pa,
        "concentrate_flow": usual.concentrate_flow_m3_s,
        "permeate_flow": made_m3_s,
        "feed_brix": feed_brix,
    }
    inputs = {name: Input(value, usual_sd(name, value) or 0.0) for name, value in values.items()}
    if feed_brix == 0.0:
        inputs["feed_brix"] = Input(0.0, 0.0)
    reading = Reading("", known.log.end_s, feed_brix == 0.0, inputs)
    seen = seen_in(reading, machine)
    assert seen is not None  # it was made by the same model
    return reading, seen
