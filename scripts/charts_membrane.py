"""Charts of the page on the membrane."""

from __future__ import annotations

from collections.abc import Callable

from charts_solution import BRIX, Table
from sugarwright.physics.membrane_built import Built, point_of
from sugarwright.physics.membrane_channel import friction_factor, permeability_at
from sugarwright.physics.membrane_settings import pressure_for_brix
from svg_plot import Axis, Point, Series, draw

GAL_H = 3.785411784e-3 / 3600.0
STEPS = 24


def _machine(elements: int, loop_gal_h: float) -> Built:
    leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600)
    return Built(loop_gal_h * GAL_H, elements, 1, *leaf, 1.0, 1.0, 1.0, 4)


def _between(least: float, greatest: float, formula: Callable[[float], float]) -> list[Point]:
    """Return a curve of few points, since each is a membrane solved."""
    step = (greatest - least) / STEPS
    return [(x, formula(x)) for x in (least + step * i for i in range(STEPS + 1))]


def valve(table: Table) -> str:
    """Draw the strength of the concentrate over the valve's flow."""

    def brix(temperature_c: float) -> Callable[[float], float]:
        return lambda gal_min: (
            point_of(
                2.0, temperature_c, 8.3e5, 60.0 * gal_min * GAL_H, _machine(2, 0.0)
            ).concentrate_brix
        )

    second = [
        (flow, strength) for flow, strength, _ in table("test_membrane_settings", "SWEEP_ROWS")
    ]
    series = [
        Series("sap of 2 Brix and 5 °C", _between(0.15, 1.0, brix(5.0)), "line", 0),
        Series("0.5 and 15 °C", _between(0.15, 1.0, brix(15.0)), "dash", 4),
        Series("", _between(0.15, 1.0, brix(0.5)), "dash", 4),
        Series("second calculation, 5 °C", second, "point", 0),
    ]
    x = Axis("valve, US gal/min", 0.1, 1.0)
    return draw("Two 2.5 x 40 in elements at 8.3 bar", x, Axis(BRIX, 2, 7), series, "ne")


def pressure(table: Table) -> str:
    """Draw the gauge pressure that a strength takes."""

    def bar(elements: int) -> Callable[[float], float]:
        built = _machine(elements, 120.0)
        return lambda b: pressure_for_brix(b, 2.0, 5.0, 24.0 * GAL_H, built) / 1e5

    second = table("test_membrane_settings", "WANTED_ROWS")
    series = [
        Series("four elements", _between(2.6, 12.5, bar(4)), "line", 0),
        Series("six", _between(2.6, 12.5, bar(6)), "dash", 4),
        Series("second calculation, four", second, "point", 0),
    ]
    x, y = Axis(BRIX, 2, 13), Axis("gauge at the valve, bar", 0, 40)
    return draw("Pressure for a strength: 24 gal/h of concentrate from 2 Brix, 5 °C", x, y, series)


def warmth(table: Table) -> str:
    """Draw how permeability follows temperature."""
    makers = table("test_membrane", "TEMPERATURE_FACTORS")
    series = [
        Series("model", _between(0.0, 40.0, lambda t: permeability_at(1.0, t)), "line", 0),
        Series("equations of a maker of elements", makers, "point", 0),
    ]
    x, y = Axis("°C", 0, 40), Axis("permeability against 25 °C", 0.2, 1.6)
    return draw("Cold sap passes at half the rate", x, y, series)


def channel(table: Table) -> str:
    """Draw the friction factor of the channel beside the other correlation in use."""
    flat, spiral = [], []
    for step in range(61):
        reynolds = 10.0 * 50.0 ** (step / 60.0)
        flat.append((reynolds, friction_factor(reynolds)))
        spiral.append((reynolds, 6.23 * reynolds**-0.3))
    series = [
        Series("used: 0.42 + 189.3/Re", flat, "line", 0),
        Series("Schock & Miquel 1987: 6.23 Re^-0.3", spiral, "dash", 1),
        Series("WaterTAP 1.8 at Re 48.74", [(48.74, 4.304)], "point", 0),
    ]
    x, y = Axis("Reynolds number", 10, 500, logarithmic=True), Axis("Darcy friction factor", 0, 12)
    return draw(
        "Friction in the channel: the two part at a small machine's flows", x, y, series, "ne"
    )


CHARTS: dict[str, Callable[[Table], str]] = {
    "membrane-valve": valve,
    "membrane-pressure": pressure,
    "membrane-warmth": warmth,
    "membrane-friction": channel,
}
