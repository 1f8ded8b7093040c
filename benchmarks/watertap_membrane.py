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

import logging
import platform
import time
from typing import Any

from pyomo_newton import blocks, solve
from salt_membrane import (
    A_M_S_PA,
    AIR_PA,
    AREA_M2,
    B_M_S,
    CASES,
    HEIGHT_M,
    LENGTH_M,
    OUR_CELLS,
    POROSITY,
    WARM_C,
    Outcome,
    euler_march,
    ours,
    salt_water,
)
from sugarwright.physics.membrane_march import march


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
        usual = ours(feed, march, OUR_CELLS)
        start = time.perf_counter()
        for _ in range(20):
            ours(feed, march, OUR_CELLS)
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
