"""Growth against published generation times of cold-loving flora."""

import math

import pytest

import sources
from sugarwright.physics.keeping import (
    LEAST_TEMPERATURE_C,
    ROOT_SLOPE,
    doubling_time_s,
    growth_rate_per_s,
    keeping_time_s,
    life_used,
    log_growth,
)

# sqrt(rate) = 0.030 (T + 6) by hand: ln 2 / (0.030 (T + 6))² hours
DOUBLING_H = {0: 21.4, 2: 12.0, 4: 7.7, 7: 4.6, 10: 3.0, 15: 1.7}


def doubling_h(temperature_c: float, least_c: float = LEAST_TEMPERATURE_C) -> float:
    return doubling_time_s(temperature_c, ROOT_SLOPE, least_c) / 3600.0


@sources.RATKOWSKY
@pytest.mark.parametrize(("temperature_c", "hours"), DOUBLING_H.items())
def test_doubling_time(temperature_c, hours):
    assert doubling_h(temperature_c) == pytest.approx(hours, abs=0.06)


@sources.PSEUDOMONAS
def test_generation_time_in_the_cold_is_nearly_three_times_as_long():
    # Pseudomonas fluorescens in raw milk: generation time up by "280 %" from 9 to 3 °C (J. Food
    # Prot. 45 (1982) 132, abstract), read as 2.8-fold, or 3.8-fold: the prior's span of least
    # temperatures (-8 to -4 °C) has the first reading, and the other is out of it
    assert doubling_h(3.0) / doubling_h(9.0) == pytest.approx(2.8, abs=0.1)
    assert (
        doubling_h(3.0, -8.0) / doubling_h(9.0, -8.0)
        < 2.8
        < doubling_h(3.0, -4.0) / doubling_h(9.0, -4.0)
    )


@sources.KEEPING_ADVICE
def test_advice_on_keeping_sap_lies_between_amber_and_red():
    # Extension advice: best within 24 h, 48 h when cold, and up to a week in a refrigerator
    day_s = 86400.0
    hundredfold = {
        t: keeping_time_s(2.0, t, ROOT_SLOPE, LEAST_TEMPERATURE_C) for t in (1.0, 4.0, 10.0)
    }
    assert 0.5 * day_s < hundredfold[10.0] < 1.5 * day_s
    assert 1.5 * day_s < hundredfold[4.0] < 3.5 * day_s
    assert 3.0 * day_s < hundredfold[1.0] < 7.0 * day_s


def test_nothing_grows_at_the_least_temperature():
    assert growth_rate_per_s(-6.0, ROOT_SLOPE, -6.0) == 0.0
    assert growth_rate_per_s(-20.0, ROOT_SLOPE, -6.0) == 0.0
    assert doubling_time_s(-20.0, ROOT_SLOPE, -6.0) == float("inf")


def test_keeping_time_is_when_the_growth_is_there():
    seconds = keeping_time_s(1.5, 7.0, ROOT_SLOPE, LEAST_TEMPERATURE_C)
    cells = math.exp(growth_rate_per_s(7.0, ROOT_SLOPE, LEAST_TEMPERATURE_C) * seconds)
    assert log_growth(cells) == pytest.approx(1.5, rel=1e-12)
    assert keeping_time_s(0.0, -20.0, ROOT_SLOPE, LEAST_TEMPERATURE_C) == 0.0
    assert keeping_time_s(1.0, -20.0, ROOT_SLOPE, LEAST_TEMPERATURE_C) == float("inf")


def test_life_used():
    assert log_growth(1.0) == 0.0
    assert life_used(1000.0, 3.0) == pytest.approx(1.0)
    assert life_used(0.1, 3.0) == 0.0  # cleaner than fresh sap is no credit
