"""What the balance may take as known of a sugarhouse without a reading, and how unsure that is.

These are beliefs with wide margins, so that a maker who reads little still has something to hold
readings against. None of them is learnt from the readings that it is held against.
"""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.house import House
from sugarwright.plant.tanks import capacity_m3

SAP_SD_BRIX = 0.6
"""Sap of one bush from day to day about its usual strength (judgement)."""
STOCK_BRIX, STOCK_SD_BRIX = 8.0, 5.0
PERMEATE_BRIX, PERMEATE_SD_BRIX = 0.02, 0.03
"""A membrane passes little sugar: rejection above 99.5 % (from memory)."""
BOIL_SD = 0.15
"""A pan's boil against what its owner says of it (judgement) ..."""
BOIL_DAY_SD = 0.12
"""... and from boil to boil: wood, stoking, foam (judgement)."""
PAN_LEVEL_SD = 0.12
"""Liquid in the pan against its usual level (judgement)."""
PAN_SUGAR_SD = 0.35
"""Sugar in the pan against that of steady boiling (judgement)."""
PAN_LOSS, PAN_LOSS_SD = 0.01, 0.015
"""Share of the syrup lost as niter, in filters and foam (judgement)."""
DRAW_SD_BRIX = 1.0
"""Draws about the finish when their strength was not read (judgement)."""
TANK_SD = 0.01
"""A tank's size against its description (judgement: a quarter inch in two feet)."""
HYDROMETER_SD_BRIX = 0.07
"""A hydrometer's own zero, the same in all its readings (judgement: half its usual error)."""
CLEANING_SD = 0.3
"""Permeate taken to rinse or wash, against the house's usual (judgement)."""
RUN_FLOW_SD = 0.08
"""A membrane's flow when it was read against that of its whole run (judgement)."""
RUN_BRIX_SD = 0.06
"""The same of concentrate strength."""
MIXED_SD_BRIX, MIXED_SD = 0.05, 0.02
"""A tank is not quite mixed: a sample against its mean, plain and as a share (judgement)."""


@dataclass(frozen=True)
class Facts:
    """Known of a house.

    Parameters
    ----------
    sap_m3, stock_m3, permeate_m3 : capacities; what is not there has 0
    pan_kg : liquid in the pan at its usual level, were it water
    sap_brix, finish_brix : usual strengths
    boil_kg_s : water boiled off at full fire
    rinse_m3, wash_m3 : permeate for each
    """

    sap_m3: float
    stock_m3: float
    permeate_m3: float
    pan_kg: float
    sap_brix: float
    finish_brix: float
    boil_kg_s: float
    rinse_m3: float
    wash_m3: float


def facts_of(house: House) -> Facts:
    """Return what is known of a house."""
    membrane = house.membrane
    water_kg_m3 = density_kg_m3(0.0, 4.0)
    return Facts(
        capacity_m3(house.sap_tank),
        capacity_m3(house.stock_tank) if house.stock_tank is not None else 0.0,
        capacity_m3(house.permeate_tank) if house.permeate_tank is not None else 0.0,
        sum(house.pan.compartments_m3) * 1000.0,
        house.trees.sap_brix,
        house.pan.finish_brix,
        house.pan.boil_rate_m3_s * water_kg_m3,
        0.0 if membrane is None else membrane.rinse_volume_m3,
        0.0 if membrane is None else membrane.wash_volume_m3,
    )


def boiling_s(house: House, fire_s: float, ends: bool) -> float:
    """Return how long full fire would have boiled as much: it comes up late, and dies down late.

    Parameters
    ----------
    fire_s : from lighting to the last wood, within a period
    ends : the fire died down in it
    """
    if fire_s <= 0.0:
        return 0.0
    after_s = house.pan.burn_down_s if ends else 0.0
    return max(0.3 * fire_s, fire_s - house.pan.light_up_s) + after_s


def steady_pan_sugar_kg(house: House, feed_brix: float) -> float:
    """Return the sugar that a pan holds in steady boiling.

    Parameters
    ----------
    feed_brix : strength of what it is fed with

    Notes
    -----
    Each compartment is mixed, and boils off its share of the heat: its strength is that of the
    feed by what is left of the flow. Mixing back between neighbours levels the gradient a little.
    """
    pan = house.pan
    left = 1.0
    kept = feed_brix / pan.finish_brix  # part of the flow that becomes syrup
    sugar_kg = 0.0
    for volume_m3, share in zip(pan.compartments_m3, pan.heat_share, strict=True):
        left -= (1.0 - kept) * share
        brix = min(feed_brix / max(left, kept), pan.finish_brix)
        sugar_kg += volume_m3 * density_kg_m3(brix, 100.0) * brix / 100.0
    return sugar_kg
