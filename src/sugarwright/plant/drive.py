"""From hourly weather to what drives a run: air and sap for every gathering point."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.errors import InputError
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.assemble import COLD_C, Plant
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.house import House, Trees
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats


def tree_parameters(trees: Trees) -> TreeParameters:
    """Parameters of this house's trees: priors, and what its description says of them."""
    return TreeParameters()._replace(bush_scale=trees.yield_factor, brix_start=trees.sap_brix)


def tapped_s(house: House) -> float:
    """UTC s of noon, local time, on the day of tapping."""
    return local_s(house, house.trees.tapped, 12)


def local_s(house: House, day: date, hour: int = 0) -> float:
    """UTC s of a local hour of a day."""
    moment = datetime.combine(day, time(hour), tzinfo=ZoneInfo(house.site.timezone))
    return moment.timestamp()


def _check_span(first_hour_s: int, air_c: Floats, begin_s: int, end_s: int) -> None:
    last_s = first_hour_s + 3600 * air_c.shape[1]
    whole = (begin_s - first_hour_s) % 3600 == 0 and (end_s - begin_s) % 3600 == 0
    if not (whole and first_hour_s <= begin_s < end_s <= last_s):
        raise InputError(
            "begin_s, end_s",
            (begin_s, end_s),
            "are not two hours of this weather",
            f"{first_hour_s} <= begin_s < end_s <= {last_s}, in whole hours",
            "Give a weather file that reaches from the first hour to the last.",
        )


def make_drive(
    plant: Plant,
    first_hour_s: int,
    air_c: Floats,
    begin_s: int,
    end_s: int,
    run_factors: Floats | None = None,
    trees: Floats | None = None,
) -> Drive:
    """Let the trees run through the weather, and cut out the time wanted.

    Parameters
    ----------
    plant : the house
    first_hour_s : UTC s of the first hour of ``air_c``; the hours before ``begin_s`` bring the
        trees up to date
    air_c : (scenarios, hours)
    begin_s, end_s : UTC s between which the plant is run; whole hours within the weather
    run_factors : (scenarios, runs) by which each run of sap is multiplied
    trees : (scenarios, tree parameters), see ``tree_knowledge.tree_members``; left out: those of
        the house's description in every scenario

    Returns
    -------
    Drive

    Raises
    ------
    InputError : the weather does not reach over the time wanted, or that is no whole hours
    """
    _check_span(first_hour_s, air_c, begin_s, end_s)
    house = plant.house
    first, last = (begin_s - first_hour_s) // 3600, (end_s - first_hour_s) // 3600
    sap = np.zeros((len(air_c), last - first, len(house.gathering), 2))
    runs: dict[float, tuple[Floats, Floats]] = {}
    for g, gathering in enumerate(house.gathering):
        if gathering.vacuum_pa not in runs:
            given = sap_run(
                air_c[:, :last],
                first_hour_s,
                tapped_s(house),
                gathering.vacuum_pa,
                tree_parameters(house.trees) if trees is None else trees,
                run_factors,
            )
            runs[gathering.vacuum_pa] = given.sap_m3_per_tap[:, first:], given.brix[:, first:]
        volume_m3, brix = runs[gathering.vacuum_pa]
        mass_kg_s = gathering.taps * volume_m3 / 3600.0 * density_kg_m3(2.0, COLD_C)
        sap[:, :, g, 1] = mass_kg_s * brix / 100.0
        sap[:, :, g, 0] = mass_kg_s - sap[:, :, g, 1]
    steps = round((end_s - begin_s) / plant.step_s)
    calendar = make_calendar(house, begin_s, steps, plant.step_s, plant.special)
    return Drive(begin_s, calendar, np.ascontiguousarray(air_c[:, first:last]), sap)
