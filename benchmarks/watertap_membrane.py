"""The membrane beside WaterTAP's one-dimensional reverse osmosis, an independent model library.

    pip install ".[watertap]"
    python benchmarks/watertap_membrane.py

It needs an environment of its own: WaterTAP brings many packages along. Both models get the same
salt water (WaterTAP has no sugar): density, viscosity, diffusivity and osmotic pressure of its NaCl
package, of Bartholomew & Mauter (2019), put into our own flux, film, friction and march. First with
the same scheme and the same cells, which shows whether the equations agree; then our usual scheme,
four cells an element, against WaterTAP carried to infinitely fine cells, which shows what our usual
answer is worth.

WaterTAP is made to be solved by ipopt, which cannot be had with pip alone. Here its equations are
solved by the Newton method of pyomo_newton.py, so that the ratio of times says more about that
solver in Python than about WaterTAP: an order of magnitude, no more.
"""

from __future__ import annotations

import contextlib
import logging
import platform
import time
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from scipy.optimize import fsolve

from pyomo_newton import blocks, solve
from sugarwright.physics import membrane_channel, membrane_flux, membrane_march
from sugarwright.physics.membrane_channel import Channel

A_M_S_PA, B_M_S = 4e-8 / 3600.0, 0.2e-3 / 3600.0
AREA_M2, LENGTH_M, HEIGHT_M, POROSITY = 5.2, 1.8, 0.71e-3, 0.89
AIR_PA, WARM_C = 101325.0, 25.0
ELEMENTS, OUR_CELLS = 2, 8
CHANNEL = Channel(AREA_M2 / (2.0 * LENGTH_M), HEIGHT_M, POROSITY, A_M_S_PA, B_M_S, 1.0, 1.0, WARM_C)
CASES = ((0.05, 0.003, 8e5), (0.15, 0.006, 12e5))
"""Feed [kg/s], its mass fraction of salt, its gauge pressure [Pa]."""


class Outcome(NamedTuple):
    """What the membrane makes of a feed."""

    permeate_kg_s: float
    outlet_fraction: float
    drop_pa: float
    permeate_fraction: float


# --- the same salt water in our model


def salt_density(brix: float, temperature_c: float) -> float:
    return 995.0 + 7.56 * brix


def salt_viscosity(brix: float, temperature_c: float) -> float:
    return 9.80e-4 + 2.15e-5 * brix


def salt_diffusivity(brix: float, temperature_c: float) -> float:
    w = 0.01 * brix
    return 1.51e-9 + w * (-2.00e-9 + w * (3.01e-8 + w * (-1.22e-7 + w * 1.53e-7)))


def salt_osmotic_pressure(brix: float, temperature_c: float) -> float:
    w = 0.01 * brix
    coefficient = 0.918 + w * (8.89e-2 + w * 4.92)
    molality = w / (1.0 - w) / 58.44e-3
    return 2.0 * coefficient * molality * 1000.0 * 8.314462618 * (temperature_c + 273.15)


def flux_water_density(temperature_c: float) -> float:
    return 1000.0


@contextlib.contextmanager
def salt_water() -> Iterator[None]:
    """Put salt for sugar in the membrane's modules, and leave every other line as it is."""
    names: dict[str, Callable[..., float]] = {
        "density_kg_m3": salt_density,
        "viscosity_pa_s": salt_viscosity,
        "diffusivity_m2_s": salt_diffusivity,
        "osmotic_pressure_pa": salt_osmotic_pressure,
        "water_density_kg_m3": flux_water_density,
    }
    swapped = []
    for module in (membrane_channel, membrane_flux, membrane_march):
        for name, salt in names.items():
            if hasattr(module, name):
                swapped.append((module, name, getattr(module, name)))
                setattr(module, name, salt)
    try:
        yield
    finally:
        for module, name, sugar in swapped:
            setattr(module, name, sugar)


def euler_march(
    exit_brix: float, exit_pa: float, exit_m3_s: float, length_m: float, cells: int, leaf: Channel
) -> membrane_march.Sweep:
    """March as WaterTAP's backward differences do: rates at the downstream end of each cell."""
    total = exit_m3_s * membrane_march.density_kg_m3(exit_brix, leaf.temperature_c)
    sugar = exit_sugar = 0.01 * exit_brix * total
    water = exit_water = total - exit_sugar
    pressure, flux, width_m = exit_pa, 1e-6, 2.0 * leaf.width_m * length_m / cells
    for _ in range(cells):
        flux, passing, gradient = membrane_march._rates((water, sugar, pressure), flux, leaf)
        water += flux_water_density(leaf.temperature_c) * flux * width_m
        sugar += passing * width_m
        pressure += gradient * length_m / cells
    return membrane_march.Sweep(water - exit_water, sugar - exit_sugar, pressure)


def ours(
    feed: tuple[float, float, float], march: Callable[..., membrane_march.Sweep], cells: int
) -> Outcome:
    """March from the exit whose inlet is the feed; a library finds its three unknowns."""
    feed_kg_s, fraction, pressure_pa = feed

    def sweep_from(x: Any) -> tuple[float, float, membrane_march.Sweep]:
        brix, out_kg_s = 100.0 * fraction * x[0], feed_kg_s * x[1]
        volume_m3_s = out_kg_s / salt_density(brix, WARM_C)
        found = march(brix, pressure_pa * x[2], volume_m3_s, LENGTH_M, cells, CHANNEL)
        return brix, out_kg_s, found

    def miss(x: Any) -> list[float]:
        brix, out_kg_s, found = sweep_from(x)
        salt = 0.01 * brix * out_kg_s + found.permeate_sugar_kg_s
        total = out_kg_s + found.permeate_water_kg_s + found.permeate_sugar_kg_s
        return [
            total / feed_kg_s - 1.0,
            salt / (feed_kg_s * fraction) - 1.0,
            found.inlet_pressure_pa / pressure_pa - 1.0,
        ]

    x = fsolve(miss, [1.5, 0.7, 0.99], xtol=1e-12)
    brix, _, found = sweep_from(x)
    permeate = found.permeate_water_kg_s + found.permeate_sugar_kg_s
    drop_pa = found.inlet_pressure_pa - pressure_pa * x[2]
    return Outcome(permeate, 0.01 * brix, drop_pa, found.permeate_sugar_kg_s / permeate)


# --- WaterTAP


def watertap_model(feed: tuple[float, float, float], cells: int) -> Any:
    """Return WaterTAP's unit with its feed and membrane fixed, and guesses in every variable."""
    from idaes.core import FlowsheetBlock
    from pyomo.environ import ConcreteModel
    from watertap.property_models.NaCl_prop_pack import NaClParameterBlock
    from watertap.unit_models.reverse_osmosis_1D import (
        ConcentrationPolarizationType,
        MassTransferCoefficient,
        PressureChangeType,
        ReverseOsmosis1D,
    )

    feed_kg_s, fraction, pressure_pa = feed
    model = ConcreteModel()
    model.fs = FlowsheetBlock(dynamic=False)
    model.fs.properties = NaClParameterBlock()
    model.fs.unit = unit = ReverseOsmosis1D(
        property_package=model.fs.properties,
        has_pressure_change=True,
        pressure_change_type=PressureChangeType.calculated,
        mass_transfer_coefficient=MassTransferCoefficient.calculated,
        concentration_polarization_type=ConcentrationPolarizationType.calculated,
        module_type="spiral_wound",
        transformation_scheme="BACKWARD",
        transformation_method="dae.finite_difference",
        finite_elements=cells,
    )
    unit.inlet.flow_mass_phase_comp[0, "Liq", "NaCl"].fix(feed_kg_s * fraction)
    unit.inlet.flow_mass_phase_comp[0, "Liq", "H2O"].fix(feed_kg_s * (1.0 - fraction))
    unit.inlet.pressure[0].fix(AIR_PA + pressure_pa)
    unit.inlet.temperature[0].fix(WARM_C + 273.15)
    unit.permeate.pressure[0].fix(AIR_PA)
    unit.A_comp.fix(A_M_S_PA)
    unit.B_comp.fix(B_M_S)
    unit.feed_side.channel_height.fix(HEIGHT_M)
    unit.feed_side.spacer_porosity.fix(POROSITY)
    unit.area.fix(AREA_M2)
    unit.length.fix(LENGTH_M)
    _guess(unit, feed)
    return model


def _guess(unit: Any, feed: tuple[float, float, float]) -> None:
    """Start every place along the channel from the feed, and the permeate from nearly water."""
    from pyomo.environ import Var

    feed_kg_s, fraction, pressure_pa = feed
    for variable in unit.component_data_objects(Var, descend_into=True):
        if variable.fixed:
            continue
        of_permeate = "permeate" in variable.name
        salt_share = 0.02 * fraction if of_permeate else fraction
        share = salt_share if "NaCl" in variable.name else 1.0 - salt_share
        guesses = {
            "flow_mass_phase_comp": share * feed_kg_s * (0.03 if of_permeate else 1.0),
            "mass_frac_phase_comp": share,
            "conc_mass_phase_comp": 1e3 * share,
            "flux_mass_phase_comp": 1e-6 if "NaCl" in variable.name else 5e-3,
            "molality_phase_comp": salt_share / 58.44e-3,
            "pressure_osm_phase": 8e7 * salt_share,
            "flow_vol_phase": 1e-3 * feed_kg_s,
            "pressure": AIR_PA + (0.0 if of_permeate else pressure_pa),
        }
        name = variable.parent_component().local_name
        if name in guesses or variable.value is None:
            variable.set_value(guesses.get(name, 0.0), skip_validation=True)


def outcome_of(model: Any) -> Outcome:
    from pyomo.environ import value

    unit = model.fs.unit
    water, salt = (value(unit.permeate.flow_mass_phase_comp[0, "Liq", j]) for j in ("H2O", "NaCl"))
    out_water, out_salt = (
        value(unit.retentate.flow_mass_phase_comp[0, "Liq", j]) for j in ("H2O", "NaCl")
    )
    drop_pa = value(unit.inlet.pressure[0]) - value(unit.retentate.pressure[0])
    return Outcome(water + salt, out_salt / (out_water + out_salt), drop_pa, salt / (water + salt))


def watertap(feed: tuple[float, float, float], cells: int) -> tuple[Outcome, float, float]:
    """Return WaterTAP's outcome, and the seconds of a first and of a warm solve."""
    model = watertap_model(feed, cells)
    start = time.perf_counter()
    solve(model)
    first_s = time.perf_counter() - start
    order = blocks(model)
    model.fs.unit.inlet.pressure[0].fix(AIR_PA + 1.02 * feed[2])
    start = time.perf_counter()
    solve(model, order)
    warm_s = time.perf_counter() - start
    model.fs.unit.inlet.pressure[0].fix(AIR_PA + feed[2])
    solve(model, order)
    return outcome_of(model), first_s, warm_s


# --- the comparison


def to_fine_cells(coarse: Outcome, middle: Outcome, fine: Outcome) -> Outcome:
    """Carry a scheme of first order to infinitely fine cells from three runs, each twice as fine.

    Twice Richardson: the first removes the error by the cell, the second that by its square.
    """
    once = [2.0 * b - a for a, b in zip(coarse, middle, strict=True)]
    again = [2.0 * b - a for a, b in zip(middle, fine, strict=True)]
    return Outcome(*((4.0 * b - a) / 3.0 for a, b in zip(once, again, strict=True)))


def difference(found: Outcome, other: Outcome) -> str:
    parts = [100.0 * (a / b - 1.0) for a, b in zip(found, other, strict=True)]
    names = ("permeate", "outlet strength", "pressure drop", "permeate strength")
    return ", ".join(f"{name} {part:+.4f} %" for name, part in zip(names, parts, strict=True))


def compare(feed: tuple[float, float, float]) -> None:
    print(f"feed {feed[0]:g} kg/s, {feed[1]:g} salt, {feed[2] / 1e5:g} bar")
    found = {cells: watertap(feed, cells) for cells in (10, 20, 40)}
    with salt_water():
        for cells in (10, 40):
            same = ours(feed, euler_march, cells)
            print(f"  same scheme, {cells} cells: {difference(same, found[cells][0])}")
        usual = ours(feed, membrane_march.march, OUR_CELLS)
        start = time.perf_counter()
        for _ in range(20):
            ours(feed, membrane_march.march, OUR_CELLS)
        ours_s = (time.perf_counter() - start) / 20
    fine = to_fine_cells(*(found[cells][0] for cells in (10, 20, 40)))
    print(f"  WaterTAP at 10 cells against its own finest: {difference(found[10][0], fine)}")
    print(f"  our usual {OUR_CELLS} cells against the same:     {difference(usual, fine)}")
    for cells in (10, 40):
        _, first_s, warm_s = found[cells]
        print(
            f"  {cells} cells: WaterTAP with our Newton {first_s:.2f} s, again {warm_s:.2f} s; "
            f"ours in plain Python {ours_s * 1e3:.1f} ms: {warm_s / ours_s:,.0f} times"
        )


def main() -> None:
    logging.disable(logging.WARNING)
    print(f"{platform.platform()}, Python {platform.python_version()}")
    for feed in CASES:
        compare(feed)
    print(
        "Compared: the transport of salt (not sugar) along one channel at 25 °C. WaterTAP's\n"
        "equations were solved by a Newton method in Python, not by ipopt: the times are no\n"
        "measure of WaterTAP as it is meant to be run."
    )


if __name__ == "__main__":
    main()
