"""Read a season day by day, as one would read a diary: ``python -m benchmarks.regret.read``.

What was decided each morning by some methods, what came of it, and how far apart they then stand.
Only results already worked out are read.
"""

from __future__ import annotations

import argparse
from datetime import timedelta

import numpy as np

from sugarwright.planning.outlook import lost_m3, syrup_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats, life_used, volume_m3
from sugarwright.plant.worth import worth_lines
from sugarwright.units import FLOW, VOLUME, to_unit

from .houses import cases
from .outcome import ready
from .rolling import LOOKS_H, Worked, work
from .run import Job, outcome_of
from .seasons import season
from .truth import Truth


def main() -> None:
    """Print the days of one house and season."""
    options = argparse.ArgumentParser(prog="python -m benchmarks.regret.read", description=__doc__)
    options.add_argument("house", choices=list(cases()))
    options.add_argument("season")
    options.add_argument("methods", nargs="+")
    wanted = options.parse_args()
    plant, truth = ready(cases()[wanted.house], season(wanted.season))
    worked = {}
    for method in wanted.methods:
        known = outcome_of(Job(wanted.house, wanted.season, method))
        if known is None or not known.days:
            raise SystemExit(f"{method}: not worked out here yet")
        worked[method] = _as_then(plant, truth, np.array(known.days))
    for day in range(truth.season.days):
        print(_head(plant, truth, day))
        for method, each in worked.items():
            print(f"   {method:8s} {_day(plant, each, day)}")


def _as_then(plant: Plant, truth: Truth, rows: Floats) -> Worked:
    """Work through a season as was decided then, (days, looks, 2, ``PLAN_WIDTH``)."""

    def again(day: int, hour: int, _state: Floats, _rows: Floats) -> Floats:
        return rows[day, 1 + LOOKS_H.index(hour)]

    return work(plant, truth, lambda day, _: rows[day, 0], again if rows.shape[1] > 1 else None)


def _gal(volume: float) -> float:
    return to_unit(volume, VOLUME, "gal")


def _head(plant: Plant, truth: Truth, day: int) -> str:
    date = truth.season.tapped + timedelta(days=day)
    drive = truth.day(day)
    water, sugar = drive.sap_kg_s[0].sum(axis=(0, 1)) * 3600.0
    sap = _gal(water * plant.p[at.WATER_M3_KG] + sugar * plant.p[at.SUGAR_M3_KG])
    air = drive.air_c[0]
    return f"{date:%a %d %b}  {air.min():.0f} to {air.max():.0f} C, {sap:.0f} gal ran"


def _day(plant: Plant, worked: Worked, day: int) -> str:
    x, row = worked.states[day], worked.rows[day, 0, 0]
    totals = worked.totals[day + 1] - worked.totals[day]
    net = worth_lines(plant, worked.totals, worked.states).net
    tanks = [_tank(plant, x, "sap", at.SAP), _tank(plant, x, "stock", at.STOCK)]
    came = (
        f"fire {totals[at.FIRE_S] / 3600:.1f} h, mem {totals[at.MEMBRANE_S] / 3600:.1f} h, "
        f"syrup {_gal(float(syrup_m3(plant, totals))):.1f}, "
        f"lost {_gal(float(lost_m3(plant, totals))):.0f}, washes {totals[at.WASHES]:.0f}"
    )
    so_far = f"net {net[day + 1]:.0f} ({net[day + 1] - net[day]:+.0f})"
    return " | ".join([" ".join(tanks), _row(row), came, so_far])


def _tank(plant: Plant, x: Floats, name: str, tank: int) -> str:
    held = _gal(volume_m3(plant.p, x, tank))
    used = life_used(plant.p, max(1.0, float(x[tank + at.CELLS]))) if held > 1.0 else 0.0
    return f"{name} {held:.0f} ({100 * used:.0f} % of life)"


def _row(row: Floats) -> str:
    parts = []
    if row[at.MEMBRANE_START] >= 0.0:
        night = to_unit(float(row[at.NIGHT_FLOW_M3_S]), FLOW, "gal/h")
        parts.append(
            f"mem {_clock(row[at.MEMBRANE_START])} if {_gal(row[at.MEMBRANE_SAP_M3]):.0f}, "
            f"{to_unit(float(row[at.MEMBRANE_FLOW_M3_S]), FLOW, 'gal/h'):.0f}/h"
            + (f" night {night:.0f}/h" if night else "")
        )
    if row[at.MEMBRANE_CALL_M3] > 0.0:
        parts.append(f"mem at {_gal(row[at.MEMBRANE_CALL_M3]):.0f}")
    if row[at.FIRE_CALL_M3] > 0.0:
        parts.append(f"fire at {_gal(row[at.FIRE_CALL_M3]):.0f}")
    if row[at.FIRE_START] >= 0.0:
        parts.append(
            f"fire {_clock(row[at.FIRE_START])} if {_gal(row[at.FIRE_STOCK_M3]):.0f}, "
            f"to {_clock(row[at.FIRE_STOP])}"
        )
    if row[at.WASH_AT] >= 0.0:
        parts.append(f"wash {_clock(row[at.WASH_AT])}")
    return "; ".join(parts) or "nothing"


def _clock(minute: float) -> str:
    return f"{int(minute) // 60}:{int(minute) % 60:02d}"


if __name__ == "__main__":
    main()
