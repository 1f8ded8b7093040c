"""The clean-water test: permeate through the membrane instead of sap, read at one pressure."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.bench.membrane_machine import Machine
from sugarwright.errors import RangeError
from sugarwright.physics.membrane_built import point_of
from sugarwright.physics.membrane_condition import (
    condition_from_permeate,
    condition_sd_fraction,
    flow_at_temperature_m3_s,
    net_pressure_pa,
)

RATING_TEMPERATURE_C = 25.0
FLOW_SD_FRACTION = 0.03
PRESSURE_SD_PA = 0.2e5
TEMPERATURE_SD_K = 0.5
"""How well it is read (judgement): jug and watch, the machine's gauge, a kitchen thermometer."""
GREATEST_CONDITION_FRACTION = 1.3


@dataclass(frozen=True)
class CleanWaterTest:
    """What a clean-water test says.

    Parameters
    ----------
    condition_fraction : permeability now against the new membrane of sugarhouse.toml
    condition_sd_fraction : its standard deviation from flow, gauge and thermometer
    permeate_25_flow_m3_s : the permeate as it would have been at 25 °C [m³/s]
    net_pressure_pa : mean pressure along the membrane [Pa]
    believable : false above 130 %: another membrane than described, or a reading in the wrong unit
    """

    condition_fraction: float
    condition_sd_fraction: float
    permeate_25_flow_m3_s: float
    net_pressure_pa: float
    believable: bool


def clean_water_test(
    machine: Machine,
    permeate_flow_m3_s: float,
    exit_pressure_pa: float,
    temperature_c: float,
    concentrate_flow_m3_s: float,
) -> CleanWaterTest:
    """Return a membrane's condition from a test with clean water.

    Parameters
    ----------
    machine : as described; its own condition does not count
    permeate_flow_m3_s : permeate measured [m³/s]
    exit_pressure_pa : gauge at the valve [Pa]
    temperature_c : of the water [°C]
    concentrate_flow_m3_s : about what the valve let out [m³/s]; only for the pressure drop

    Raises
    ------
    RangeError : a value outside the range in which the test says anything
    """
    if permeate_flow_m3_s <= 0.0:
        raise RangeError("permeate", permeate_flow_m3_s, "is no flow", "more than 0")
    if exit_pressure_pa < 0.5e5:
        raise RangeError(
            "pressure",
            exit_pressure_pa,
            "is too little to tell anything",
            "7 psi (0.5 bar) or more",
        )
    built = machine.built()
    area_m2 = built.element_area_m2 * built.elements_in_series * built.trains_in_parallel
    new = built._replace(condition_fraction=1.0)
    point = point_of(0.0, temperature_c, exit_pressure_pa, concentrate_flow_m3_s, new)
    drop_pa = point.inlet_pressure_pa - exit_pressure_pa
    net_pa = net_pressure_pa(exit_pressure_pa + drop_pa, drop_pa, 0.0, 0.0)
    condition = condition_from_permeate(
        permeate_flow_m3_s, net_pa, temperature_c, area_m2, built.permeability_25_m_s_pa
    )
    sd = condition_sd_fraction(
        min(condition, 10.0),
        FLOW_SD_FRACTION,
        net_pa,
        PRESSURE_SD_PA,
        temperature_c,
        TEMPERATURE_SD_K,
    )
    return CleanWaterTest(
        condition,
        sd,
        flow_at_temperature_m3_s(permeate_flow_m3_s, temperature_c, RATING_TEMPERATURE_C),
        net_pa,
        condition <= GREATEST_CONDITION_FRACTION,
    )
