"""The demo's half spring as it truly was: the invented house, run by its habit in invented weather.

It is not quite the house that its description tells of, as no house is: the membrane loses flow
for good, one line leaks, the pan boils less. `demo_log.py` writes down what its people saw of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from importlib.resources import files
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.planning.choices import habit_rows
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import House
from sugarwright.plant.read_house import read_house
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.state import Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.units import VOLUME, WOOD, from_unit
from sugarwright.weather.ensemble import run_multipliers
from sugarwright.weather.files import read_weather_csv

FOLDER = Path(str(files("sugarwright"))) / "demo"
ZONE = ZoneInfo("America/New_York")
BEGIN = datetime(2026, 2, 24, tzinfo=ZONE)
END = datetime(2026, 3, 19, 6, tzinfo=ZONE)
BOIL = 0.93  # of what the description says of the pan
TREES = 1.12  # of usual sap per tap
RUN_SEED = 26
LASTING_LOSS_PER_DAY = 0.012  # of the membrane's flow, which no wash brings back
LOSS_PER_HOUR = 0.014
LEAK_SINCE = datetime(2026, 3, 6, tzinfo=ZONE)  # a branch came down on the low corner's line
LEFT_BY_LEAK = 0.35
LOW_CORNER = 1
SATURDAY = 5
BOUGHT = datetime(2026, 3, 14, 18, 30, tzinfo=ZONE)  # a neighbour without a pan
BOUGHT_GAL, BOUGHT_BRIX = 120.0, 2.2
WOOD_BROUGHT = datetime(2026, 3, 8, 11, 0, tzinfo=ZONE)
WOOD_AT_FIRST_CORD, WOOD_BROUGHT_CORD = 2.42, 1.0


@dataclass(frozen=True)
class Truth:
    """Every five minutes of it.

    Parameters
    ----------
    told : the house as described
    plant : as it is
    drive : air, and the sap that truly came to each line's end
    states, totals : (steps + 1, ...), before the first step and at each step's end
    """

    told: House
    plant: Plant
    drive: Drive
    states: Floats
    totals: Floats

    def step(self, moment: datetime) -> int:
        """Return the step at whose begin a moment lies."""
        return int((moment.timestamp() - self.drive.begin_s) // self.plant.step_s)

    def moment(self, step: int) -> datetime:
        """Return the local time at which a step begins."""
        return datetime.fromtimestamp(self.drive.begin_s + step * self.plant.step_s, ZONE)

    def tank(self, step: int, tank: int) -> tuple[float, float]:
        """Return volume [m³] and strength [Brix] of a tank."""
        water, sugar = self.states[step, tank : tank + 2]
        p = self.plant.p
        volume_m3 = water * p[at.WATER_M3_KG] + sugar * p[at.SUGAR_M3_KG]
        return float(volume_m3), float(100.0 * sugar / max(water + sugar, 1e-9))

    def grown(self, first: int, last: int, *which: int) -> float:
        """Return by how much totals grew between two steps, together."""
        grew = self.totals[last] - self.totals[first]
        return float(sum(grew[each] for each in which))


def live() -> Truth:
    """Run the half spring, five minutes after five minutes."""
    told = read_house(FOLDER / "sugarhouse.toml")
    assert told.membrane is not None
    plant = assemble(
        replace(
            told,
            pan=replace(told.pan, boil_rate_m3_s=BOIL * told.pan.boil_rate_m3_s),
            trees=replace(told.trees, yield_factor=TREES),
            keeping=replace(told.keeping, heel_life_fraction=1.0),  # they rinse out what is sour
            membrane=replace(told.membrane, loss_per_hour_fraction=LOSS_PER_HOUR),
        )
    )
    drive = _drive(plant)
    plan = _working(plant, drive)
    wood_m3 = from_unit(WOOD_AT_FIRST_CORD, WOOD, "cord")
    states, totals = [start_state(plant, Levels(wood_m3=wood_m3))], [start_totals()]
    happens = {_step(drive, plant, BOUGHT): _bought, _step(drive, plant, WOOD_BROUGHT): _wood}
    lasting = plant.p[at.CONDITION_LASTING]
    for step in range(drive.steps):
        x = states[-1].copy()
        if step in happens:
            happens[step](plant, x)
            states[-1] = x
        days = step * plant.step_s / 86400.0
        plant.p[at.CONDITION_LASTING] = lasting * (1.0 - LASTING_LOSS_PER_DAY) ** days
        ran = run_many(plant, drive, plan, x, 1, step + 1, first=step, totals=totals[-1])
        states.append(ran.states[0, 0])
        totals.append(ran.totals[0, 0])
    return Truth(told, plant, drive, np.array(states), np.array(totals))


def _working(plant: Plant, drive: Drive) -> Floats:
    """Return how its people worked each day: by their habit, a little more keenly."""
    rows = habit_rows(plant, len(day_cuts(drive)))
    gallon_m3 = from_unit(1.0, VOLUME, "gal")
    rows[:, at.MEMBRANE_SAP_M3] = 60.0 * gallon_m3
    rows[:, at.MEMBRANE_FLOW_M3_S] = 0.18 * gallon_m3 / 60.0
    rows[:, at.FIRE_START] = 17 * 60 + 15
    rows[:, at.FIRE_STOCK_M3] = 40.0 * gallon_m3
    for day, row in enumerate(rows):
        if (BEGIN + timedelta(days=day)).weekday() >= SATURDAY:
            row[at.FIRE_START] = 14 * 60
            row[at.FIRE_STOP] = 20 * 60
    return rows[np.newaxis]


def _drive(plant: Plant) -> Drive:
    """Return air and sap; of the low corner's only what its leaking line lets through."""
    weather = read_weather_csv(FOLDER / "weather.csv")
    begin_s, end_s = int(BEGIN.timestamp()), int(END.timestamp())
    air_c = np.ascontiguousarray(weather.temperature_c[np.newaxis])
    factors = run_multipliers(1, air_c.shape[1], RUN_SEED)
    drive = make_drive(plant, weather.first_s, air_c, begin_s, end_s, factors)
    leaks = (int(LEAK_SINCE.timestamp()) - begin_s) // 3600
    drive.sap_kg_s[:, leaks:, LOW_CORNER] *= LEFT_BY_LEAK
    return drive


def _step(drive: Drive, plant: Plant, moment: datetime) -> int:
    return int((moment.timestamp() - drive.begin_s) // plant.step_s)


def _bought(plant: Plant, x: Floats) -> None:
    kg = from_unit(BOUGHT_GAL, VOLUME, "gal") * 1006.0  # of sap of two Brix
    x[at.SAP + at.SUGAR] += kg * BOUGHT_BRIX / 100.0
    x[at.SAP + at.WATER] += kg * (1.0 - BOUGHT_BRIX / 100.0)


def _wood(plant: Plant, x: Floats) -> None:
    x[at.WOOD_M3] += from_unit(WOOD_BROUGHT_CORD, WOOD, "cord")
