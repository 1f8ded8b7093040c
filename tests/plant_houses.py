"""Invented houses, weathers and plans that the tests of the plant share."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from typing import Any

import numpy as np
from hypothesis import reject
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, composite

from sugarwright.errors import RangeError
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.house import Gathering, House, Person, Tank
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import Drive
from sugarwright.weather.hours import HourlyWeather

GALLON_M3 = 231 * 0.0254**3

INVENTED = """\
[site]
name = "Invented house"
latitude = 44.1
longitude = -71.9
timezone = "America/New_York"
[[gathering]]
taps = 300
[tank.sap]
volume = "420 gal"
[tank.stock]
volume = "160 gal"
[tank.permeate]
volume = "300 gal"
[membrane]
exit_pressure = "120 psi"
least_flow = "9 gal/h"
most_flow = "50 gal/h"
[pan]
boil_rate = "22 gal/h"
[[people]]
weekdays = ["06:00-08:00", "16:00-22:30"]
weekends = ["06:30-22:30"]
[trees]
tapped = 2015-03-08
[habit]
membrane_start = "06:30"
fire_start = "16:30"
fire_stop = "21:00"
wash_at = "20:00"
"""
"""300 taps, one element, a pan of 22 gal/h, one person who has a job."""


@cache
def house(*, membrane: bool = True) -> House:
    """Return the invented house, with its membrane or without."""
    described = parse_house(INVENTED)
    if membrane:
        return described
    return replace(described, membrane=None, stock_tank=None, permeate_tank=None)


@cache
def plant(*, membrane: bool = True, step_s: float = 300.0) -> Plant:
    """Return the invented house ready to run."""
    return assemble(house(membrane=membrane), step_s)


def habit(plant: Plant, days: int, **changes: float) -> np.ndarray:
    """Rows of a plain way of working; changes by the names of ``layout``."""
    described, stop = plant.house.habit, 20.5 * 60.0
    row = np.zeros(at.PLAN_WIDTH)
    row[at.MEMBRANE_START] = described.membrane_start
    row[at.MEMBRANE_SAP_M3] = 60 * GALLON_M3
    row[at.MEMBRANE_FLOW_M3_S] = described.concentrate_flow_m3_s
    row[at.MEMBRANE_STOP] = stop
    row[at.WASH_AT], row[at.WASH_AFTER_S] = described.wash_at, described.wash_after_s
    row[at.FIRE_START], row[at.FIRE_STOP] = described.fire_start, described.fire_stop
    row[at.FIRE_STOCK_M3] = 50 * GALLON_M3
    for name, value in changes.items():
        row[getattr(at, name)] = value
    return np.tile(row, (days, 1))


def drive_of(plant: Plant, weather: HourlyWeather, begin: date, days: int) -> Drive:
    """Return what a recorded weather drives a house with, from local midnight in winter time."""
    begin_s = int(datetime(begin.year, begin.month, begin.day, 5, tzinfo=UTC).timestamp())
    air_c = weather.temperature_c[np.newaxis, :]
    return make_drive(plant, int(weather.time_s[0]), air_c, begin_s, begin_s + 86400 * days)


def made_weather(source: np.random.Generator, days: int, lead_days: int = 6) -> np.ndarray:
    """Return hours of an invented March: days and nights about freezing, with spells and noise."""
    hours = np.arange(24 * (days + lead_days))
    swing = source.uniform(2.0, 9.0) * np.cos(2.0 * np.pi * (hours - 20) / 24.0)
    spell = np.repeat(source.normal(source.uniform(-2.0, 6.0), 3.0, days + lead_days), 24)
    return swing + spell + source.normal(0.0, 1.0, len(hours))


def made_drive(plant: Plant, seed: int, days: int, scenarios: int = 1) -> Drive:
    """Return days of invented weather, the first of them any day of the week."""
    source = np.random.default_rng(seed)
    air_c = np.stack([made_weather(source, days) for _ in range(scenarios)])
    tapped = plant.house.trees.tapped
    first = datetime(tapped.year, tapped.month, tapped.day, 5, tzinfo=UTC)
    first_s = int(first.timestamp()) + 86400 * int(source.integers(0, 7))
    return make_drive(plant, first_s, air_c, first_s + 6 * 86400, first_s + (6 + days) * 86400)


# --- anything that a house, a plan and readings could be ----------------------------------------

clocks = st.one_of(st.just(-1.0), st.integers(0, 1439).map(float), st.sampled_from([0.0, 1440.0]))
litres = st.floats(0.0, 3.0).map(lambda exponent: 10.0**exponent / 1000.0)
odd_spans = st.lists(st.tuples(st.integers(0, 1439), st.integers(0, 1440)), max_size=3).map(tuple)
spans = st.one_of(st.sampled_from([((0, 1440),), ((960, 1380),), ((1020, 120),)]), odd_spans)


@composite
def silly_plans(draw: DrawFn, days: int = 3) -> np.ndarray:
    """Draw any plan: most of them nothing that a sane person would do."""
    rows = habit(plant(), draw(st.integers(1, days)))
    for row in rows:
        if draw(st.booleans()):
            continue  # an ordinary day, so that there is something to spoil
        for clock in (
            at.MEMBRANE_START, at.MEMBRANE_STOP, at.WASH_AT, at.FIRE_START, at.FIRE_STOP,
            at.GATHER_START,
        ):  # fmt: skip
            row[clock] = draw(clocks)
        for gauge in (at.MEMBRANE_SAP_M3, at.FIRE_STOCK_M3):
            row[gauge] = draw(st.one_of(st.just(0.0), litres))
        for flow in (at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S, at.CALL_FLOW_M3_S):
            row[flow] = draw(st.one_of(st.just(0.0), st.floats(1e-7, 1e-2)))
        row[at.WASH_AFTER_S] = draw(st.sampled_from([0.0, 3600.0, 36000.0]))
        for call in (at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3):
            row[call] = draw(st.one_of(st.just(0.0), litres))
        row[at.PASS_AGAIN_BRIX] = draw(st.sampled_from([0.0, 4.0, 8.0, 30.0]))
    return rows


def _pan(draw: DrawFn, described: House) -> Any:
    count = draw(st.integers(2, at.MAX_COMPARTMENTS))
    weights = draw(st.lists(st.floats(0.05, 1.0), min_size=count, max_size=count))
    volumes = draw(st.lists(st.floats(0.5, 40.0), min_size=count, max_size=count))
    return replace(
        described.pan,
        boil_rate_m3_s=draw(st.floats(3.0, 120.0)) * GALLON_M3 / 3600.0,
        compartments_m3=tuple(volume * GALLON_M3 for volume in volumes),
        heat_share=tuple(weight / sum(weights) for weight in weights),
        mixing_fraction=draw(st.floats(0.0, 1.0)),
        burn_down_s=draw(st.floats(300.0, 7200.0)),
        draw_volume_m3=draw(st.floats(0.05, 1.0)) * min(volumes[-1], 2.0) * GALLON_M3,
        reserve_m3=draw(st.floats(0.0, 30.0)) * GALLON_M3,
    )


def fetched_point() -> Gathering:
    """Return a point whose sap is fetched by hand."""
    return parse_house(_WAYS["trips"]).gathering[0]


def _gathering(draw: DrawFn) -> tuple[Gathering, ...]:
    pumped, fetched = parse_house(_WAYS["pump"]).gathering[0], fetched_point()
    plain = house().gathering[0]
    found = []
    for number, kind in enumerate(draw(st.lists(st.integers(0, 2), min_size=1, max_size=3))):
        point = (plain, pumped, fetched)[kind]
        taps = draw(st.sampled_from([0, 5, 150, 800]))
        vacuum_pa = draw(st.sampled_from([0.0, 40e3]))
        found.append(replace(point, name=f"point {number}", taps=taps, vacuum_pa=vacuum_pa))
    return tuple(found)


_TANK = '\n[gathering.tank]\nvolume = "90 gal"\n'
_WAYS = {
    way: INVENTED.replace("taps = 300", f'taps = 300\nway = "{way}"{_TANK}[gathering.{way}]')
    for way in ("pump", "trips")
}


def _tank(draw: DrawFn, least_gal: float) -> Tank:
    volume_m3 = least_gal * draw(st.floats(1.0, 30.0)) * GALLON_M3
    dead_m3 = draw(st.sampled_from([0.0, 0.1])) * volume_m3
    place = draw(st.sampled_from(["indoors", "outdoors"]))
    return Tank(volume_m3=volume_m3, dead_volume_m3=dead_m3, place=place)


@composite
def plants(draw: DrawFn) -> Plant:
    """Draw any house that can be described, tiny or large, with and without a membrane."""
    described = house(membrane=draw(st.booleans()))
    people = tuple(
        Person(name=f"person {k}", weekdays=draw(spans), weekends=draw(spans))
        for k in range(draw(st.integers(1, 2)))
    )
    changes: dict[str, Any] = {
        "gathering": _gathering(draw),
        "sap_tank": _tank(draw, 20.0),
        "people": people,
        "pan": _pan(draw, described),
        "fire": replace(
            described.fire,
            wood_on_hand_wood_m3=draw(st.sampled_from([0.0, 0.3, 30.0])),
            blower_current_a=draw(st.sampled_from([0.0, 15.0])),
        ),
        "trees": replace(described.trees, sap_brix=draw(st.floats(0.5, 6.0))),
    }
    if described.membrane is not None:
        alone = draw(st.booleans())
        changes["stock_tank"], changes["permeate_tank"] = _tank(draw, 20.0), _tank(draw, 5.0)
        changes["membrane"] = replace(
            described.membrane,
            unattended=draw(st.booleans()),
            passes_again=draw(st.booleans()),
            low_flow_cutout=alone,
            full_tank_cutout=alone,
            frost_cutout=alone,
            place=draw(st.sampled_from(["indoors", "outdoors"])),
            loss_per_hour_fraction=draw(st.floats(0.0, 0.2)),
        )
    try:
        return assemble(replace(described, **changes))
    except RangeError:  # a pan or a tank with which nothing would work is refused by name
        reject()
