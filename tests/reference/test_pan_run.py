"""A pan run for hours: sweetening, draws and the chase, against a second model and by hand."""

from __future__ import annotations

import math

import pytest

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.pan_run import PanBuilt, PanRun, run_pan

GALLON_KG = 5.0068  # US gallon of 66.0 Brix at 20 °C: 1.32266 kg/L (ICUMSA SPS-4)
PAN = PanBuilt([42.0, 42.0, 5.2, 5.4, 6.2], [0.36, 0.30, 0.12, 0.12, 0.10], 0.15, 0.66, 2.0)
BOILED_KG_S = 25.0 * 3.785 / 3600.0
HOUR_S = 3600.0

# What an independent model (see test_pan.py) loses before it boils in full: 12 min of its light-up
# and the heat that brings 26 gal to the boil, 98 kg x 4.1 kJ/(kg K) x 96 K at 70 kW, 9 min.
WARMING_H = 0.35
SECOND_MODEL = {2.0: (4.28, 5.75), 3.0: (3.33, 9.59), 4.0: (2.81, 13.5), 6.0: (2.24, 21.9)}


def run_from(
    brix: list[float], feed_brix: float, hours: float, pan: PanBuilt = PAN
) -> tuple[PanRun, list[float]]:
    sugar = [0.01 * each * kg for each, kg in zip(brix, pan.mass_kg, strict=True)]
    run = run_pan(
        sugar, BOILED_KG_S, 0.01 * feed_brix, 0.15, hours * HOUR_S, pan, [0.0] * (3 * len(sugar))
    )
    return run, sugar


@sources.SECOND_PAN
@pytest.mark.parametrize(("brix", "expected"), SECOND_MODEL.items())
def test_first_draw_and_syrup_as_in_a_second_model(
    brix: float, expected: tuple[float, float]
) -> None:
    run, _ = run_from([brix] * 5, brix, 14.0 - WARMING_H)
    draw_h, syrup_gal = expected
    # It keeps volumes constant where this one keeps masses; draws are of 0.4 gal.
    assert run.first_draw_s / HOUR_S + WARMING_H == pytest.approx(draw_h, rel=0.08)
    assert run.syrup_kg / GALLON_KG == pytest.approx(syrup_gal, rel=0.05, abs=0.4)


@sources.SECOND_PAN
@pytest.mark.parametrize(("mixing", "draw_h"), [(0.0, 3.9), (0.3, 4.7), (0.6, 5.7)])
def test_back_mixing_delays_the_first_draw(mixing: float, draw_h: float) -> None:
    run, _ = run_from([2.0] * 5, 2.0, 8.0, PAN._replace(mixing_fraction=mixing))
    assert run.first_draw_s / HOUR_S + WARMING_H == pytest.approx(draw_h, rel=0.08)


@pytest.mark.parametrize(("feed_brix", "hours"), [(2.0, 10.0), (8.0, 6.0), (0.0, 3.0)])
def test_sugar_is_moved_and_never_made(feed_brix: float, hours: float) -> None:
    start = [7.0, 13.0, 24.0, 36.0, 60.0]
    run, sugar = run_from(start, feed_brix, hours)
    held_kg = math.fsum(0.01 * b * kg for b, kg in zip(start, PAN.mass_kg, strict=True))
    fed_kg = 0.01 * feed_brix * run.fed_kg
    assert math.fsum(sugar) + run.syrup_sugar_kg == pytest.approx(held_kg + fed_kg, rel=1e-12)
    assert run.fed_kg == pytest.approx(run.steam_kg + run.syrup_kg, rel=1e-12)
    assert run.draws >= 1
    # A draw is let out within one step of the finish.
    assert 0.66 <= run.syrup_sugar_kg / run.syrup_kg < 0.67


def test_water_rinses_the_first_compartment_as_by_hand() -> None:
    """Fed with water and no mixing, dS/dt = -S F/M: what passes on is all the later ones boil."""
    pan = PAN._replace(mixing_fraction=0.0)
    _, sugar = run_from([4.0, 6.0, 9.0, 15.0, 30.0], 0.0, 0.5, pan)
    passed_kg_s = BOILED_KG_S * (1.0 - (0.36 - 0.15) / (1.0 - 0.15))
    left_kg = 0.04 * 42.0 * math.exp(-passed_kg_s * 0.5 * HOUR_S / 42.0)
    assert sugar[0] == pytest.approx(left_kg, rel=1e-4)  # Heun's method in steps of 20 s


def test_a_chase_brings_less_and_less() -> None:
    run, sugar = run_from([3.0, 5.3, 8.8, 20.5, 65.5], 0.0, 1.5)
    more, _ = run_from([3.0, 5.3, 8.8, 20.5, 65.5], 0.0, 6.0)
    assert 1 <= run.draws < more.draws
    assert more.draws - run.draws < 3 * run.draws  # three times as long again
    assert 0.0 < more.last_draw_s < 6.0 * HOUR_S
    assert math.fsum(sugar) > 0.0  # the pan never gives up all that it holds


def test_a_pan_that_does_not_get_there_says_so() -> None:
    run, _ = run_from([2.0] * 5, 2.0, 1.0)
    assert (run.draws, run.first_draw_s, run.last_draw_s) == (0, math.inf, math.inf)
    assert (run.syrup_kg, run.syrup_sugar_kg) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("boiled_kg_s", "feed", "warming", "time_s"),
    [(0.0, 0.02, 0.1, 60.0), (0.02, 2.0, 0.1, 60.0), (0.02, 0.02, 0.9, 60.0), (0.02, 0.0, 0.1, -1)],
)
def test_what_cannot_be_is_refused(
    boiled_kg_s: float, feed: float, warming: float, time_s: float
) -> None:
    with pytest.raises(RangeError):
        run_pan([1.0] * 5, boiled_kg_s, feed, warming, time_s, PAN, [0.0] * 15)
