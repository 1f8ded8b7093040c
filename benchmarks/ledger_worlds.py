"""Seasons whose truth is known, logged as a maker logs them, for the ledger's study.

The truth is the plant's own simulator in a generated spring; nothing of it reaches the ledger but
readings with the errors that instruments have. The house that the ledger is told of is not quite
the one that ran: its pan boils as much as its owner thinks, give or take an eighth. House, people
and figures are invented.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sugarwright.logbook.entry import Entry, Measure
from sugarwright.planning.choices import habit_rows
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.season import choose_span, day_cuts
from sugarwright.plant.seasons import springs_of
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.state import Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tanks import capacity_m3, depth_at_volume_m
from sugarwright.units import LENGTH, VOLUME, from_unit, to_unit
from sugarwright.weather.ensemble import run_multipliers

TOML = """\
[site]
name = "Quarry Road (invented)"
latitude = 44.0
longitude = -72.4
elevation = "1100 ft"
timezone = "America/New_York"
[[gathering]]
name = "bush"
taps = 260
[tank.sap]
shape = "upright cylinder"
diameter = "50 in"
height = "62 in"
[tank.stock]
shape = "box"
length = "48 in"
width = "30 in"
height = "34 in"
place = "indoors"
[tank.permeate]
shape = "box"
length = "60 in"
width = "48 in"
height = "40 in"
place = "indoors"
[membrane]
exit_pressure = "150 psi"
least_flow = "9 gal/h"
most_flow = "50 gal/h"
unattended = true
low_flow_cutout = true
full_tank_cutout = true
frost_cutout = true
[pan]
boil_rate = "24 gal/h"
draw_volume = "0.3 gal"
[fire]
wood_on_hand = "9 cord"
[[people]]
weekdays = ["06:00-08:00", "15:30-23:30"]
weekends = ["06:00-23:30"]
[keeping]
spoiled_log = 9.0
[trees]
tapped = 2027-03-01
[habit]
membrane_start = "06:30"
membrane_sap = "40 gal"
concentrate_flow = "16 gal/h"
membrane_stop = "20:30"
wash_at = "21:00"
fire_start = "16:30"
fire_stock = "25 gal"
fire_stop = "21:30"
"""
ROUNDS_MIN = (6 * 60 + 10, 15 * 60 + 45, 23 * 60)
"""A round of readings before the day's work, one before the fire, one when it has died down."""


@dataclass(frozen=True)
class World:
    """A season as it was, and as it was logged.

    Parameters
    ----------
    house : as the ledger is told of it
    entries : what was logged, nothing wrong with it
    sugar_kg : truth: "gathered", "syrup", "lost"
    """

    house: House
    entries: tuple[Entry, ...]
    sugar_kg: dict[str, float]


def worlds(count: int, seed: int) -> Iterator[World]:
    """Yield seasons, one after the other; the same seed gives the same ones."""
    told = parse_house(TOML)
    springs = springs_of(told, count, seed)
    factors = run_multipliers(count, springs.temperature_c.shape[1] // 6, seed)
    for number in range(count):
        draw = np.random.default_rng([seed, number])
        boils = told.pan.boil_rate_m3_s * (1.0 + 0.12 * draw.standard_normal())
        plant = assemble(replace(told, pan=replace(told.pan, boil_rate_m3_s=boils)))
        span = choose_span(told, springs.weather(number))
        drive = make_drive(
            plant, springs.first_s, springs.temperature_c[number : number + 1],
            span.begin_s, span.end_s, factors[number : number + 1],
        )  # fmt: skip
        yield _logged(told, plant, drive, draw)


@dataclass(frozen=True)
class _Truth:
    plant: Plant
    begin_s: int
    step_s: float
    cuts: list[int]
    states: list[Floats]
    totals: list[Floats]
    trace: Trace


def _run(plant: Plant, drive: Drive) -> _Truth:
    """Run the season in pieces from round to round."""
    minutes = drive.calendar[:, at.MINUTE]
    rounds = [int(each) for each in np.flatnonzero(np.isin(minutes, ROUNDS_MIN))]
    plan = habit_rows(plant, len(day_cuts(drive)) + 1)
    x, y = start_state(plant, Levels()), start_totals()
    whole = simulate(plant, drive, plan, x, y)
    states, totals, cuts = [x], [y], [0]
    for first, last in itertools.pairwise([0, *rounds]):
        part = simulate(plant, drive, plan, x, y, first=first, last=last)
        x, y = part.state, part.totals
        states.append(x)
        totals.append(y)
        cuts.append(last)
    return _Truth(plant, drive.begin_s, plant.step_s, cuts, states, totals, whole)


class _Log:
    """Writes entries, with the errors of the instruments."""

    def __init__(self, house: House, draw: np.random.Generator) -> None:
        self.house, self.draw = house, draw
        self.entries: list[Entry] = []
        self.zero_brix = 0.07 * draw.standard_normal()
        tanks = {"sap": house.sap_tank, "stock": house.stock_tank, "permeate": house.permeate_tank}
        self.tanks = {name: tank for name, tank in tanks.items() if tank is not None}
        self.size = {name: 1.0 + 0.01 * draw.standard_normal() for name in tanks}

    def add(self, kind: str, at_s: float, place: str, *measures: Measure, **more: object) -> None:
        """Write one entry."""
        key = f"e{len(self.entries):05d}"
        made = Entry(key, kind, at_s, at_s, place=place, measures=measures)
        self.entries.append(replace(made, **more))  # type: ignore[arg-type]  # fields by name

    def volume(self, value_m3: float, share: float) -> Measure:
        """A volume, typed in whole gallons, or in tenths below ten."""
        gallons = to_unit(value_m3, VOLUME, "gal") * (1.0 + share * self.draw.standard_normal())
        text = f"{max(gallons, 0.0):.{0 if gallons >= 10 else 1 if gallons >= 3 else 2}f}"
        instrument = "pail" if share <= 0.011 else ""
        value = from_unit(float(text), VOLUME, "gal")
        return Measure("volume", value, typed=f"{text} gal", instrument=instrument)

    def depth(self, place: str, value_m3: float) -> Measure:
        """A depth on the stick, typed in quarter inches."""
        tank = self.tanks[place]
        told_m3 = min(value_m3 * self.size[place], capacity_m3(tank))
        depth_m = depth_at_volume_m(tank, max(told_m3, 0.0)) + 0.004 * self.draw.standard_normal()
        inches = max(round(4.0 * to_unit(depth_m, LENGTH, "in")) / 4.0, 0.0)
        return Measure("depth", from_unit(inches, LENGTH, "in"), typed=f"{inches:g} in")

    def brix(self, quantity: str, value: float) -> Measure:
        """A strength, typed in tenths."""
        shown = value + self.zero_brix + 0.12 * self.draw.standard_normal()
        text = f"{min(max(shown, 0.0), 80.0):.1f}"
        return Measure(quantity, float(text), typed=text)


def _logged(told: House, plant: Plant, drive: Drive, draw: np.random.Generator) -> World:
    truth = _run(plant, drive)
    log = _Log(told, draw)
    for number in range(len(truth.cuts)):
        if number:
            _between(log, truth, number)
        _round(log, truth, number)
    y = truth.totals[-1]
    kg = {
        "gathered": float(y[at.SAP_SUGAR_KG]),
        "syrup": float(y[at.SYRUP_SUGAR_KG]),
        "lost": float(y[at.SPILLED_SUGAR_KG] + y[at.DUMPED_SUGAR_KG]),
    }
    return World(told, tuple(log.entries), kg)


def _time_s(truth: _Truth, step: int) -> float:
    return truth.begin_s + step * truth.step_s


def _tank(truth: _Truth, number: int, tank: int) -> tuple[float, float]:
    """Volume and strength of a tank at a round."""
    x, p = truth.states[number], truth.plant.p
    water, sugar = float(x[tank + at.WATER]), float(x[tank + at.SUGAR])
    volume_m3 = water * p[at.WATER_M3_KG] + sugar * p[at.SUGAR_M3_KG]
    return float(volume_m3), 100.0 * sugar / max(water + sugar, 1e-9)


def _round(log: _Log, truth: _Truth, number: int) -> None:
    """Sticks in all tanks, and a hydrometer where there is enough to float it."""
    if number and _idle(truth, number) and number + 1 < len(truth.cuts):
        return
    at_s = _time_s(truth, truth.cuts[number])
    for order, (place, tank) in enumerate(
        (("sap", at.SAP), ("stock", at.STOCK), ("permeate", at.PERMEATE))
    ):
        volume_m3, brix = _tank(truth, number, tank)
        measures = [log.depth(place, volume_m3)]
        if place != "permeate" and volume_m3 > 0.04:
            measures.append(log.brix("brix", brix))
        log.add("reading", at_s + 60.0 * order, place, *measures)


def _idle(truth: _Truth, number: int) -> bool:
    """Whether nothing to speak of moved since the round before: nobody reads then."""
    now, before = truth.totals[number], truth.totals[number - 1]
    moved = [at.SAP_WATER_KG, at.PERMEATE_KG, at.STEAM_KG, at.SYRUP_WATER_KG, at.CLEANING_WATER_KG]
    return bool((now[moved] - before[moved]).max() < 2.0)


def _between(log: _Log, truth: _Truth, number: int) -> None:
    """What was done between two rounds."""
    p = truth.plant.p
    grew = truth.totals[number] - truth.totals[number - 1]
    end_s = _time_s(truth, truth.cuts[number])

    def cold_m3(water: int, sugar: int) -> float:
        return float(grew[water] * p[at.WATER_M3_KG] + grew[sugar] * p[at.SUGAR_M3_KG])

    _runs(log, truth, number, grew)
    came_m3 = cold_m3(at.SAP_WATER_KG, at.SAP_SUGAR_KG)
    if came_m3 > 0.002:
        sugar_kg = float(grew[at.SAP_SUGAR_KG])
        brix = 100.0 * sugar_kg / (sugar_kg + float(grew[at.SAP_WATER_KG]))
        measures = [log.volume(came_m3, 0.03)]
        if came_m3 > 0.1:
            measures.append(log.brix("brix", brix))
        log.add("gather", end_s - 900.0, "gathering:bush", *measures)
    thrown_m3 = cold_m3(at.DUMPED_WATER_KG, at.DUMPED_SUGAR_KG)
    if thrown_m3 > 0.002:
        log.add("dump", end_s - 800.0, "sap", log.volume(thrown_m3, 0.03))
    used_m3 = cold_m3(at.CLEANING_WATER_KG, at.CLEANING_SUGAR_KG)
    if used_m3 > 0.001:
        log.add("rinse", end_s - 700.0, "membrane", log.volume(used_m3, 0.03))
    syrup_kg = float(grew[at.SYRUP_WATER_KG] + grew[at.SYRUP_SUGAR_KG])
    if syrup_kg > 0.2:
        brix = 100.0 * float(grew[at.SYRUP_SUGAR_KG]) / syrup_kg
        measures = [log.volume(_syrup_m3(syrup_kg, brix), 0.01), log.brix("brix", brix)]
        log.add("draw", end_s - 600.0, "pan", *measures)
    if cold_m3(at.SPILLED_WATER_KG, at.SPILLED_SUGAR_KG) > 0.002:
        log.add("spill", end_s - 500.0, "sap", flags=("overflow",))


def _syrup_m3(mass_kg: float, brix: float) -> float:
    from sugarwright.physics.solution import density_kg_m3

    return mass_kg / density_kg_m3(brix, 20.0)


def _runs(log: _Log, truth: _Truth, number: int, grew: Floats) -> None:
    """Starts and stops of membrane and fire, with the flows read while it ran."""
    first, last = truth.cuts[number - 1], truth.cuts[number]
    for column, on, off, place in (
        (at.T_MEMBRANE_ON, "membrane_on", "membrane_off", "membrane"),
        (at.T_FIRE_ON, "fire_lit", "fire_out", "pan"),
    ):
        runs = truth.trace.column(column)[max(first - 1, 0) : last] > 0.0
        if first == 0:
            runs = np.concatenate([[False], runs])
        for step in np.flatnonzero(np.diff(runs.astype(int))):
            at_s = _time_s(truth, first + int(step))
            log.add(off if runs[step] else on, at_s, place)
    ran_s = float(grew[at.MEMBRANE_S])
    if ran_s > 1800.0:
        flow = grew[at.PERMEATE_KG] / 1000.0 / ran_s * (1.0 + 0.05 * log.draw.standard_normal())
        set_m3_s = log.house.habit.concentrate_flow_m3_s * (1.0 + 0.02 * log.draw.standard_normal())
        running = [
            Measure("permeate_flow", float(flow)),
            Measure("concentrate_flow", float(set_m3_s)),
        ]
        on = truth.trace.column(at.T_MEMBRANE_ON)[first:last] > 0.0
        middle = first + int(np.median(np.flatnonzero(on)))
        log.add("reading", _time_s(truth, middle), "membrane", *running)
