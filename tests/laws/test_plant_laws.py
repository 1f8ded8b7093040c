"""What no house, weather or plan may break: conservation, rims, safety; and equal roads to one end.

Horizons are a few days and houses are drawn at random, most of them absurd.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plant_houses import (
    GALLON_M3,
    INVENTED,
    habit,
    house,
    made_drive,
    plant,
    plants,
    silly_plans,
)
from plant_safety import assert_safe
from sugarwright.errors import InputError
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.balance import balance
from sugarwright.plant.drive import make_drive
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import Trace, run_many, simulate
from sugarwright.plant.state import Contents, Levels, start_state

DAYS = 3
ROUNDING = 1e-9
seeds = st.integers(0, 10_000)
modest = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


def readings(plant: Plant, fullness: float, pan_brix: float = 0.0) -> Levels:
    """Fill every tank of a house to a share of its rim."""
    p = plant.p
    points = tuple(Contents(fullness * row[at.POINT_CAPACITY_M3]) for row in plant.points)
    return Levels(
        sap=Contents(fullness * p[at.SAP_CAPACITY_M3], age_s=20 * 3600.0),
        stock=Contents(fullness * p[at.STOCK_CAPACITY_M3], brix=7.0),
        permeate=Contents(fullness * p[at.PERMEATE_CAPACITY_M3], brix=0.0),
        gathered=points,
        pan_brix=pan_brix,
    )


fullness = st.sampled_from([0.0, 0.03, 0.4, 1.0])


@given(plants(), silly_plans(), seeds, fullness, st.sampled_from([0.0, 1.0, 20.0]))
@modest
def test_no_plan_breaks_the_laws(
    plant: Plant, plan: np.ndarray, seed: int, share: float, pan_brix: float
) -> None:
    drive = made_drive(plant, seed, DAYS)
    start = start_state(plant, readings(plant, share, pan_brix))
    run = simulate(plant, drive, plan, start)
    assert np.isfinite(run.state).all()
    assert np.isfinite(run.totals).all()
    assert balance(plant, start, run.state, run.totals).error_fraction < ROUNDING
    assert_within_rims(plant, run)
    assert_safe(plant, drive, run)


def assert_within_rims(plant: Plant, run: Trace) -> None:
    """No tank is below nothing or above its rim; no compartment holds more than sugar can be."""
    p, x = plant.p, run.state
    tanks = [
        (at.SAP, p[at.SAP_CAPACITY_M3]),
        (at.STOCK, p[at.STOCK_CAPACITY_M3]),
        (at.PERMEATE, p[at.PERMEATE_CAPACITY_M3]),
    ]
    for g, point in enumerate(plant.points):
        tanks.append((at.GATHERED + g * at.POINT_WIDTH, point[at.POINT_CAPACITY_M3]))
    for tank, capacity_m3 in tanks:
        water_kg, sugar_kg = x[tank + at.WATER], x[tank + at.SUGAR]
        assert water_kg >= 0.0
        assert sugar_kg >= 0.0
        held_m3 = water_kg * p[at.WATER_M3_KG] + sugar_kg * p[at.SUGAR_M3_KG]
        assert held_m3 <= capacity_m3 * (1.0 + ROUNDING)
    for column, capacity_m3 in (
        (at.T_SAP_M3, p[at.SAP_CAPACITY_M3]),
        (at.T_STOCK_M3, p[at.STOCK_CAPACITY_M3]),
        (at.T_PERMEATE_M3, p[at.PERMEATE_CAPACITY_M3]),
    ):
        assert run.column(column).min() >= 0.0
        assert run.column(column).max() <= capacity_m3 * (1.0 + ROUNDING)
    count = int(p[at.COMPARTMENTS])
    sugar = x[at.PAN_SUGAR : at.PAN_SUGAR + count]
    strength = sugar / p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count]
    assert strength.min() >= 0.0
    assert strength.max() < 1.0
    assert run.totals[: at.SAP_FULL_AT_S].min() >= 0.0
    assert 0.0 < x[at.CONDITION] <= 1.0


@given(silly_plans(), seeds, fullness, st.booleans())
@modest
def test_an_ordinary_pan_is_never_short_of_feed(
    plan: np.ndarray, seed: int, share: float, membrane: bool
) -> None:
    ordinary = plant(membrane=membrane)
    drive = made_drive(ordinary, seed, DAYS)
    run = simulate(ordinary, drive, plan, start_state(ordinary, readings(ordinary, share)))
    assert run.totals[at.SHORT_S] == 0.0
    assert run.totals[at.BUCKET_WATER_KG] == 0.0


def test_ordinary_plans_do_get_to_boil() -> None:
    """The laws above would hold for a house in which nothing ever happens."""
    ordinary = plant()
    drive = made_drive(ordinary, 4, DAYS)
    run = simulate(ordinary, drive, habit(ordinary, DAYS), start_state(ordinary, Levels()))
    full = start_state(ordinary, readings(ordinary, 1.0))
    boiled = simulate(ordinary, drive, habit(ordinary, DAYS), full)
    assert boiled.totals[at.DRAWS] > run.totals[at.DRAWS]
    assert boiled.totals[at.DRAWS] > 3


@given(plants(), silly_plans(), seeds, st.floats(0.01, 0.99))
@settings(modest, max_examples=25)
def test_stopping_and_going_on_is_running_through(
    plant: Plant, plan: np.ndarray, seed: int, cut: float
) -> None:
    drive = made_drive(plant, seed, DAYS)
    start = start_state(plant, readings(plant, 0.5))
    whole = simulate(plant, drive, plan, start)
    step = int(cut * drive.steps)
    first = simulate(plant, drive, plan, start, last=step)
    second = simulate(plant, drive, plan, first.state, first.totals, first=step)
    np.testing.assert_array_equal(second.state, whole.state)
    np.testing.assert_array_equal(second.totals, whole.totals)
    np.testing.assert_array_equal(np.concatenate([first.rows, second.rows]), whole.rows)


def test_many_plans_are_each_plan_alone_on_any_number_of_threads() -> None:
    ordinary = plant()
    drive = made_drive(ordinary, 3, DAYS, scenarios=3)
    start = start_state(ordinary, readings(ordinary, 0.6))
    plans = np.stack([habit(ordinary, DAYS, FIRE_START=minute) for minute in range(960, 1200, 30)])
    one, four = (run_many(ordinary, drive, plans, start, threads) for threads in (1, 4))
    np.testing.assert_array_equal(one.totals, four.totals)
    np.testing.assert_array_equal(one.states, four.states)
    for c, s in ((0, 0), (5, 2)):
        alone = simulate(ordinary, drive, plans[c], start, scenario=s)
        np.testing.assert_array_equal(alone.totals, one.totals[c, s])
    assert len(np.unique(one.totals[:, 0, at.FIRE_S])) > 1


@pytest.mark.parametrize("membrane", [True, False])
def test_plain_python_gives_the_numbers_of_the_compiled_code(membrane: bool) -> None:
    """The same formulas, once interpreted: they may differ by rounding alone.

    Twenty hours, so that machine and fire, gauges and draws all take part.
    """
    ordinary = plant(membrane=membrane)
    drive = made_drive(ordinary, 5, 2)
    start = start_state(ordinary, readings(ordinary, 0.9, pan_brix=15.0))
    plan = habit(ordinary, 2)
    last = 22 * 12
    plain = simulate(ordinary, drive, plan, start, last=last, plain=True)
    quick = simulate(ordinary, drive, plan, start, last=last)
    assert quick.totals[at.DRAWS] > 0
    np.testing.assert_allclose(plain.state, quick.state, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(plain.totals, quick.totals, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(plain.rows, quick.rows, rtol=1e-9, atol=1e-9)


def test_plain_python_gives_the_same_for_pumps_and_trips() -> None:
    """Half a day of pumping, carrying and spilling."""
    text = INVENTED.replace(
        "taps = 300",
        'taps = 300\nway = "pump"\n[gathering.tank]\nvolume = "60 gal"\n[gathering.pump]\n'
        '[[gathering]]\nname = "far"\ntaps = 90\nway = "trips"\n'
        '[gathering.tank]\nvolume = "60 gal"\n[gathering.trips]',
    )
    gathers = assemble(parse_house(text))
    drive = made_drive(gathers, 0, 1)
    drive = replace(drive, sap_kg_s=np.maximum(drive.sap_kg_s, [0.05, 0.001]))
    start, plan = start_state(gathers, readings(gathers, 0.5)), habit(gathers, 1)
    plain = simulate(gathers, drive, plan, start, plain=True)
    quick = simulate(gathers, drive, plan, start)
    assert quick.totals[at.SPILLED_WATER_KG] > 0.0
    np.testing.assert_allclose(plain.state, quick.state, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(plain.totals, quick.totals, rtol=1e-9, atol=1e-9)


def test_display_units_change_no_result() -> None:
    metric = parse_house(INVENTED.replace("[site]", '[site]\nunits = "metric"'))
    shown, other = plant(), assemble(metric)
    assert metric.site.units != shown.house.site.units
    np.testing.assert_array_equal(shown.p, other.p)
    drive, plan = made_drive(shown, 1, 2), habit(shown, 2)
    start = start_state(shown, readings(shown, 0.7))
    one, two = (simulate(each, drive, plan, start) for each in (shown, other))
    np.testing.assert_array_equal(one.totals, two.totals)


@given(plants(), silly_plans(), seeds, fullness)
@settings(modest, max_examples=30)
def test_plain_python_gives_the_numbers_of_the_compiled_code_in_any_house(
    plant: Plant, plan: np.ndarray, seed: int, share: float
) -> None:
    """Interpreted, every formula checks its range as well: the kernel leaves none."""
    drive = made_drive(plant, seed, 1)
    start = start_state(plant, readings(plant, share, pan_brix=5.0))
    plain, quick = (simulate(plant, drive, plan, start, plain=each) for each in (True, False))
    np.testing.assert_allclose(plain.state, quick.state, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(plain.totals, quick.totals, rtol=1e-9, atol=1e-9)


@given(seeds)
@settings(modest, max_examples=10)
def test_sap_of_no_taps_leaves_everything_as_it_is(seed: int) -> None:
    described = house()
    bare = replace(described, gathering=(replace(described.gathering[0], taps=0),))
    nothing = assemble(bare)
    drive = made_drive(nothing, seed, 2)
    start = start_state(nothing, Levels())
    run = simulate(nothing, drive, habit(nothing, 2), start)
    assert run.totals[at.HANDS_S] == run.totals[at.SAP_WATER_KG] == 0.0
    assert run.state[at.SAP + at.WATER] == 0.0


def sweetened(brix: float, membrane: bool) -> Plant:
    """Return a house of a bush so sweet, whose sap keeps for weeks."""
    described = house(membrane=membrane)
    trees = replace(described.trees, sap_brix=brix)
    keeping = replace(described.keeping, spoiled_log=9.0, heel_life_fraction=1.0)
    return assemble(replace(described, trees=trees, keeping=keeping))


def kept_sugar_kg(plant: Plant, run: Trace, start: np.ndarray) -> float:
    """Sugar in syrup and hold-up."""
    books = balance(plant, start, run.state, run.totals)
    held = sum(parcel.sugar_kg for parcel in books.held.values())
    return books.went_out["syrup"].sugar_kg + held


@pytest.mark.parametrize("membrane", [True, False])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_sweeter_sap_never_gives_less_sugar(membrane: bool, seed: int) -> None:
    """Same house, weather and way of working over a season of 40 days; only the trees differ.

    Sap that keeps: dumping the whole of a tank on the day when it has spoiled is a jump, and which
    tank is caught by it is luck.
    """
    kept = []
    for brix in np.arange(1.2, 4.05, 0.2).tolist():
        sweet = sweetened(brix, membrane)
        drive = made_drive(sweet, seed, 40)
        start = start_state(sweet, Levels())
        kept.append(kept_sugar_kg(sweet, simulate(sweet, drive, habit(sweet, 40), start), start))
    assert kept[0] > 5.0
    assert (np.diff(kept) > 0.0).all()


def test_twice_the_house_makes_twice_the_syrup() -> None:
    """Taps, elements and every volume and flow doubled; nothing else has a size."""
    one = INVENTED
    for section, keys in (
        ("membrane", ("in_parallel = 1", "least_sap = 10 gal", "rinse_volume = 20 gal")),
        ("membrane", ("recirculation_flow = 4 gal/min", "wash_volume = 60 gal")),
        ("pan", ("reserve = 20 gal", "draw_volume = 0.4 gal")),
        ("pan", ("compartments = [11 gal, 11 gal, 1.3 gal, 1.3 gal, 1.3 gal]",)),
        ("habit", ("concentrate_flow = 20 gal/h",)),
    ):
        lines = (re.sub(r"[\d.]+ gal[/a-z]*", r'"\g<0>"', key) for key in keys)
        one = one.replace(f"[{section}]", "\n".join([f"[{section}]", *lines]))
    two = re.sub(r"([\d.]+) gal", lambda found: f"{2.0 * float(found[1]):g} gal", one)
    two = two.replace("taps = 300", "taps = 600").replace("in_parallel = 1", "in_parallel = 2")
    pair = [assemble(parse_house(each)) for each in (one, two)]
    ends = []
    for each, size in zip(pair, (1.0, 2.0), strict=True):
        sizes = ("MEMBRANE_SAP_M3", "MEMBRANE_FLOW_M3_S", "FIRE_STOCK_M3")
        usual = habit(plant(), 5)[0]
        changes = {name: size * float(usual[getattr(at, name)]) for name in sizes}
        start = start_state(each, replace(readings(each, 0.4), permeate=Contents()))
        drive = made_drive(each, 8, 5)
        run = simulate(each, drive, habit(each, 5, **changes, WASH_AT=-1.0), start)
        ends.append(run.totals)
    assert ends[0][at.DRAWS] == ends[1][at.DRAWS] > 5
    for total in (at.SYRUP_SUGAR_KG, at.STEAM_KG, at.PERMEATE_KG, at.SAP_SUGAR_KG):
        assert ends[1][total] == pytest.approx(2.0 * ends[0][total], rel=0.01)
    assert ends[1][at.FIRE_S] == pytest.approx(ends[0][at.FIRE_S], rel=0.01)


def test_a_gallon_more_in_the_stock_tank_is_not_lost() -> None:
    ordinary = plant()
    drive, plan = made_drive(ordinary, 2, 2), habit(ordinary, 2)
    less, more = (
        start_state(ordinary, Levels(stock=Contents(gallons * GALLON_M3, brix=6.0)))
        for gallons in (80.0, 81.0)
    )
    kept = [
        kept_sugar_kg(ordinary, simulate(ordinary, drive, plan, each), each)
        for each in (less, more)
    ]
    added_kg = more[at.STOCK + at.SUGAR] - less[at.STOCK + at.SUGAR]
    assert kept[1] - kept[0] == pytest.approx(added_kg, abs=1e-6)


def test_a_drive_lies_within_its_weather() -> None:
    ordinary = plant()
    both = made_drive(ordinary, 7, 2, scenarios=2)
    np.testing.assert_array_equal(both.only(1).sap_kg_s[0], both.sap_kg_s[1])
    first_s = both.begin_s - 6 * 86400
    with pytest.raises(InputError, match="not two hours of this weather"):
        make_drive(ordinary, first_s, both.air_c, both.begin_s, both.begin_s + 3600)
