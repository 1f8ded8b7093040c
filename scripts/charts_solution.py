"""Charts of the pages on solutions of sugar: density, frost, boiling, instruments, flow."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from sugarwright.physics.activity import (
    freezing_point_c,
    osmotic_pressure_pa,
    thermodynamic_factor,
)
from sugarwright.physics.boiling import boiling_point_rise_k
from sugarwright.physics.hydrometer import GLASS_EXPANSION_PER_K, hydrometer_reading_brix
from sugarwright.physics.optics import refractive_index, refractometer_correction_brix
from sugarwright.physics.solubility import solubility_brix
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import diffusivity_m2_s, viscosity_pa_s
from svg_plot import Axis, Point, Series, draw

Table = Callable[[str, str], Any]
ATMOSPHERE_PA = 101325.0
AT_60_F = (60.0 - 32.0) / 1.8
BRIX = "strength, Brix"
CELSIUS = "temperature, °C"


def curve(
    formula: Callable[[float], float], least: float, greatest: float, unit: float = 1.0
) -> list[Point]:
    """Return 121 points of a formula, its values counted in a unit."""
    step = (greatest - least) / 120.0
    return [(x, formula(x) / unit) for x in (least + step * i for i in range(121))]


def density(table: Table) -> str:
    """Draw density less two tables at 20 °C."""
    water = density_kg_m3(0.0, 20.0)
    crc = [(b, density_kg_m3(b, 20.0) - 1e3 * d)
           for b, d in table("test_solution", "CRC_DENSITY").items()]  # fmt: skip
    asadi = [(b, density_kg_m3(b, 20.0) - water * g)
             for b, g in table("test_solution", "GRAVITY_20_20").items()]  # fmt: skip
    series = [
        Series("no difference", [(0.0, 0.0), (82.0, 0.0)], "line", 4),
        Series("tolerance of the tests, 0.4", [(0.0, 0.4), (70.0, 0.4)], "dash", 4),
        Series("", [(0.0, -0.4), (70.0, -0.4)], "dash", 4),
        Series("CRC Handbook, 102nd ed.", crc, "point", 0),
        Series("Asadi (2007), specific gravity", asadi, "open", 1),
    ]
    y = Axis("formula less table, kg/m³", -0.6, 1.0)
    return draw("Density at 20 °C: how far from the handbooks", Axis(BRIX, 0, 82), y, series)


def density_hot(table: Table) -> str:
    """Draw density over temperature, with what the hydrometer charts imply."""

    def implied(name: str) -> list[Point]:
        found = []
        for fahrenheit, reading in table("test_hydrometer", name).items():
            t = (fahrenheit - 32.0) / 1.8
            swelling = 1.0 + GLASS_EXPANSION_PER_K * (t - AT_60_F)
            found.append((t, density_kg_m3(reading, AT_60_F) / swelling))
        return found

    series = [
        Series("66.9 Brix", curve(partial(density_kg_m3, 66.9), -5, 110), "line", 0),
        Series("hydrometer chart, 66.9", implied("STATE_66_9"), "point", 0),
        Series("66.0 Brix", curve(partial(density_kg_m3, 66.0), -5, 110), "line", 1),
        Series("hydrometer chart, 66.0", implied("CHART_66_0"), "point", 1),
    ]
    y = Axis("density, kg/m³", 1260, 1345)
    title = "Hot syrup: the density that state hydrometer charts imply"
    return draw(title, Axis(CELSIUS, -5, 110), y, series, "sw")


def freezing(table: Table) -> str:
    """Draw the freezing point."""
    points = [(b, -d) for b, d in table("test_activity", "CRC_FREEZING").items()]
    series = [
        Series("model", curve(freezing_point_c, 0, 45), "line", 0),
        Series("CRC Handbook, 102nd ed.", points, "point", 1),
    ]
    return draw("Freezing point", Axis(BRIX, 0, 45), Axis(CELSIUS, -6, 0), series, "sw")


def osmosis(table: Table) -> str:
    """Draw osmotic pressure at 0 °C."""
    atm_bar, molar = 1.01325, 342.2965

    def brix_of_litre(grams: float) -> float:
        brix = 50.0
        for _ in range(60):
            brix = 100.0 * grams / density_kg_m3(brix, 0.0)
        return brix

    hartley = [(brix_of_litre(g), p * atm_bar)
               for g, p in table("test_activity", "BERKELEY_HARTLEY").items()]  # fmt: skip
    morse = [(100.0 * m * molar / (1000.0 + m * molar), p * atm_bar)
             for t, m, p in table("test_activity", "MORSE") if t == 0.0]  # fmt: skip
    ideal = curve(lambda b: b / 100 * density_kg_m3(b, 0.0) / molar * 8.3145e-2 * 273.15, 0, 60)
    series = [
        Series("model", curve(lambda b: osmotic_pressure_pa(b, 0.0) / 1e5, 0, 60), "line", 0),
        Series("plain law, c R T", ideal, "dash", 4),
        Series("Berkeley & Hartley (from memory)", hartley, "point", 1),
        Series("Morse et al. (from memory)", morse, "open", 2),
    ]
    y = Axis("osmotic pressure, bar", 0, 140)
    return draw("Osmotic pressure at 0 °C", Axis(BRIX, 0, 60), y, series)


def solubility(table: Table) -> str:
    """Draw what water can hold."""
    points = list(table("test_solubility", "SOKOLOVSKY").items())
    series = [
        Series("model", curve(solubility_brix, 0, 100), "line", 0),
        Series("Sokolovsky (1958), in Mohos (2010)", points, "point", 1),
        Series("66.9 Brix", [(0.0, 66.9), (100.0, 66.9)], "dash", 4),
    ]
    y = Axis("saturated solution, Brix", 62, 84)
    return draw("Solubility of sucrose", Axis(CELSIUS, 0, 100), y, series)


def boiling_rise(table: Table) -> str:
    """Draw the boiling point rise at sea level."""
    points = list(table("test_boiling", "CLAASSEN").items())
    maple = [(67.0, 104.2 - 99.974), (66.0, 7.1 / 1.8)]
    model = curve(lambda b: boiling_point_rise_k(b, ATMOSPHERE_PA), 0, 82)
    series = [
        Series("model, pure sucrose", model, "line", 0),
        Series("sugar handbooks after Claassen (from memory)", points, "point", 1),
        Series("maple extension: 104.2 °C at 67; 7.1 °F at 66.0", maple, "open", 2),
    ]
    y = Axis("above boiling water, K", 0, 11)
    return draw("Boiling point rise at 101 325 Pa", Axis(BRIX, 0, 82), y, series)


def hydrometer(table: Table) -> str:
    """Draw what a hydrometer for 60 °F shows in warm syrup."""
    series = []
    for colour, (brix, name) in enumerate([(66.9, "STATE_66_9"), (66.0, "CHART_66_0")]):
        points = [((f - 32) / 1.8, r) for f, r in table("test_hydrometer", name).items()]
        reading = partial(hydrometer_reading_brix, brix, calibration_c=AT_60_F)
        model = curve(reading, 4, 102)
        series.append(Series(f"model, {brix} Brix", model, "line", colour))
        series.append(Series(f"state chart, {brix} Brix", points, "point", colour))
    y = Axis("reading, Brix", 57, 68)
    title = "Hydrometer for 60 °F in syrup: reading by temperature"
    return draw(title, Axis(CELSIUS, 4, 102), y, series, "sw")


def refractometer(table: Table) -> str:
    """Draw the correction of a refractometer."""
    strengths = table("test_optics", "OIV_STRENGTHS")
    rows = table("test_optics", "OIV_CORRECTION")
    series = []
    for colour, brix in enumerate((10.0, 30.0, 65.0)):
        column = strengths.index(brix)
        model = curve(partial(refractometer_correction_brix, brix), 5, 30)
        points = [(t, row[column]) for t, row in rows.items()]
        series.append(Series(f"model, {brix:g} Brix", model, "line", colour))
        series.append(Series("OIV table I", points, "point", colour))
    y = Axis("to add to the reading, Brix", -1.2, 1.0)
    title = "Refractometer without compensation: correction"
    return draw(title, Axis(CELSIUS, 5, 30), y, series)


def index(table: Table) -> str:
    """Draw how far the refractive index is from three tables."""
    shown = [("OIV_INDEX", "OIV table II", "point", 0),
             ("ICUMSA_INDEX", "ICUMSA 1974 (from memory)", "point", 2),
             ("CRC_INDEX", "CRC Handbook (four decimals)", "open", 1)]  # fmt: skip
    series = [Series("no difference", [(0.0, 0.0), (88.0, 0.0)], "line", 4)]
    for name, label, look, colour in shown:
        points = [(b, 1e5 * (refractive_index(b) - n))
                  for b, n in table("test_optics", name).items()]  # fmt: skip
        series.append(Series(label, points, look, colour))
    y = Axis("formula less table, 1e-5", -15, 15)
    return draw("Refractive index at 20 °C", Axis(BRIX, 0, 88), y, series)


def viscosity(table: Table) -> str:
    """Draw viscosity over temperature for three strengths."""
    handbook = table("test_transport", "WARM_VISCOSITY")
    critical = table("test_transport", "CRITICAL_TABLES")
    series = []
    for colour, brix in enumerate((20, 40, 60)):
        model = curve(partial(viscosity_pa_s, float(brix)), -5, 110, 1e-3)
        series.append(Series(f"model, {brix} Brix", model, "line", colour))
        for name, values, look in (("handbook", handbook, "point"), ("ICT", critical, "open")):
            points = [(t, v) for (b, t), v in values.items() if b == brix]
            label = {"handbook": "Handbook of Chemistry and Physics", "ICT": "Critical Tables"}[
                name
            ]
            series.append(Series(label if colour == 0 else "", points, look, colour))
    y = Axis("viscosity, mPa s", 0.3, 300, logarithmic=True)
    return draw("Viscosity", Axis(CELSIUS, -5, 110), y, series, "ne")


def diffusion(table: Table) -> str:
    """Draw diffusion at no strength and in concentrate."""
    points = list(table("test_transport", "DIFFUSION").items())
    cold = [(1.0, 0.242), (25.0, 0.5226)]
    series = [
        Series(
            f"model, {brix:g} Brix", curve(partial(diffusivity_m2_s, brix), -5, 110, 1e-9), look, 0
        )
        for brix, look in ((0.0, "line"), (20.0, "dash"))
    ]
    series += [
        Series("Ribeiro et al. (2006), no strength", points, "point", 1),
        Series("Gosting & Morris (1949, from memory)", cold, "open", 2),
    ]
    y = Axis("diffusion coefficient, 1e-9 m²/s", 0, 2.4)
    return draw("Diffusion of sucrose in water", Axis(CELSIUS, -5, 110), y, series)


def diffusion_strong(table: Table) -> str:
    """Draw diffusion over strength at 25 °C, between its two bounds."""

    def measured(brix: float) -> float:
        return 0.5226 * (1.0 - 1.48e-4 * brix * density_kg_m3(brix, 25.0) / 10.0)

    def stokes_einstein(brix: float) -> float:
        thick = viscosity_pa_s(brix, 25.0) / viscosity_pa_s(0.0, 25.0)
        return 0.5226 / thick * thermodynamic_factor(brix, 25.0)

    series = [
        Series("model", curve(lambda b: diffusivity_m2_s(b, 25.0), 0, 70, 1e-9), "line", 0),
        Series("Stokes-Einstein in full", curve(stokes_einstein, 0, 70), "dash", 4),
        Series("Gosting & Morris (1949, from memory)",
               [(b, measured(b)) for b in (0.0, 1.0, 2.0, 4.0, 5.9)], "open", 2),
    ]  # fmt: skip
    y = Axis("diffusion coefficient, 1e-9 m²/s", 0.001, 1.0, logarithmic=True)
    return draw(
        "Diffusion by strength at 25 °C: measured to 6 Brix", Axis(BRIX, 0, 70), y, series, "sw"
    )


CHARTS: dict[str, Callable[[Table], str]] = {
    "density": density,
    "density-hot": density_hot,
    "freezing": freezing,
    "osmosis": osmosis,
    "solubility": solubility,
    "boiling-rise": boiling_rise,
    "hydrometer": hydrometer,
    "refractometer": refractometer,
    "refractive-index": index,
    "viscosity": viscosity,
    "diffusion": diffusion,
    "diffusion-strong": diffusion_strong,
}
