"""How tanks and air are expected to go through a plan's hours, over the weathers."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Fan
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import simulate
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S

_TANKS = {"sap": at.T_SAP_M3, "stock": at.T_STOCK_M3, "permeate": at.T_PERMEATE_M3}
_DIGITS = {"air": 1}  # behind the point; a tenth of a litre otherwise
_USUAL_DIGITS = 4


def fans_of(planned: Planned) -> tuple[Fan, ...]:
    """Run the plan in every weather that it is checked in; return each quantity hour by hour.

    Parameters
    ----------
    planned : a plan, and what it was found from
    """
    drive, plant = planned.weathers.checked, planned.plant
    tanks = _TANKS if plant.p[at.HAS_MEMBRANE] > 0.0 else {"sap": at.T_SAP_M3}
    hour_s = int(drive.begin_s) - int(drive.begin_s) % HOUR_S  # in which the plan begins
    first = round((hour_s + HOUR_S - drive.begin_s) / plant.step_s)
    ends = np.arange(first, drive.steps + 1, round(HOUR_S / plant.step_s))
    traces = [
        simulate(plant, drive, planned.plan, planned.state, scenario=w).rows[ends - 1]
        for w in range(drive.scenarios)
    ]
    rows = np.stack(traces)
    found = [_fan(name, hour_s + HOUR_S, rows[:, :, column]) for name, column in tanks.items()]
    return (*found, _fan("air", hour_s, drive.air_c[:, : len(ends)]))


def _fan(what: str, begin_s: int, values: Floats) -> Fan:
    """Return quantiles over the weathers, of (weathers, hours)."""
    digits = _DIGITS.get(what, _USUAL_DIGITS)
    low, middle, high = np.round(np.quantile(values, (0.1, 0.5, 0.9), axis=0), digits).tolist()
    return Fan(what, begin_s, HOUR_S, tuple(low), tuple(middle), tuple(high))
