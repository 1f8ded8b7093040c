"""Invented membranes and the logs that a maker would keep of them.

The truth is followed hour by hour with the full membrane model, with four times the cells that the
learner uses; then thermometer, gauge and flow tubes err, in part alike for all readings of a day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import House
from sugarwright.plant.membrane_machine import Machine, full_point
from sugarwright.plant.read_house import parse_house

DAY_S = 86400.0
FIRST_S = 1_773_144_000.0  # 2026-03-10 12:00 UTC, eight in the morning at the house
HOUSE = """\
[site]
name = "Cold Hollow (invented)"
latitude = 44.1
longitude = -71.9
timezone = "America/New_York"
[[gathering]]
taps = 310
[tank.sap]
volume = "420 gal"
[tank.stock]
volume = "160 gal"
[tank.permeate]
volume = "310 gal"
[membrane]
in_series = 2
element_area = "28 ft2"
exit_pressure = "200 psi"
recirculation_flow = "1 gal/min"
least_flow = "12 gal/h"
most_flow = "60 gal/h"
condition = "95 %"
[pan]
boil_rate = "21 gal/h"
[[people]]
[trees]
tapped = 2026-02-24
[habit]
concentrate_flow = "30 gal/h"
"""


@dataclass(frozen=True)
class World:
    """How an invented membrane does, and how it is read.

    Parameters
    ----------
    fall_day : lasting fall a day, of the logarithm
    loss_h : fouling an hour of running, of the logarithm
    days : from the first reading to the last, so that there are so many and one
    a_day : readings
    run_h : hours run a day
    wash_days : days between washes, each in the evening, the first before the first day; 0: never
    shared : part of each error's variance that the readings of a day have in common
    brix_sd : of the strengths that are read; 0: known
    concentrate_read : whether the concentrate's strength is read, beside the sap's
    slips : share of readings in which a figure was written wrongly
    """

    fall_day: float = 0.01
    loss_h: float = 0.01
    days: int = 7
    a_day: int = 6
    run_h: float = 7.0
    wash_days: int = 1
    shared: float = 0.25
    brix_sd: float = 0.0
    slips: float = 0.0
    concentrate_read: bool = True


ERRORS = {"temperature": 0.5, "pressure": 0.1e5, "concentrate_flow": 0.02, "permeate_flow": 0.02}
"""Standard deviations; those of flows are of the value."""


def invented_house() -> House:
    return parse_house(HOUSE)


def true_machine(house: House) -> Machine:
    plant = assemble(house)
    assert plant.membrane_map is not None
    return plant.membrane_map.machine._replace(cells_per_element=16.0)


class Membrane:
    """A membrane and who reads it, going through its days."""

    def __init__(self, world: World, machine: Machine, seed: int) -> None:
        self.world, self.machine = world, machine
        self.source = np.random.default_rng(np.random.SeedSequence([seed, 31]))
        self.lasting_log = float(self.source.normal(math.log(0.95), 0.05))
        self.reversible = self.source.uniform(0.9, 1.0)
        self.entries: list[Entry] = []
        self.loss_h = world.loss_h * math.exp(self.source.normal(0.0, 0.3))

    def live(self) -> list[Entry]:
        if self.world.wash_days:
            self._clean("wash", FIRST_S - 12 * 3600.0, self.source.beta(27.0, 3.0))
        for day in range(self.world.days + 1):
            self._day(FIRST_S + day * DAY_S, day)
        return self.entries

    def _day(self, begin_s: float, day: int) -> None:
        world, source = self.world, self.source
        self.shared = {name: source.normal() for name in (*ERRORS, "feed_brix", "concentrate_brix")}
        brix, morning_c = source.uniform(1.6, 2.4), source.uniform(1.0, 6.0)
        flow_m3_s = source.uniform(26.0, 34.0) * 3.785411784e-3 / 3600.0
        pressure_pa = source.uniform(13.3e5, 14.2e5)
        loss_h = self.loss_h * math.exp(source.normal(0.0, 0.15))  # no two days foul alike
        self._add("membrane_on", begin_s)
        gap_h = world.run_h / world.a_day
        for count in range(world.a_day):
            self._run(gap_h if count else 0.5 * gap_h, loss_h)
            at_s = begin_s + (count + 0.5) * gap_h * 3600.0
            warm_c = morning_c + 0.4 * count
            condition = self.reversible * math.exp(
                self.lasting_log - world.fall_day * (at_s - FIRST_S) / DAY_S
            )
            self._read(at_s, (brix, warm_c, pressure_pa, flow_m3_s), condition)
        self._run(0.5 * gap_h, loss_h)
        end_s = begin_s + world.run_h * 3600.0
        self._add("membrane_off", end_s)
        if world.wash_days and day % world.wash_days == world.wash_days - 1:
            self._clean("wash", end_s + 1800.0, source.beta(27.0, 3.0))
        else:
            self._clean("rinse", end_s + 1800.0, source.beta(8.0, 12.0))

    def _run(self, hours: float, loss_h: float) -> None:
        self.reversible *= math.exp(-loss_h * hours)

    def _clean(self, kind: str, at_s: float, recovery: float) -> None:
        self.reversible += recovery * (1.0 - self.reversible)
        self._add(kind, at_s)

    def _read(
        self, at_s: float, setting: tuple[float, float, float, float], condition: float
    ) -> None:
        brix, warm_c, pressure_pa, flow_m3_s = setting
        at_pressure = self.machine._replace(exit_pressure_pa=pressure_pa)
        point = full_point(at_pressure, flow_m3_s, brix, warm_c, condition)
        truth = {
            "temperature": warm_c,
            "pressure": pressure_pa,
            "concentrate_flow": flow_m3_s,
            "permeate_flow": point.permeate_kg_s / density_kg_m3(0.0, warm_c),
        }
        read = {name: value + self._error(name, value) for name, value in truth.items()}
        read["temperature"] = max(read["temperature"], 0.0)
        if self.source.random() < self.world.slips:
            read["permeate_flow"] *= 1.3
        measures = [Measure(name, value, sd_of(name, value)) for name, value in read.items()]
        strengths = {"feed_brix": brix, "concentrate_brix": point.concentrate_brix}
        if not self.world.concentrate_read:
            del strengths["concentrate_brix"]
        for name, value in strengths.items():
            sd = max(self.world.brix_sd, 0.01)
            error = self.world.brix_sd * self._unit_error(name)
            measures.append(Measure(name, value + error, sd))
        self._add("reading", at_s, tuple(measures))

    def _error(self, name: str, value: float) -> float:
        return sd_of(name, value) * self._unit_error(name)

    def _unit_error(self, name: str) -> float:
        shared = self.world.shared
        own = self.source.normal()
        return float(math.sqrt(shared) * self.shared[name] + math.sqrt(1.0 - shared) * own)

    def _add(self, kind: str, at_s: float, measures: tuple[Measure, ...] = ()) -> None:
        key = f"{kind}-{len(self.entries)}"
        self.entries.append(Entry(key, kind, at_s, at_s, place="membrane", measures=measures))


def sd_of(name: str, value: float) -> float:
    return ERRORS[name] * (value if name.endswith("flow") else 1.0)
