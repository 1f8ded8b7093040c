"""Charts of the pages on the pan and its fuel."""

from __future__ import annotations

from collections.abc import Callable

from charts_solution import BRIX, Table, curve
from sugarwright.physics.fuel import (
    electric_energy_j,
    fuel_volume_m3,
    moisture_from_dry_basis,
    net_wood_heat_j_kg,
    stacked_wood_heat_j_m3,
    syrup_by_fuel_ratio,
    syrup_heat_j_m3,
)
from sugarwright.physics.fuel_data import (
    CORD_SOLID_FRACTION,
    ELECTRIC_EFFICIENCY_FRACTION,
    FUELS,
    HARDWOOD_J_KG,
    WOODS,
)
from sugarwright.physics.pan import advance_compartments
from sugarwright.physics.preheat import preheating_factor
from sugarwright.physics.solution import sap_to_syrup_ratio
from svg_plot import Axis, Point, Series, draw

BTU_J, GALLON_M3, CORD_M3 = 1055.056, 3.785411784e-3, 3.624556363776


def syrup_per_cord(table: Table) -> str:
    """Draw gallons of syrup to the cord over the strength of the feed."""

    def gallons(efficiency: float) -> Callable[[float], float]:
        heat_j_m3 = 20e6 * BTU_J / CORD_M3
        unit = CORD_M3 / GALLON_M3
        return lambda b: unit * syrup_by_fuel_ratio(heat_j_m3, efficiency, b, 66.0, 4.0, 99.974)

    second = [(b, cord) for b, (cord, _) in table("test_fuel", "STATIC").items()]
    series = [
        Series("45 % of 20 million Btu reach the sap", curve(gallons(0.45), 1.4, 8), "line", 0),
        Series("40 and 60 %", curve(gallons(0.40), 1.4, 8), "dash", 4),
        Series("", curve(gallons(0.60), 1.4, 8), "dash", 4),
        Series("second calculation, 45 %", second, "point", 0),
        Series("Ohio State extension: 22 at 2 %", [(2.0, 22.0)], "open", 1),
    ]
    y = Axis("US gallons of 66 Brix from a cord", 0, 120)
    return draw("Syrup to the cord, light-ups left out", Axis(BRIX, 1, 8), y, series)


def gradient(table: Table) -> str:
    """Draw how a pan of five compartments sweetens from sap to its first draw."""
    mass, share = [42.0, 42.0, 5.2, 5.4, 6.2], [0.36, 0.30, 0.12, 0.12, 0.10]
    sugar, work, feed = [0.02 * each for each in mass], [0.0] * 15, 0.02
    rows: list[list[Point]] = [[] for _ in mass]
    for minute in range(361):
        for row, each, kg in zip(rows, sugar, mass, strict=True):
            row.append((minute / 60.0, 100.0 * each / kg))
        if sugar[-1] > 0.66 * mass[-1]:
            break
        advance_compartments(sugar, mass, share, 0.0262, 0.152, feed, 0.15, 60.0, work)
    first = table("test_pan", "SECOND_MODEL")[2.0][0]  # from lighting up: 0.4 h to the boil
    series = [
        *(Series(f"compartment {i + 1}", row, "line", i) for i, row in enumerate(rows)),
        Series("first draw of a second model", [(first - 0.4, 66.0)], "open", 1),
    ]
    y = Axis("strength, Brix", 0, 80)
    title = "A pan of 26 gal sweetens: 25 gal/h boiled off, sap of 2 Brix"
    return draw(title, Axis("hours since the boil", 0, 4.5), y, series)


def preheating(table: Table) -> str:
    """Draw the gain of a preheater over the feed's temperature."""
    gain = curve(lambda t: 100 * preheating_factor(4.0, t, 99.97, 4137.0) - 100, 4, 99.9)
    reports = [("USDA Forest Service, heat exchangers: 15 and 17 %", 15.0, 1), ("", 17.0, 1),
               ("field trial on a wood arch: 8 %", 8.0, 2)]  # fmt: skip
    series = [
        Series("heat balance, feed from 4 °C", gain, "line", 0),
        *(Series(label, [(4.0, y), (99.9, y)], "dash", c) for label, y, c in reports),
    ]
    y = Axis("more water boiled off, %", 0, 25)
    title = "Preheating the feed: what it can give, and what is reported"
    return draw(title, Axis("feed into the pan, °C", 0, 100), y, series)


def cords(table: Table) -> str:
    """Draw net heat of a cord against a trade table, one point a species."""
    printed = table("test_fuel", "FIREWOOD")
    points = []
    for wood in WOODS:
        if wood.name in printed:
            heat = stacked_wood_heat_j_m3(
                wood.dry_density_kg_m3, wood.dry_heat_j_kg, 0.20, CORD_SOLID_FRACTION
            )
            points.append((printed[wood.name][1], heat * CORD_M3 / BTU_J / 1e6))
    series = [
        Series("equal", [(17.0, 17.0), (28.0, 28.0)], "line", 4),
        Series("10 % either way", [(17.0, 18.7), (28.0, 30.8)], "dash", 4),
        Series("", [(17.0, 15.3), (28.0, 25.2)], "dash", 4),
        Series("ten hardwoods", points, "point", 0),
    ]
    x = Axis("trade firewood table, million Btu to the cord", 18, 27)
    y = Axis("model, million Btu to the cord", 18, 28)
    return draw("Net heat of a cord at 20 % moisture", x, y, series)


def wet_wood(table: Table) -> str:
    """Draw heat of wet wood against dry wood."""
    dry = net_wood_heat_j_kg(0.0, HARDWOOD_J_KG)

    def by_weight(dry_basis: float) -> float:
        moisture = moisture_from_dry_basis(dry_basis / 100.0)
        return 100.0 * net_wood_heat_j_kg(moisture, HARDWOOD_J_KG) / dry

    def by_volume(dry_basis: float) -> float:
        return by_weight(dry_basis) * (1.0 + dry_basis / 100.0)

    series = [
        Series("model, by volume", curve(by_volume, 0, 120), "line", 0),
        Series("engineering table, by volume", [(20, 97), (50, 92), (100, 85)], "point", 0),
        Series("model, by weight", curve(by_weight, 0, 120), "line", 1),
        Series("engineering table, by weight", [(20, 81), (50, 62), (100, 42)], "point", 1),
    ]
    x = Axis("moisture, % of dry weight", 0, 120)
    y = Axis("net heat, % of dry wood", 0, 105)
    return draw("What water takes from wood", x, y, series, "sw")


TABLES_HEAD = """\
# Syrup by fuel, and heat in wood

Made by `python scripts/plot_models.py` from `physics/fuel.py` and `physics/fuel_data.py`, which
name the sources; explained in [fuel](fuel.md). Static sums: no light-up, no burn-down, a clean pan.

## For one US gallon of 66 Brix syrup

Feed at 4 °C, boiling at sea level. Cords of 20 million Btu at 40 %.

| feed, Brix | sap, gal | heat, 1000 Btu | syrup to the cord, gal | oil, gal | propane, gal | kWh |
|---|---|---|---|---|---|---|
"""
WOODS_HEAD = """
## Net heat of a cord, million Btu

85 ft³ of wood to the cord; moisture by mass of the wet wood.

| wood | dry, kg/m³ | at 20 % | at 30 % | at 40 % |
|---|---|---|---|---|
"""


def fuel_tables() -> str:
    """Return the page of tables: syrup by fuel, and heat in wood."""
    rows = []
    for brix in (1.5, 2.0, 2.5, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0):
        useful_j = syrup_heat_j_m3(brix, 66.0, 4.0, 99.974) * GALLON_M3
        cord_m3 = fuel_volume_m3(useful_j, 20e6 * BTU_J / CORD_M3, 0.40)
        oil, propane = (
            fuel_volume_m3(useful_j, fuel.heat_j_m3, fuel.efficiency_fraction) / GALLON_M3
            for fuel in FUELS[:2]
        )
        power = electric_energy_j(useful_j, ELECTRIC_EFFICIENCY_FRACTION) / 3.6e6
        rows.append(
            f"| {brix:g} | {sap_to_syrup_ratio(brix, 66.0):.1f} | {useful_j / BTU_J / 1e3:.0f} "
            f"| {CORD_M3 / cord_m3:.1f} | {oil:.2f} | {propane:.2f} | {power:.0f} |"
        )
    woods = []
    for wood in WOODS:
        heats = [
            stacked_wood_heat_j_m3(
                wood.dry_density_kg_m3, wood.dry_heat_j_kg, moisture, CORD_SOLID_FRACTION
            )
            for moisture in (0.20, 0.30, 0.40)
        ]
        cells = " | ".join(f"{heat * CORD_M3 / BTU_J / 1e6:.1f}" for heat in heats)
        woods.append(f"| {wood.name} | {wood.dry_density_kg_m3:.0f} | {cells} |")
    return TABLES_HEAD + "\n".join(rows) + "\n" + WOODS_HEAD + "\n".join(woods) + "\n"


CHARTS: dict[str, Callable[[Table], str]] = {
    "syrup-per-cord": syrup_per_cord,
    "gradient": gradient,
    "preheating": preheating,
    "cords": cords,
    "wet-wood": wet_wood,
}
