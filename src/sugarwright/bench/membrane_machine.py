"""A house's membrane as it stands today, and what one setting of it gives."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sugarwright.physics.activity import osmotic_pressure_pa
from sugarwright.physics.membrane import MembranePoint
from sugarwright.physics.membrane_built import Built, point_of
from sugarwright.physics.membrane_condition import fouled_condition
from sugarwright.physics.membrane_limits import (
    GREATEST_DROP_PA,
    GREATEST_SPEED_M_S,
    LEAST_SPEED_M_S,
    stress_of,
)
from sugarwright.physics.membrane_pump import pump_flow_m3_s, pump_power_w
from sugarwright.physics.membrane_settings import pressure_on_pump
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.house import House, Membrane

PUMP_EFFICIENCY_FRACTION = 0.45
"""Of pump and motor together; judgement, 0.1 either way."""
CELLS = 4


@dataclass(frozen=True)
class Sap:
    """The sap before the membrane.

    Parameters
    ----------
    brix : its strength [mass percent]
    temperature_c : its temperature [°C]
    volume_m3 : what there is to work off [m³]; 0 when that was not said
    """

    brix: float
    temperature_c: float
    volume_m3: float


@dataclass(frozen=True)
class Setting:
    """What one setting of valve and gauge gives.

    Parameters
    ----------
    concentrate_flow_m3_s : valve flow [m³/s]
    exit_pressure_pa : gauge pressure at the valve [Pa]
    concentrate_brix : strength of the concentrate [mass percent]
    permeate_flow_m3_s : permeate [m³/s]
    feed_flow_m3_s : sap taken in [m³/s]
    duration_s : time to work off the sap, slower as the membrane fouls [s]; null without sap
    power_w : electric power of its motors [W]
    current_a : their current [A]
    element_drop_pa : pressure drop of the element where it is greatest [Pa]
    least_cross_flow_m3_s : flow along the last element, recirculation included [m³/s]
    greatest_cross_flow_m3_s : the same at the inlet of the first [m³/s]
    warnings : what is wrong with it: "no permeate", "weak pump", "pressure drop", "slow", "fast"
    """

    concentrate_flow_m3_s: float
    exit_pressure_pa: float
    concentrate_brix: float
    permeate_flow_m3_s: float
    feed_flow_m3_s: float
    duration_s: float | None
    power_w: float
    current_a: float
    element_drop_pa: float
    least_cross_flow_m3_s: float
    greatest_cross_flow_m3_s: float
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Machine:
    """A house's membrane as it is today.

    Parameters
    ----------
    membrane : as described
    condition_fraction : permeability now against new
    standing_power_w : what its motors draw beside the work of pumping [W]
    """

    membrane: Membrane
    condition_fraction: float
    standing_power_w: float

    def built(self, running_s: float = 0.0) -> Built:
        """Return it for physics, after so much more running."""
        known, loss = self.membrane, self.membrane.loss_per_hour_fraction
        return Built(
            known.recirculation_flow_m3_s,
            known.in_series,
            known.in_parallel,
            known.element_area_m2,
            known.element_length_m,
            known.spacer_height_m,
            known.spacer_porosity_fraction,
            known.permeability_m_s_pa,
            known.sugar_permeability_m_s,
            max(0.01, fouled_condition(self.condition_fraction, loss, running_s)),
            known.film_factor,
            known.friction_multiplier,
            CELLS,
        )

    def power_w(self, feed_m3_s: float, inlet_pressure_pa: float, exit_pressure_pa: float) -> float:
        """Return the electric power of its motors [W]."""
        work_w = _pumping_w(self.membrane, feed_m3_s, inlet_pressure_pa, exit_pressure_pa)
        return self.standing_power_w + work_w

    @property
    def shutoff_pressure_pa(self) -> float:
        """Return the pressure at which the pump gives nothing; infinite when none is known."""
        return self.membrane.pump_shutoff_pa or math.inf

    def pump_holds(self, feed_flow_m3_s: float, inlet_pressure_pa: float) -> bool:
        """Tell whether the pump gives a feed against the inlet's pressure, as far as is known."""
        free_m3_s = self.membrane.pump_flow_m3_s
        if free_m3_s is None:
            return True
        given_m3_s = pump_flow_m3_s(inlet_pressure_pa, free_m3_s, self.shutoff_pressure_pa)
        return feed_flow_m3_s <= given_m3_s * (1.0 + 1e-6)


def machine_of(house: House, fouling_fraction: float = 1.0) -> Machine | None:
    """Return a house's membrane today, or None where it has none.

    Parameters
    ----------
    house : the house as described
    fouling_fraction : what fouling has left since the last wash

    Notes
    -----
    Its motors draw the pumps' work and a standing load: so much that the whole is the house's own
    ``motor_power`` where the valve stands in the middle of its range, with sap of 2 Brix and 5 °C
    and the membrane just washed.
    """
    known = house.membrane
    if known is None:
        return None
    washed, pressure_pa = Machine(known, known.condition_fraction, 0.0), known.exit_pressure_pa
    middle_m3_s = math.sqrt(known.least_flow_m3_s * known.most_flow_m3_s)
    point = point_of(2.0, 5.0, pressure_pa, middle_m3_s, washed.built())
    work_w = washed.power_w(feed_flow_m3_s(point, 2.0, 5.0), point.inlet_pressure_pa, pressure_pa)
    standing_w = max(0.0, known.motor_power_w - work_w)
    return Machine(known, known.condition_fraction * fouling_fraction, standing_w)


def setting(
    machine: Machine, sap: Sap, flow_m3_s: float, pressure_pa: float | None = None
) -> Setting:
    """Return what a valve flow gives at a gauge pressure, or at the most that the pump can hold.

    Parameters
    ----------
    machine, sap : the machine and what goes in
    flow_m3_s : valve flow [m³/s]
    pressure_pa : gauge pressure [Pa]; left out, the house's ``exit_pressure``
    """
    wanted_pa = machine.membrane.exit_pressure_pa if pressure_pa is None else pressure_pa
    reached_pa, point = _held(machine, sap, flow_m3_s, wanted_pa)
    stress = stress_of(point, sap.temperature_c, reached_pa, flow_m3_s, machine.built())
    feed_m3_s = feed_flow_m3_s(point, sap.brix, sap.temperature_c)
    power_w = machine.power_w(feed_m3_s, point.inlet_pressure_pa, reached_pa)
    dry = osmotic_pressure_pa(sap.brix, sap.temperature_c) >= reached_pa or not point.solved
    found = {
        "no permeate": dry,
        "weak pump": reached_pa < wanted_pa,
        "pressure drop": stress.pressure_drop_pa > GREATEST_DROP_PA,
        "slow": stress.least_speed_m_s < LEAST_SPEED_M_S,
        "fast": stress.greatest_speed_m_s > GREATEST_SPEED_M_S,
    }
    motor_w = machine.membrane.motor_power_w
    return Setting(
        flow_m3_s,
        reached_pa,
        point.concentrate_brix,
        point.permeate_kg_s / density_kg_m3(0.0, sap.temperature_c),
        feed_m3_s,
        _duration_s(machine, sap, flow_m3_s, reached_pa, feed_m3_s) if sap.volume_m3 else None,
        power_w,
        machine.membrane.motor_current_a * power_w / motor_w if motor_w else 0.0,
        stress.pressure_drop_pa,
        stress.least_flow_m3_s,
        stress.greatest_flow_m3_s,
        tuple(name for name, wrong in found.items() if wrong),
    )


def _held(
    machine: Machine, sap: Sap, flow_m3_s: float, wanted_pa: float
) -> tuple[float, MembranePoint]:
    """Return the pressure that is reached, and what it gives: as wanted, or the pump's most."""
    built = machine.built()
    point = point_of(sap.brix, sap.temperature_c, wanted_pa, flow_m3_s, built)
    free_m3_s = machine.membrane.pump_flow_m3_s
    if free_m3_s is None or machine.pump_holds(
        feed_flow_m3_s(point, sap.brix, sap.temperature_c), point.inlet_pressure_pa
    ):
        return wanted_pa, point
    pump = (free_m3_s, machine.shutoff_pressure_pa)
    reached_pa = pressure_on_pump(*pump, sap.brix, sap.temperature_c, flow_m3_s, built)
    return reached_pa, point_of(sap.brix, sap.temperature_c, reached_pa, flow_m3_s, built)


def _duration_s(
    machine: Machine, sap: Sap, flow_m3_s: float, pressure_pa: float, feed_m3_s: float
) -> float:
    """Return the time to work off the sap [s] at the feed of the run's middle.

    Feed is nearly straight over the condition, and the condition over a day's run.
    """
    half_s = 0.5 * sap.volume_m3 / feed_m3_s
    built = machine.built(half_s)
    point = point_of(sap.brix, sap.temperature_c, pressure_pa, flow_m3_s, built)
    return sap.volume_m3 / feed_flow_m3_s(point, sap.brix, sap.temperature_c)


def feed_flow_m3_s(point: MembranePoint, brix: float, temperature_c: float) -> float:
    """Return the volume of sap that an operating point takes in [m³/s]."""
    return point.feed_kg_s / density_kg_m3(brix, temperature_c)


def _pumping_w(
    membrane: Membrane, feed_m3_s: float, inlet_pressure_pa: float, exit_pressure_pa: float
) -> float:
    return pump_power_w(
        feed_m3_s,
        inlet_pressure_pa,
        membrane.recirculation_flow_m3_s,
        exit_pressure_pa,
        PUMP_EFFICIENCY_FRACTION,
    )
