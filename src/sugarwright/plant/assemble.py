"""From a described house to the flat numbers that the simulator works on."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

import numpy as np

from sugarwright.errors import RangeError
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.hydraulics import pumped_flow_m3_s
from sugarwright.physics.keeping import LEAST_TEMPERATURE_C, ROOT_SLOPE
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import heat_capacity_j_kg_k, viscosity_pa_s
from sugarwright.physics.water import latent_heat_j_kg, water_density_kg_m3
from sugarwright.plant import layout as at
from sugarwright.plant.hands import BRIM_FRACTION
from sugarwright.plant.house import Gathering, House, Membrane, Pan, Tank
from sugarwright.plant.house_membrane import may_run_alone
from sugarwright.plant.membrane_map import MembraneMap, build_map
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION
from sugarwright.plant.special_hours import USUAL_HOURS, SpecialHours
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tanks import capacity_m3

COLD_C = 4.0  # temperature at which sap is pumped and tanks are reckoned
COLD_BRIX = 8.0  # and the strength at which the sugar's volume is taken: within 0.06 % to 20 Brix
PLASTIC_ROUGHNESS_M = 1.5e-6
TANK_LAG_S = 12 * 3600.0  # a few hundred gallons behind the air: common practice, no source
PAN_REST_S = 3 * 3600.0  # an idle pan cools and evens out: common practice, no source
INDOORS_LEAST_C = 4.0  # an unheated sugarhouse by day: common practice, no source
LEAST_BURN_S = 5400.0  # nobody lights for less: common practice, no source
CROWDED_FRACTION = 0.75
SPARE_FEED = 1.2  # feed kept for the burn-down beside what it boils off
SPARE_TAIL = 1.05  # of that: feed warmer than cold boils off a little faster
CELLS_PER_ELEMENT = 4
LEAST_DRAW_SHARE = 0.01
LONGEST_BOIL_S = 100.0
BOIL_STEP_SHARE = 0.3  # of the time in which the fastest compartment changes
LEAST_CHANGE_S = 5.0


@dataclass(frozen=True, eq=False)  # arrays don't compare; each plant is itself alone
class Plant:
    """A house ready to be simulated.

    Parameters
    ----------
    house : the description that it was made from
    p : parameters, in the order of ``layout``
    points : (gathering points, ``POINT_SIZE``)
    membrane_map : the membrane's operating map; None without a membrane
    special : hours that go otherwise than the description says
    """

    house: House
    p: Floats
    points: Floats
    membrane_map: MembraneMap | None
    map_coefficients: Floats = field(repr=False)
    special: SpecialHours = USUAL_HOURS

    @property
    def step_s(self) -> float:
        """Length of a step, s."""
        return float(self.p[at.STEP_S])


def assemble(house: House, step_s: float = 300.0) -> Plant:
    """Turn a described house into the numbers of the simulator.

    Parameters
    ----------
    house : as read from ``sugarhouse.toml``
    step_s : length of a step; 5 minutes unless a test asks for another. It must divide an hour.

    Returns
    -------
    Plant

    Raises
    ------
    RangeError : a step that does not divide an hour; a pan or tank with which nothing would work
    """
    if not (step_s >= 1.0 and 3600.0 % step_s == 0.0):
        raise RangeError("step_s", step_s, "does not divide an hour", "1 to 3600 s")
    p = np.zeros(at.PARAMETERS_SIZE)
    p[at.STEP_S] = step_s
    p[at.POINTS] = len(house.gathering)
    _volumes(p)
    _tanks(p, house)
    _keeping(p, house)
    _pan(p, house)
    _chores(p, house)
    membrane_map = None
    coefficients = np.zeros(1)
    if house.membrane is not None:
        geometry = _membrane(p, house, house.membrane)
        flows = (house.membrane.least_flow_m3_s, house.membrane.most_flow_m3_s)
        membrane_map = _map_of(geometry, flows)
        coefficients = membrane_map.coefficients
    points = np.array([_point(house, gathering) for gathering in house.gathering])
    return Plant(house, p, points, membrane_map, coefficients)


@lru_cache(maxsize=32)
def _map_of(geometry: tuple[float, ...], flows: tuple[float, float]) -> MembraneMap:
    """Fit a machine's map once, however many houses differ in other things."""
    return build_map(geometry, flows)


def local_day_number(day: date) -> int:
    """Number of a local date, as the calendar and the plan's rows count them."""
    return day.toordinal()


def _volumes(p: Floats) -> None:
    fraction = COLD_BRIX / 100.0
    p[at.WATER_M3_KG] = 1.0 / water_density_kg_m3(COLD_C)
    mixed_m3_kg = 1.0 / density_kg_m3(COLD_BRIX, COLD_C)
    p[at.SUGAR_M3_KG] = (mixed_m3_kg - (1.0 - fraction) * p[at.WATER_M3_KG]) / fraction


def _tanks(p: Floats, house: House) -> None:
    p[at.SAP_CAPACITY_M3], p[at.SAP_DEAD_M3], p[at.SAP_INDOORS] = _tank(house.sap_tank)
    if house.stock_tank is not None:
        p[at.STOCK_CAPACITY_M3], p[at.STOCK_DEAD_M3], p[at.STOCK_INDOORS] = _tank(house.stock_tank)
    if house.permeate_tank is not None:
        p[at.PERMEATE_CAPACITY_M3], p[at.PERMEATE_DEAD_M3], _ = _tank(house.permeate_tank)
    p[at.TANK_SHARE] = 1.0 - math.exp(-p[at.STEP_S] / TANK_LAG_S)
    p[at.REST_SHARE] = 1.0 - math.exp(-p[at.STEP_S] / PAN_REST_S)
    p[at.INDOORS_LEAST_C] = INDOORS_LEAST_C
    p[at.CROWDED_FRACTION] = CROWDED_FRACTION


def _tank(tank: Tank) -> tuple[float, float, float]:
    """Capacity, dead volume, and whether it stands indoors."""
    indoors = 1.0 if tank.place == "indoors" else 0.0
    return capacity_m3(tank), tank.count * tank.dead_volume_m3, indoors


def _keeping(p: Floats, house: House) -> None:
    p[at.GROWTH_SLOPE] = ROOT_SLOPE
    p[at.GROWTH_LEAST_C] = LEAST_TEMPERATURE_C
    p[at.SPOILED_LOG] = house.keeping.spoiled_log
    p[at.SPOILED_CELLS] = 10.0**house.keeping.spoiled_log
    p[at.HEEL_CELLS] = 10.0 ** (house.keeping.spoiled_log * house.keeping.heel_life_fraction)
    p[at.TIRED_WORTH] = house.keeping.tired_worth_fraction


def _pan(p: Floats, house: House) -> None:
    pan, fire = house.pan, house.fire
    boiling_c = boiling_point_c(0.0, standard_pressure_pa(house.site.elevation_m))
    warming_j_kg = heat_capacity_j_kg_k(2.0, COLD_C) * (boiling_c - COLD_C)
    boiled_kg_s = pan.boil_rate_m3_s * water_density_kg_m3(20.0)
    p[at.BOILING_C] = boiling_c
    p[at.FULL_HEAT_W] = boiled_kg_s * (latent_heat_j_kg(boiling_c) + warming_j_kg)
    p[at.LIGHT_UP_S] = pan.light_up_s
    p[at.BURN_DOWN_S] = pan.burn_down_s
    p[at.CLEAR_S] = pan.burn_down_s * math.log(1.0 / SAFE_HEAT_FRACTION)
    p[at.LEAST_BURN_S] = LEAST_BURN_S
    p[at.FUEL_M3_S] = p[at.FULL_HEAT_W] / (fire.heat_j_m3 * fire.efficiency_fraction)
    # The heat of a fire that dies slowly was in wood too: at least what it gives beyond its start.
    slow_s = max(0.0, pan.burn_down_s - pan.light_up_s)
    p[at.LIGHT_UP_WOOD_M3] = max(fire.light_up_wood_m3, p[at.FUEL_M3_S] * slow_s)
    p[at.BLOWER_W] = fire.blower_current_a * house.electricity.voltage_v
    p[at.COMPARTMENTS] = len(pan.compartments_m3)
    p[at.MIXING] = pan.mixing_fraction
    p[at.FINISH_FRACTION] = pan.finish_brix / 100.0
    _compartments(p, pan, boiling_c, boiled_kg_s)
    _reserve(p, house, boiled_kg_s)


def _compartments(p: Floats, pan: Pan, boiling_c: float, boiled_kg_s: float) -> None:
    """Fill in the compartments, and what draws and the length of a boiling step owe to them."""
    if pan.heat_share[-1] < LEAST_DRAW_SHARE:
        raise RangeError(
            "pan.heat_share",
            f"{100 * pan.heat_share[-1]:.3g} % for the last",
            "would make no syrup: the draw-off compartment must boil too",
            f"{100 * LEAST_DRAW_SHARE:g} % or more for the last",
        )
    masses = _compartment_masses_kg(pan, boiling_c)
    flow_kg_s, change_s = boiled_kg_s, math.inf
    for i, (mass_kg, share) in enumerate(zip(masses, pan.heat_share, strict=True)):
        p[at.COMPARTMENT_KG + i] = mass_kg
        p[at.HEAT_SHARE + i] = share
        through_kg_s = flow_kg_s * (1.0 + 2.0 * pan.mixing_fraction)
        change_s = min(change_s, mass_kg / through_kg_s)
        flow_kg_s -= boiled_kg_s * share
    if change_s < LEAST_CHANGE_S:
        raise RangeError(
            "pan.compartments",
            f"one that boils through in {change_s:.2g} s",
            "is too small for this boil rate",
            f"{LEAST_CHANGE_S:g} s or more of what flows through it",
            "Check the compartments' volumes and the boil rate.",
        )
    p[at.BOIL_STEP_S] = min(LONGEST_BOIL_S, BOIL_STEP_SHARE * change_s)
    drawn_kg = pan.draw_volume_m3 * density_kg_m3(pan.finish_brix, 20.0)
    p[at.DRAW_KG] = min(drawn_kg, masses[-1])
    p[at.DRAW_PIECES] = math.ceil(p[at.DRAW_KG] / min(masses[:-1]))


def _reserve(p: Floats, house: House, boiled_kg_s: float) -> None:
    """Feed at which the fire of a usual pan is let go, and what its burn-down boils off."""
    pan, feed = house.pan, house.stock_tank or house.sap_tank
    key = "tank.sap" if house.stock_tank is None else "tank.stock"
    tail_m3 = boiled_kg_s * pan.burn_down_s / water_density_kg_m3(COLD_C)
    dead_m3 = feed.count * feed.dead_volume_m3
    p[at.BURN_DOWN_KG] = SPARE_TAIL * boiled_kg_s * pan.burn_down_s
    p[at.RESERVE_M3] = dead_m3 + max(pan.reserve_m3, SPARE_FEED * tail_m3)
    if 1.1 * p[at.RESERVE_M3] > BRIM_FRACTION * capacity_m3(feed):
        raise RangeError(
            key,
            f"{capacity_m3(feed) * 1000:.3g} L",
            "is too small to feed this pan until its fire has died",
            f"{1.1 / BRIM_FRACTION * p[at.RESERVE_M3] * 1000:.3g} L or more",
            "Check the tank, the boil rate and burn_down of the pan.",
        )


def _compartment_masses_kg(pan: Pan, boiling_c: float) -> list[float]:
    """Liquid in each compartment while boiling, at the density of a usual gradient.

    Steady strengths without mixing are feed strength x feed flow / flow past the compartment; the
    last one stands at the finish.
    """
    flow, masses = 1.0, []
    for volume_m3, share in zip(pan.compartments_m3, pan.heat_share, strict=True):
        flow -= share
        brix = min(pan.finish_brix, 4.0 / max(flow, 0.04))
        masses.append(volume_m3 * density_kg_m3(brix, boiling_c))
    masses[-1] = pan.compartments_m3[-1] * density_kg_m3(pan.finish_brix, boiling_c)
    return masses


def _chores(p: Floats, house: House) -> None:
    places = {
        "each boil": at.CHORE_BOIL_S,
        "each membrane run": at.CHORE_RUN_S,
        "each wash": at.CHORE_WASH_S,
        "before a frost": at.CHORE_FROST_S,
        "each sap day": at.CHORE_DAY_S,
    }
    syrup_kg_m3 = density_kg_m3(house.pan.finish_brix, 20.0)
    for chore in house.chores:
        work_s = chore.duration_s * chore.people
        if chore.when in places:
            p[places[chore.when]] += work_s
        elif chore.per_m3:
            p[at.CHORE_SYRUP_S_KG] += work_s / (chore.per_m3 * syrup_kg_m3)


def _membrane(p: Floats, house: House, membrane: Membrane) -> tuple[float, ...]:
    """Fill in the membrane's parameters; return those that its operating points need, in order."""
    together_a = membrane.motor_current_a + house.fire.blower_current_a
    p[at.HAS_MEMBRANE] = 1.0
    p[at.LEAST_SAP_M3] = max(membrane.least_sap_m3, p[at.SAP_DEAD_M3])
    p[at.LEAST_FLOW_M3_S] = membrane.least_flow_m3_s
    p[at.MOST_FLOW_M3_S] = membrane.most_flow_m3_s
    p[at.LOSS_PER_S] = -math.log1p(-membrane.loss_per_hour_fraction) / 3600.0
    p[at.WASH_EVERY_S] = house.habit.wash_after_s
    p[at.RINSE_M3] = membrane.rinse_volume_m3
    p[at.RINSE_S] = membrane.rinse_duration_s
    p[at.RINSE_RECOVERY] = membrane.rinse_recovery_fraction
    p[at.WASH_M3] = membrane.wash_volume_m3
    p[at.WASH_DURATION_S] = membrane.wash_duration_s
    p[at.WASH_HANDS_S] = membrane.wash_hands_s
    p[at.WASH_RECOVERY] = membrane.wash_recovery_fraction
    p[at.START_HANDS_S] = membrane.start_hands_s
    p[at.STOP_HANDS_S] = membrane.stop_hands_s
    p[at.MAY_PASS_AGAIN] = 1.0 if membrane.passes_again else 0.0
    p[at.UNATTENDED] = 1.0 if may_run_alone(membrane) else 0.0
    p[at.MEMBRANE_OUTDOORS] = 1.0 if membrane.place == "outdoors" else 0.0
    p[at.MOTOR_W] = membrane.motor_power_w
    p[at.CONDITION_LASTING] = membrane.condition_fraction
    p[at.NOT_WITH_FIRE] = 1.0 if together_a > house.electricity.circuit_a else 0.0
    geometry = (
        membrane.exit_pressure_pa,
        membrane.recirculation_flow_m3_s,
        float(membrane.in_series),
        float(membrane.in_parallel),
        membrane.element_area_m2,
        membrane.element_length_m,
        membrane.spacer_height_m,
        membrane.spacer_porosity_fraction,
        membrane.permeability_m_s_pa,
        membrane.sugar_permeability_m_s,
        membrane.film_factor,
        membrane.friction_multiplier,
        float(CELLS_PER_ELEMENT),
    )
    p[at.GEOMETRY : at.GEOMETRY + len(geometry)] = geometry
    return geometry


def _point(house: House, gathering: Gathering) -> Floats:
    """Parameters of one gathering point."""
    point = np.zeros(at.POINT_SIZE)
    tank = gathering.tank
    if gathering.way == "gravity" or tank is None:
        return point
    point[at.OWN_TANK] = 1.0
    point[at.POINT_CAPACITY_M3], point[at.POINT_DEAD_M3], _ = _tank(tank)
    if gathering.way == "pump" and gathering.pump is not None:
        pump = gathering.pump
        point[at.EMPTYING_START_M3] = pump.start_volume_m3
        point[at.PUMP_W] = pump.current_a * house.electricity.voltage_v
        point[at.EMPTYING_M3_S] = pumped_flow_m3_s(
            pump.shutoff_head_m,
            pump.free_flow_m3_s,
            pump.lift_m,
            pump.line_bore_m,
            pump.line_length_m,
            PLASTIC_ROUGHNESS_M,
            density_kg_m3(2.0, COLD_C),
            viscosity_pa_s(2.0, COLD_C),
        )
    elif gathering.trips is not None:
        point[at.EMPTYING_START_M3] = gathering.trips.start_volume_m3
        point[at.EMPTYING_M3_S] = gathering.trips.load_m3 / gathering.trips.duration_s
        point[at.BY_HAND] = 1.0
    return point
