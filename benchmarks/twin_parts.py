"""Tanks and pan of the SimPy twin, as objects (see ``simpy_twin``)."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.keeping import LEAST_TEMPERATURE_C, ROOT_SLOPE, growth_rate_per_s
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import heat_capacity_j_kg_k
from sugarwright.physics.water import latent_heat_j_kg, water_density_kg_m3
from sugarwright.plant import assemble, pan_kernel
from sugarwright.plant.house import House
from sugarwright.plant.house_tank import Tank as TankAsDescribed
from sugarwright.plant.tanks import capacity_m3

COLD_C = assemble.COLD_C


class Tank:
    """A mixed tank: water, sugar, cells relative to fresh sap, temperature."""

    def __init__(self, tank: TankAsDescribed) -> None:
        self.capacity_m3 = capacity_m3(tank)
        self.dead_m3 = tank.count * tank.dead_volume_m3
        self.indoors = tank.place == "indoors"
        self.water_kg = self.sugar_kg = 0.0
        self.cells, self.temperature_c = 1.0, COLD_C

    @property
    def mass_kg(self) -> float:
        return self.water_kg + self.sugar_kg

    @property
    def sugar_fraction(self) -> float:
        return self.sugar_kg / self.mass_kg if self.mass_kg > 0.0 else 0.0

    @property
    def volume_m3(self) -> float:
        return self.mass_kg / density_kg_m3(100.0 * self.sugar_fraction, COLD_C)

    def mass_above_kg(self, level_m3: float) -> float:
        """Mass that can flow out before the level is reached."""
        volume_m3 = self.volume_m3
        return self.mass_kg * (1.0 - level_m3 / volume_m3) if volume_m3 > level_m3 else 0.0

    def pour(self, water_kg: float, sugar_kg: float, cells: float, temperature_c: float) -> None:
        """Mix a parcel in; what does not fit runs over."""
        added_kg = water_kg + sugar_kg
        if added_kg <= 0.0:
            return
        share = added_kg / (self.mass_kg + added_kg)
        self.cells += share * (cells - self.cells)
        self.temperature_c += share * (temperature_c - self.temperature_c)
        self.water_kg += water_kg
        self.sugar_kg += sugar_kg
        if self.volume_m3 > self.capacity_m3:
            self.take(self.mass_above_kg(self.capacity_m3))

    def take(self, mass_kg: float) -> tuple[float, float]:
        """Take some out; return its water and sugar."""
        if self.mass_kg <= 0.0:
            return 0.0, 0.0
        share = min(1.0, mass_kg / self.mass_kg)
        water_kg, sugar_kg = share * self.water_kg, share * self.sugar_kg
        self.water_kg -= water_kg
        self.sugar_kg -= sugar_kg
        return water_kg, sugar_kg

    def age(self, air_c: float, duration_s: float) -> None:
        """Follow the air, and let the cells grow."""
        if self.water_kg <= 0.0:
            return
        ambient_c = max(air_c, assemble.INDOORS_LEAST_C) if self.indoors else air_c
        share = 1.0 - math.exp(-duration_s / assemble.TANK_LAG_S)
        self.temperature_c = max(0.0, self.temperature_c + share * (ambient_c - self.temperature_c))
        if self.temperature_c > 0.0:
            rate = growth_rate_per_s(self.temperature_c, ROOT_SLOPE, LEAST_TEMPERATURE_C)
            self.cells = min(1e6, self.cells * math.exp(rate * duration_s))


@dataclass
class Pan:
    """The pan and the fire under it."""

    masses_kg: list[float]
    shares: list[float]
    boiling_c: float
    full_heat_w: float
    filled: bool = False
    temperature_c: float = COLD_C
    stoked: bool = False
    heat_w: float = 0.0
    sugar_kg: list[float] = field(default_factory=list)
    scratch: list[float] = field(default_factory=list)

    @classmethod
    def of(cls, house: House) -> Pan:
        """Size the pan; liquid gets denser from feed to draw-off as on a usual day."""
        pan = house.pan
        boiling_c = boiling_point_c(0.0, standard_pressure_pa(house.site.elevation_m))
        flow, masses_kg = 1.0, []
        for volume_m3, share in zip(pan.compartments_m3, pan.heat_share, strict=True):
            flow -= share
            brix = min(pan.finish_brix, 4.0 / max(flow, 0.04))
            masses_kg.append(volume_m3 * density_kg_m3(brix, boiling_c))
        masses_kg[-1] = pan.compartments_m3[-1] * density_kg_m3(pan.finish_brix, boiling_c)
        warming_j_kg = heat_capacity_j_kg_k(2.0, COLD_C) * (boiling_c - COLD_C)
        boiled_kg_s = pan.boil_rate_m3_s * water_density_kg_m3(20.0)
        full_heat_w = boiled_kg_s * (latent_heat_j_kg(boiling_c) + warming_j_kg)
        count = len(masses_kg)
        return cls(
            masses_kg, list(pan.heat_share), boiling_c, full_heat_w,
            sugar_kg=[0.0] * count, scratch=[0.0] * (3 * count),
        )  # fmt: skip

    @property
    def mass_kg(self) -> float:
        return sum(self.masses_kg)

    @property
    def lit(self) -> bool:
        """Whether somebody must stay with it."""
        return self.stoked or self.heat_w > pan_kernel.SAFE_HEAT_FRACTION * self.full_heat_w

    def rest(self, air_c: float, duration_s: float) -> None:
        """Cool and even out while nothing burns."""
        share = 1.0 - math.exp(-duration_s / assemble.PAN_REST_S)
        strength = sum(self.sugar_kg) / self.mass_kg
        indoors_c = max(air_c, assemble.INDOORS_LEAST_C)
        self.temperature_c += share * (indoors_c - self.temperature_c)
        for i, mass_kg in enumerate(self.masses_kg):
            self.sugar_kg[i] += share * (strength * mass_kg - self.sugar_kg[i])
