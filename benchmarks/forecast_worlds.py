"""Worlds in which the errors of forecasts are known, because they were drawn.

A forecast is a real spring plus an error, drawn by Cholesky from the covariance that the error
model states, written here once more from its formulas. What the program makes of such forecasts is
judged against the real spring. This tests the arithmetic, never how good real forecasts are.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather

UTC_OFFSET_H = -5.0
LONGITUDE_DEG = -75.0


@dataclass(frozen=True)
class World:
    """How forecasts err in it."""

    sd_at_issue_k: float = 1.2
    growth_k_per_h: float = 0.021
    bias_k: float = 0.0
    swing_bias_k: float = 0.0


AS_BELIEVED = World()


@cache
def root(world: World, local_h_at_issue: float, hours: int) -> np.ndarray:
    """Return a root of the errors' covariance, (hours, hours)."""
    lead_h = np.arange(float(hours))
    local_h = local_h_at_issue + lead_h
    sd = np.minimum(np.sqrt(world.sd_at_issue_k**2 + (world.growth_k_per_h * lead_h) ** 2), 5.0)
    wave = np.cos(2 * np.pi * (local_h - 15) / 24)
    day = np.floor((local_h - 21) / 24)
    slow = 0.75 * 0.97 ** np.abs(lead_h[:, None] - lead_h)
    swing = 0.5 * np.outer(wave, wave) * (day[:, None] == day)
    covariance = np.outer(sd, sd) * (slow + swing)
    return np.linalg.cholesky(covariance + 1e-9 * np.eye(hours))


def forecasts_about(
    truth: HourlyWeather,
    issues_s: list[int],
    hours: int,
    seed: int,
    world: World = AS_BELIEVED,
    members: int = 0,
) -> list[Forecast]:
    """Return forecasts of a spring, with errors of a world.

    With ``members``, each is a real ensemble: what came is one more member of it, before the
    world's bias is put on all members.
    """
    source = np.random.default_rng(seed)
    made = []
    for issued_s in issues_s:
        true_c = truth.between(issued_s, issued_s + hours * HOUR_S).temperature_c
        spread = root(world, (issued_s / HOUR_S + UTC_OFFSET_H) % 24.0, hours)
        wave = np.cos(2 * np.pi * (issued_s / HOUR_S + np.arange(hours) + UTC_OFFSET_H - 15) / 24)
        centre = true_c + spread @ source.standard_normal(hours)
        centre = centre + world.bias_k + world.swing_bias_k * wave
        told = None
        if members:
            told = centre + (spread @ source.standard_normal((hours, members))).T
        made.append(forecast(issued_s, centre if told is None else told.mean(axis=0), told))
    return made


def forecast(
    issued_s: int, temperature_c: np.ndarray, members_c: np.ndarray | None = None
) -> Forecast:
    """Return a forecast of an invented service."""
    time_s = issued_s + HOUR_S * np.arange(len(temperature_c))
    hours = HourlyWeather(time_s, temperature_c, source="Invented service", issued_s=issued_s)
    return Forecast(
        issued_s,
        issued_s,
        "Invented service",
        "",
        44.0,
        LONGITUDE_DEG,
        None,
        hours,
        member_temperature_c=members_c,
    )


def issues(first_s: int, count: int, every_h: int = 24) -> list[int]:
    """Return instants of issue."""
    return [first_s + HOUR_S * every_h * place for place in range(count)]
