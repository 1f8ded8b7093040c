"""Money by hand: every line of the objective reckoned anew in trade units."""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import pairwise

import numpy as np
import pytest

from house_files import MINIMAL
from planning_cases import CORD_M3, demo_house, demo_plant, gallons
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.state import Contents, Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import Worth, broken_s, older_money, processing_money_kg, worth_lines

POUND_KG = 0.45359237
SYRUP_LB_GALLON = 11.07  # 66.9 Brix; "eleven pounds to the gallon" (from memory)
SUGAR_KG_GALLON = SYRUP_LB_GALLON * POUND_KG * 0.669  # 3.36 kg of sugar in a gallon of syrup


@pytest.fixture(scope="module")
def plain() -> Plant:
    """A pan of 21 gal/h, somebody at $15 an hour, wood at $150 a cord, no chores."""
    return assemble(parse_house(MINIMAL))


def _worth(plant: Plant, levels: Levels | None = None, **totals: float) -> Worth:
    """What is worth what: a run that ended with these readings and totals."""
    y = start_totals()
    for name, value in totals.items():
        y[getattr(at, name)] = value
    return worth_lines(plant, y, start_state(plant, levels or Levels(wood_m3=0.0)))


def test_syrup_is_sold_by_the_gallon() -> None:
    drawn_kg = 10.0 * SYRUP_LB_GALLON * POUND_KG
    worth = _worth(demo_plant(), SYRUP_WORTH_KG=drawn_kg)
    # ten gallons at $50; 0.5 % for the weight of a gallon from memory
    assert float(worth.syrup) == pytest.approx(500.0, rel=5e-3)


def test_what_age_takes_is_told_apart() -> None:
    """Ten gallons at $50 a gallon, of sap by which it is worth four fifths of fresh: a fifth less.

    Of what is left in a tank, an older one has lost by age just what it is worth less.
    """
    plant, drawn_kg = demo_plant(), 10.0 * SYRUP_LB_GALLON * POUND_KG
    y = start_totals()
    y[at.SYRUP_SUGAR_KG], y[at.SYRUP_WATER_KG] = 0.669 * drawn_kg, 0.331 * drawn_kg
    y[at.SYRUP_WORTH_KG] = 0.8 * drawn_kg
    drawn, _ = older_money(plant, y, start_state(plant, Levels()))
    assert float(drawn) == pytest.approx(100.0, rel=5e-3)
    kept = []
    for age_h in (2.0, 40.0):
        state = start_state(plant, Levels(stock=gallons(100, 8.0, age_h)))
        none, left = older_money(plant, start_totals(), state)
        assert float(none) == 0.0
        kept.append((float(worth_lines(plant, start_totals(), state).left), float(left)))
    (young, young_lost), (old, old_lost) = kept
    assert 0.0 < young_lost < old_lost
    assert old_lost - young_lost == pytest.approx(young - old)


def test_wood_power_hours_and_light_ups_are_paid(plain: Plant) -> None:
    house = replace(plain.house, prices=replace(plain.house.prices, light_up_money=2.0))
    worth = _worth(
        replace(plain, house=house),
        WOOD_BURNT_M3=0.5 * CORD_M3,
        ELECTRICITY_J=10 * 3.6e6,
        HANDS_MONEY=41.0,
        LIGHT_UPS=3.0,
    )
    assert float(worth.wood) == pytest.approx(-75.0)  # half a cord at $150
    assert float(worth.power) == pytest.approx(-2.4)  # 10 kWh at $0.24
    assert float(worth.hours) == -41.0
    assert float(worth.light_ups) == -6.0


@pytest.mark.parametrize(
    ("since_wash_h", "overdue_h", "washes", "money"),
    [
        # a wash: cleaner for $3 and 25 minutes of Tobias at $12 an hour, $8 in all; due after 10 h
        (0.0, 0.0, 0, 0.0),
        (5.0, 0.0, 0, -4.0),  # half of the next one
        (10.0, 0.0, 0, -8.0),
        (15.0, 5.0, 0, -16.0),  # overdue counts twice
        (0.0, 5.0, 1, -7.0),  # and stays after the wash
        (0.0, 0.0, 2, -6.0),  # those done: the hands are in the hours
    ],
)
def test_washes_done_and_due(
    since_wash_h: float, overdue_h: float, washes: int, money: float
) -> None:
    levels = Levels(wood_m3=0.0, run_since_wash_s=since_wash_h * 3600.0)
    worth = _worth(demo_plant(), levels, WASHES=washes, OVERDUE_S=overdue_h * 3600.0)
    assert float(worth.washes) == pytest.approx(money)


def test_a_crowded_tank_is_charged_by_the_hour(plain: Plant) -> None:
    # a cubic metre of 2 Brix sap is 20 kg of sugar: 5.95 gallons of syrup, $297; 1 % an hour of
    # that for ten hours
    gallons_syrup = 20.0 / SUGAR_KG_GALLON
    worth = _worth(plain, RISK_M3_S=36000.0)
    assert float(worth.crowding) == pytest.approx(-0.1 * 50.0 * gallons_syrup, rel=1e-2)


def test_boiling_two_brix_sap_by_hand(plain: Plant) -> None:
    # For a kilogram of sugar at 2 Brix 1/0.02 - 1/0.669 = 48.5 kg of water boil off, in 0.610 h of
    # a pan that boils 21 gal (79.5 kg) an hour: $9.15 of somebody's time.
    hours = (1.0 / 0.02 - 1.0 / 0.669) / (21.0 * 3.785412)
    # Heat per kg: 2257 kJ (steam tables, 100 degC) and 4.18 kJ/K from 4 degC; 20 MMBtu a cord,
    # 40 % of it in the pan.
    heat_mj_h = 21.0 * 3.785412 * (2.257 + 4.18e-3 * 96.0)
    cords_h = heat_mj_h / 1055.056 / (20.0 * 0.40)
    # A usual boil of 5 h bears 15 min of lighting up, 69 - 30 min in which a fire that shrinks
    # e-fold in 30 min goes on to a tenth beyond its worth in boiling, and 0.02 cord of kindling.
    each_boil = (15.0 + 69.1 - 30.0) / 60.0 * 15.0 + 0.02 * 150.0
    sugar_kg = 5.0 * 21.0 * 3.785412 * 0.02
    by_hand = hours * (15.0 + cords_h * 150.0) + each_boil / sugar_kg
    assert by_hand == pytest.approx(13.5, abs=0.05)
    found = float(processing_money_kg(plain, np.array(2.0)))
    assert found == pytest.approx(by_hand, rel=5e-3)  # latent heat and density by hand


def test_chores_of_a_boil_and_of_its_syrup_are_borne(plain: Plant) -> None:
    # the demo: 15 min a boil, 20 min a gallon of syrup, at $12 an hour; from 6 Brix
    house = demo_house()
    without = assemble(replace(house, chores=()))
    more = float(
        processing_money_kg(demo_plant(), np.array(6.0))
        - processing_money_kg(without, np.array(6.0))
    )
    boil_sugar_kg = 5.0 * 24.0 * 3.785412 * 0.06
    by_hand = 0.25 * 12.0 / boil_sugar_kg + (20.0 / 60.0) * 12.0 / SUGAR_KG_GALLON
    assert more == pytest.approx(by_hand, rel=1e-2)


def test_gallons_of_syrup_to_the_cord() -> None:
    # "About 22 gallons of syrup from a cord of dry wood", from 2 % sap, at the 40 to 60 % of an
    # open evaporator: Ohio State University Extension, maple pages; its quoted 400,000 Btu a
    # gallon at 45 % of 20 MMBtu gives 22.5. Here the wood alone is paid, hours are free.
    house = parse_house(MINIMAL)
    house = replace(
        house,
        people=(replace(house.people[0], hour_money_s=0.0),),
        fire=replace(house.fire, efficiency_fraction=0.45, light_up_wood_m3=0.0),
        pan=replace(house.pan, burn_down_s=house.pan.light_up_s),
    )
    money_gallon = float(processing_money_kg(assemble(house), np.array(2.0))) * SUGAR_KG_GALLON
    assert 150.0 / money_gallon == pytest.approx(22.2, rel=0.03)


def test_doubling_the_strength_halves_the_boiling() -> None:
    # From 2 to 4 Brix the water to boil falls from 48.5 to 23.5 kg a kg of sugar (48 %)
    house = parse_house(MINIMAL)
    pan = replace(house.pan, light_up_s=0.0, burn_down_s=1.0)
    plant = assemble(replace(house, pan=pan, fire=replace(house.fire, light_up_wood_m3=0.0)))
    weak, strong = processing_money_kg(plant, np.array([2.0, 4.0]))
    assert strong / weak == pytest.approx(23.5 / 48.5, rel=2e-3)


def test_the_net_is_the_sum_of_its_lines() -> None:
    levels = Levels(sap=gallons(150), stock=gallons(60, 6.0), run_since_wash_s=7e3)
    worth = _worth(
        demo_plant(),
        levels,
        SYRUP_WORTH_KG=31.0,
        HANDS_MONEY=17.0,
        WOOD_BURNT_M3=0.4,
        ELECTRICITY_J=2e7,
        WASHES=1.0,
        LIGHT_UPS=2.0,
        RISK_M3_S=5e3,
    )
    lines = [float(getattr(worth, each.name)) for each in fields(worth)]
    assert len(lines) == 8
    assert all(line != 0.0 for line in lines if line is not lines[5])
    assert float(worth.net) == pytest.approx(sum(lines))


def test_worth_of_many_runs_is_that_of_each(plain: Plant) -> None:
    levels = [Levels(sap=gallons(volume, age_h=age)) for volume, age in ((20, 0), (200, 10))]
    states = np.stack([start_state(plain, each) for each in levels])
    totals = np.stack([start_totals(), start_totals()])
    totals[1, at.HANDS_MONEY] = 3.0
    together = worth_lines(plain, totals, states).net
    apart = [worth_lines(plain, totals[i], states[i]).net for i in range(2)]
    assert together == pytest.approx(apart)


# --- what is left --------------------------------------------------------------------------------


def _left(plant: Plant, sap: Contents) -> float:
    return float(_worth(plant, Levels(sap=sap, wood_m3=0.0)).left)


def _cheap_boiling() -> Plant:
    """The plain house where boiling costs next to nothing, so that sap is nearly all gain."""
    house = parse_house(MINIMAL)
    house = replace(
        house,
        people=(replace(house.people[0], hour_money_s=0.0),),
        prices=replace(house.prices, wood_money_wood_m3=0.0),
    )
    return assemble(house)


def test_fresh_sap_is_worth_its_syrup_less_what_it_costs(plain: Plant) -> None:
    # 44 gallons of 2 Brix sap (8.41 lb each) hold the sugar of a gallon of syrup. It waits half a
    # day, and half of the 5.6 h that its boiling takes in days of 8.8 attended hours: 14.8 h in
    # which cells grow by (0.030 x 9)^2 = 0.073 an hour (Ratkowsky and others 1982, at 3 degC), 0.47
    # decades of the three that it keeps for. The square of that, 2.4 %, is lost, and 5 % may be.
    cheap = _left(_cheap_boiling(), gallons(44.0, 2.0))
    assert cheap == pytest.approx(0.95 * 0.976 * 50.0, rel=1e-2)
    dear = _left(plain, gallons(44.0, 2.0))
    assert dear == pytest.approx(0.95 * 0.976 * (50.0 - 13.5 * SUGAR_KG_GALLON), rel=0.1)


def test_old_sap_is_worth_less_and_spoiled_sap_nothing() -> None:
    plant = _cheap_boiling()
    by_age = [_left(plant, gallons(100, 2.0, age)) for age in (0, 24, 48, 72, 400)]
    assert all(older < fresher for fresher, older in pairwise(by_age))
    assert by_age[4] == 0.0


def test_warm_sap_is_worth_less() -> None:
    plant = _cheap_boiling()
    cold, warm = (
        _left(plant, replace(gallons(100, 2.0, 10), temperature_c=c)) for c in (1.0, 12.0)
    )
    assert warm < cold


def test_what_does_not_pay_to_boil_is_worth_nothing_and_never_less() -> None:
    house = parse_house(MINIMAL)
    for brix in (0.0, 0.3, 1.0):
        poor = replace(house, prices=replace(house.prices, syrup_money_m3=1.0))
        assert _left(assemble(poor), gallons(200, brix)) == 0.0


def test_concentrate_is_worth_more_than_the_sap_it_came_from() -> None:
    # 120 gal at 2 Brix through the membrane are 40 gal at 6: the same sugar, less to do
    plant = demo_plant()
    sap = float(_worth(plant, Levels(sap=gallons(120, 2.0))).left)
    stock = float(_worth(plant, Levels(stock=gallons(39.5, 6.0))).left)
    assert stock > sap > 0.0


def test_sugar_in_the_pan_is_worth_its_syrup() -> None:
    # The pan holds 21 gal of thin liquid and 3.6 gal of thick, at the boil some 0.98 and 1.1 kg/L
    # (from memory): 93 kg, a fifth of it sugar now, which must still be boiled and finished as
    # feed of that strength would; 5 % may still be lost.
    worth = float(_worth(demo_plant(), Levels(pan_brix=20.0, wood_m3=0.0)).left)
    sugar_kg = 0.20 * 3.785412 * (21.0 * 0.98 + 3.6 * 1.1)
    owed_kg = float(processing_money_kg(demo_plant(), np.array(20.0)))
    assert 0.0 < owed_kg < 5.0
    each_kg = 50.0 / SUGAR_KG_GALLON - owed_kg
    assert worth == pytest.approx(0.95 * each_kg * sugar_kg, rel=0.03)


def test_broken_rules_are_seconds_not_money() -> None:
    y: Floats = np.zeros((2, at.TOTALS_SIZE))
    y[0, at.SHORT_S], y[0, at.LIT_ALONE_S] = 20.0, 300.0
    assert broken_s(y).tolist() == [320.0, 0.0]
    worth = _worth(demo_plant(), SHORT_S=1e5, LIT_ALONE_S=1e5)
    assert float(worth.net) == pytest.approx(float(_worth(demo_plant()).net))
