"""A made-up truth for the twin: a sugarhouse that runs by its habit, and what its people log of it.

The truth is drawn from what the twin believes before anything was logged (trees, runs of sap,
membrane, pan, valve), lives through a spring of real hourly air, and is run by the simulator's own
rules. Its people read sticks and hydrometers with their errors and write down what they did some
minutes late. House and people are invented; the weather is that of ``invented_house``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from invented_house import TOML, WEATHER
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import tank_at
from sugarwright.planning.choices import habit_rows
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tanks import depth_at_volume_m
from sugarwright.twin.advance import drift, make_leg, run_one
from sugarwright.twin.air import Air, air_from
from sugarwright.twin.contents import brixes, tanks_of, volumes_m3
from sugarwright.twin.ensemble import Ensemble, Ground, begin
from sugarwright.twin.observe import pan_brixes
from sugarwright.twin.spreads import (
    BOIL_LOG,
    FOULING_LOG,
    GROWTH_LOG,
    PERMEABILITY_LOG,
    VALVE_LOG,
    Spreads,
)
from sugarwright.weather.files import read_weather_csv

STICK_M, SIGHT_FRACTION, SIGHT_M3, HYDROMETER_BRIX = 0.004, 0.03, 0.002, 0.15
READ_AT_H = (6.2, 7.6, 16.3, 18.5, 20.5, 22.2)  # local hours at which somebody may look
LEAST_HELD_M3 = 0.002  # with less ``now`` tells neither strength nor age of a tank
LOOK_EVERY = 36  # steps: three hours
LOOKED_AT = 0.6  # how likely, at each of them, for each tank
HOUSE = TOML.replace(
    'volume = "420 gal"', 'shape = "box"\nlength = "4 ft"\nwidth = "4 ft"\nheight = "3.5 ft"'
)


@dataclass
class World:
    """A truth and its log.

    Parameters
    ----------
    plant, air : of the twin; the truth's own air is another member
    begin_s : UTC s
    truths : what was so, by quantity, at each of ``times_s``
    stood : the truth itself at each of them
    ground : what the truth stands on
    entries : what was logged, in order
    """

    plant: Plant
    air: Air
    begin_s: int
    times_s: list[int] = field(default_factory=list)
    truths: dict[str, list[float]] = field(default_factory=dict)
    stood: list[Ensemble] = field(default_factory=list)
    ground: Ground | None = None
    entries: list[Entry] = field(default_factory=list)


def make_world(
    seed: int, days: float, first_day: int = 12, members: int = 200, look_every: int = LOOK_EVERY
) -> World:
    """Let a truth live for some days, and be logged; it is looked at every so many steps."""
    plant = assemble(parse_house(HOUSE))
    start = datetime(2015, 3, 1, 5, tzinfo=UTC) + timedelta(days=first_day)
    begin_s = int(start.timestamp())
    weather = read_weather_csv(WEATHER)
    known = weather.between(begin_s - 16 * 86400, begin_s + (days + 4) * 86400)
    all_air = air_from(plant.house, known, members + 1, seed, known.end_s)
    truth_air = Air(all_air.first_s, all_air.air_c[-1:])
    world = World(plant, Air(all_air.first_s, all_air.air_c[:-1], "Whately", known.end_s), begin_s)
    truth_ground = Ground(plant, truth_air, members=1, seed=seed)
    world.ground = truth_ground
    _Life(world, truth_ground, seed).live(days, look_every)
    world.entries.sort(key=lambda each: each.at_s)
    return world


class _Life:
    """The truth as it goes, step by step."""

    def __init__(self, world: World, ground: Ground, seed: int) -> None:
        self.world, self.ground = world, ground
        self.source = np.random.default_rng(np.random.SeedSequence([seed, 99]))
        many = Ground(world.plant, ground.air, members=64, seed=seed + 1000)
        rows = many.tree_rows()
        self.truth = _one_of(begin(many, world.begin_s), int(self.source.integers(64)), rows)
        self.truth.traits[:, VALVE_LOG] = Spreads().valve_log * self.source.standard_normal()
        self.plan = habit_rows(world.plant, 1)
        self.count = 0

    def live(self, days: float, look_every: int) -> None:
        """Live for some days."""
        steps = round(days * 288)
        calendar = make_calendar(self.world.plant.house, self.world.begin_s, steps, 300.0)
        for first in range(0, steps, 12):
            drift(self.ground, self.truth, 12)
            leg = make_leg(self.ground, self.truth, 12)
            for k in range(12):
                self._step(calendar[first + k], leg.air_c, leg.sap_kg_s)
                self.truth.step += 1
                self._look(calendar[first + k], (first + k) % look_every == look_every - 1)

    def _parameters(self) -> Floats:
        p, traits = self.world.plant.p.copy(), self.truth.traits[0]
        p[[at.FULL_HEAT_W, at.FUEL_M3_S]] *= np.exp(traits[BOIL_LOG])
        p[at.CONDITION_LASTING] *= np.exp(traits[PERMEABILITY_LOG])
        p[at.LOSS_PER_S] *= np.exp(traits[FOULING_LOG])
        p[at.GROWTH_SLOPE] *= np.exp(0.5 * traits[GROWTH_LOG])
        return p

    def _step(self, row: Floats, air_c: Floats, sap_kg_s: Floats) -> None:
        x, totals = self.truth.x, start_totals()
        before = x[0].copy()
        here = row.copy()
        here[at.HOUR] = 0.0
        plan = self.plan.copy()
        plan[:, at.MEMBRANE_FLOW_M3_S] *= np.exp(self.truth.traits[0, VALVE_LOG])
        weather = air_c[0], sap_kg_s[0]
        plant, p = self.world.plant, self._parameters()
        run_one(plant, p, here[np.newaxis], *weather, plan, x[0], totals)
        self.truth.drawn_kg[0] += totals[[at.SYRUP_WATER_KG, at.SYRUP_SUGAR_KG]]
        self._log_deeds(before, x[0], totals)

    def _log_deeds(self, before: Floats, after: Floats, totals: Floats) -> None:
        flow = Measure("concentrate_flow", float(self.plan[0, at.MEMBRANE_FLOW_M3_S]))
        if totals[at.DUMPED_WATER_KG] > 0.0:
            for place in ("sap", "stock"):
                tank = tanks_of(self.world.plant)[place][0]
                if before[tank] > 1.0 and after[tank] < 0.5 * before[tank]:
                    self._log("dump", place)
        if totals[at.MEMBRANE_STARTS] > 0.0:
            self._log("membrane_on", "membrane", flow)
        if totals[at.WASHES] > 0.0:
            self._log("wash", "membrane")
        if before[at.MEMBRANE_ON] > 0.0 and after[at.MEMBRANE_ON] <= 0.0:
            self._log("membrane_off", "membrane")
        if totals[at.RINSES] > 0.0 and self.source.random() < 0.5:
            self._log("rinse", "membrane")
        if totals[at.LIGHT_UPS] > 0.0:
            self._log("fire_lit", "pan")
        if before[at.FIRE_ON] > 0.0 and after[at.FIRE_ON] <= 0.0:
            self._log("fire_out", "pan")

    def _log(self, kind: str, place: str, *measures: Measure) -> None:
        late_s = self.source.exponential(Spreads().late_s)
        self._enter(kind, place, self.truth.time_s + late_s, measures)

    def _enter(self, kind: str, place: str, at_s: float, measures: tuple[Measure, ...]) -> None:
        self.count += 1
        key = f"{kind}-{self.count}"
        self.world.entries.append(Entry(key, kind, at_s, at_s, place=place, measures=measures))

    def _look(self, row: Floats, noted: bool) -> None:
        minute = row[at.MINUTE]
        if any(0.0 <= minute - 60.0 * hour < 5.0 for hour in READ_AT_H):
            self._read()
        if noted:
            self.world.times_s.append(self.truth.time_s)
            self.world.stood.append(self.truth.copy())
            for name, value in quantities(self.ground, self.truth).items():
                self.world.truths.setdefault(name, []).append(float(value[0]))

    def _read(self) -> None:
        plant, source = self.world.plant, self.source
        for place, (tank, rim_m3) in tanks_of(plant).items():
            if source.random() > LOOKED_AT:
                continue
            held_m3 = float(volumes_m3(plant, self.truth.x, tank)[0])
            measures = [self._level(place, held_m3, rim_m3)]
            if place != "permeate" and held_m3 > 0.02 and source.random() < 0.5:
                brix = float(brixes(self.truth.x, tank)[0])
                read = max(0.0, brix + HYDROMETER_BRIX * source.standard_normal())
                measures.append(Measure("brix", read, HYDROMETER_BRIX))
            at_s = self.truth.time_s + Spreads().read_s * source.standard_normal()
            self._enter("reading", place, at_s, tuple(measures))

    def _level(self, place: str, held_m3: float, rim_m3: float) -> Measure:
        tank, z = tank_at(self.world.plant.house, place), self.source.standard_normal()
        if tank is not None and tank.shape != "plain":
            depth_m = max(0.0, depth_at_volume_m(tank, min(held_m3, rim_m3)) + STICK_M * z)
            return Measure("depth", depth_m, STICK_M)
        sd = max(SIGHT_M3, SIGHT_FRACTION * held_m3)
        return Measure("volume", min(max(0.0, held_m3 + sd * z), rim_m3), sd)


def _one_of(many: Ensemble, which: int, rows: Floats) -> Ensemble:
    """Return one of the ensemble's members by itself."""
    one = many.copy()
    for name, value in vars(many).items():
        if isinstance(value, np.ndarray) and name != "tree_states":
            setattr(one, name, value[which : which + 1].copy())
    one.tree_states = many.tree_states[:, which : which + 1].copy()
    one.tree_rows = rows[which : which + 1].copy()
    return one


def quantities(ground: Ground, ensemble: Ensemble) -> dict[str, Floats]:
    """What the study looks at, of every member."""
    plant, x = ground.plant, ensemble.x
    found = {}
    for place, (tank, _) in tanks_of(plant).items():
        found[f"{place} volume [L]"] = 1000.0 * volumes_m3(plant, x, tank)
    found["sap Brix"] = _held(plant, x, at.SAP, brixes(x, at.SAP))
    found["stock Brix"] = _held(plant, x, at.STOCK, brixes(x, at.STOCK))
    found["pan Brix"] = pan_brixes(ground, x)
    found["membrane condition [%]"] = (
        100.0 * x[:, at.CONDITION] * np.exp(ensemble.traits[:, PERMEABILITY_LOG])
    )
    cells_ln = np.log(np.maximum(x[:, at.SAP + at.CELLS], 1.0))
    found["sap age [cells, ln]"] = _held(plant, x, at.SAP, cells_ln)
    return found


def _held(plant: Plant, x: Floats, tank: int, values: Floats) -> Floats:
    """What has no liquid has no strength and no age: NaN."""
    return np.where(volumes_m3(plant, x, tank) > LEAST_HELD_M3, values, np.nan)


__all__ = ["World", "make_world", "quantities"]
