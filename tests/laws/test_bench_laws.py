"""Laws of the finish bench: balances close, inverses return, a worse reading is a worse answer."""

from __future__ import annotations

import math
import random
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.bench.adjust import Batch, adjust
from sugarwright.bench.agreement import LIKELY, agreement
from sugarwright.bench.blend import blend, blend_to
from sugarwright.bench.containers import SIZES, containers
from sugarwright.bench.grade import CLASSES, grade
from sugarwright.bench.instruments import (
    Strength,
    by_hydrometer,
    by_refractometer,
    by_thermometer,
)
from sugarwright.bench.is_syrup import check_syrup
from sugarwright.bench.sap_to_syrup import sap_to_syrup
from sugarwright.bench.uncertainty import first_order, share_below
from sugarwright.bench.water_point import from_barometer, from_boiling_water
from sugarwright.errors import InputError, RangeError
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.hydrometer import brix_from_hydrometer, hydrometer_reading_brix
from sugarwright.physics.maple_solids import (
    activity_factor,
    brix_of_boiling_syrup,
    syrup_boiling_point_c,
)
from sugarwright.physics.optics import refractive_index
from sugarwright.physics.refractometer import (
    brix_from_refractive_index,
    brix_from_refractometer,
    refractometer_reading_brix,
)
from sugarwright.physics.scales import (
    baume_from_brix,
    brix_from_baume,
    brix_from_specific_gravity,
    specific_gravity,
)

some = settings(max_examples=40, deadline=None)
brixes = st.floats(0.0, 84.0)
syrups = st.floats(60.0, 70.0)
masses = st.floats(0.1, 1e4)
references = st.floats(0.0, 30.0)


# --- physics of the scales


@some
@given(brixes, references)
def test_baume_and_gravity_return(brix: float, reference_c: float) -> None:
    degrees = baume_from_brix(brix, reference_c)
    assert brix_from_baume(degrees, reference_c) == pytest.approx(brix, abs=1e-8)
    gravity = specific_gravity(brix, reference_c)
    assert brix_from_specific_gravity(gravity, reference_c) == pytest.approx(brix, abs=1e-8)


@some
@given(st.floats(1.5, 79.0), st.floats(5.0, 30.0))
def test_refractometer_returns(brix: float, temperature_c: float) -> None:
    reading = refractometer_reading_brix(brix, temperature_c)
    assert brix_from_refractometer(reading, temperature_c) == pytest.approx(brix, abs=1e-9)
    assert brix_from_refractive_index(refractive_index(brix)) == pytest.approx(brix, abs=1e-8)


@some
@given(st.floats(0.5, 74.0), st.floats(55e3, 104e3), st.floats(0.0, 0.5), st.floats(0.0, 0.03))
def test_boiling_syrup_returns(brix: float, pressure_pa: float, invert: float, salt: float) -> None:
    boils_c = syrup_boiling_point_c(brix, pressure_pa, invert, salt)
    back = brix_of_boiling_syrup(boils_c, pressure_pa, invert, salt)
    assert back == pytest.approx(brix, abs=1e-5)
    assert activity_factor(brix, invert, salt) <= 1.0
    assert boils_c >= boiling_point_c(brix, pressure_pa) - 1e-9


# --- uncertainty


@some
@given(syrups, st.floats(10.0, 105.0), st.floats(0.05, 0.5))
def test_a_worse_hydrometer_gives_a_worse_answer(brix: float, celsius: float, sd: float) -> None:
    reading = hydrometer_reading_brix(brix, celsius, 15.556)
    good = by_hydrometer(reading, celsius, 15.556, sd)
    poor = by_hydrometer(reading, celsius, 15.556, 2.0 * sd)
    assert good.brix == poor.brix == pytest.approx(brix, abs=1e-6)
    assert good.sd_brix < poor.sd_brix


@pytest.mark.parametrize(
    ("reading", "temperature_c"), [(59.0, 99.4), (66.9, 20.0), (2.4, 4.0), (62.0, 60.0)]
)
def test_first_order_agrees_with_drawing_at_random_on_the_hydrometer(
    reading: float, temperature_c: float
) -> None:
    def strength(shown: float, celsius: float) -> float:
        return brix_from_hydrometer(shown, celsius, 15.556)

    _agrees_with_chance(strength, (reading, temperature_c), (0.2, 1.0))


def test_first_order_agrees_with_drawing_at_random_on_the_thermometer() -> None:
    def strength(boils_c: float, pressure_pa: float) -> float:
        return brix_of_boiling_syrup(boils_c, pressure_pa, 0.02, 0.0)

    _agrees_with_chance(strength, (104.0, 101325.0), (0.1, 200.0))


def test_first_order_agrees_with_drawing_at_random_on_what_to_add() -> None:
    def added(mass: float, brix: float) -> float:
        return mass * (brix - 66.9) / 66.9

    _agrees_with_chance(added, (10.0, 69.0), (0.1, 0.2))


def _agrees_with_chance(formula, values, deviations) -> None:  # type: ignore[no-untyped-def]
    # 4000 draws know their mean to sd/63 and their deviation to 1.1 %: four of each allowed
    spread = first_order(formula, values, deviations)
    chance = random.Random(20270301)
    drawn = [
        formula(*(chance.gauss(v, s) for v, s in zip(values, deviations, strict=True)))
        for _ in range(4000)
    ]
    assert statistics.stdev(drawn) == pytest.approx(spread.sd, rel=0.045)
    assert statistics.fmean(drawn) == pytest.approx(spread.value, abs=4.0 * spread.sd / 63.0)


def test_what_is_known_adds_nothing_and_shares_add_up() -> None:
    spread = first_order(lambda x, y, z: x + 2.0 * y + z, (1.0, 1.0, 1.0), (0.3, 0.2, 0.0))
    assert spread.sd == pytest.approx(0.5)
    assert spread.shares == pytest.approx((0.36, 0.64, 0.0))
    assert first_order(lambda x: x, (1.0,), (0.0,)).sd == 0.0


def test_at_the_end_of_a_range_the_slope_is_taken_from_inside() -> None:
    def only_positive(x: float) -> float:
        if x < 0.0:
            raise RangeError("x", x, "is below nothing")
        return 3.0 * x

    assert first_order(only_positive, (0.0,), (0.1,)).sd == pytest.approx(0.3)


def test_chances_of_a_gaussian() -> None:
    # tables of the normal distribution: 2.28 % beyond two, 15.87 % beyond one
    assert share_below(66.0, 68.0, 1.0) == pytest.approx(0.0228, abs=5e-5)
    assert share_below(66.0, 65.0, 1.0) == pytest.approx(1.0 - 0.1587, abs=5e-5)
    assert (share_below(66.0, 66.0, 0.0), share_below(66.0, 65.9, 0.0)) == (0.0, 1.0)


def test_the_same_thermometer_in_water_beats_a_barometer() -> None:
    # its own error cancels in the rise over water
    water = by_thermometer(104.0, from_boiling_water(100.0))
    glass = by_thermometer(104.0, from_barometer(101325.0))
    assert water.sd_brix < 0.5 * glass.sd_brix


# --- agreement


def three(*brix: float) -> list[Strength]:
    names = ("hydrometer", "refractometer", "thermometer")
    return [Strength(name, value, 0.2, "") for name, value in zip(names, brix, strict=False)]


def test_instruments_that_agree_are_better_together() -> None:
    found = agreement(three(66.8, 67.0, 66.9))
    assert found.agree
    assert found.odd is None
    assert found.brix == pytest.approx(66.9)
    assert found.sd_brix == pytest.approx(0.2 / math.sqrt(3.0))


@pytest.mark.parametrize("place", range(3))
@pytest.mark.parametrize(("shift", "way"), [(3.0, "high"), (-3.0, "low")])
def test_one_of_three_that_is_off_is_named_and_left_out(place: int, shift: float, way: str) -> None:
    values = [66.9, 66.9, 66.9]
    values[place] += shift
    found = agreement(three(*values))
    assert found.odd == ("hydrometer", "refractometer", "thermometer")[place]
    assert found.brix == pytest.approx(66.9)
    assert found.likely == LIKELY[found.odd, way]


def test_two_that_disagree_cannot_be_told_apart() -> None:
    found = agreement(three(66.0, 68.0))
    assert not found.agree
    assert found.odd is None
    assert "hydrometer" in found.likely
    assert "refractometer" in found.likely
    # the Birge ratio: as unsure as half their distance
    assert found.sd_brix == pytest.approx(1.0)


@some
@given(syrups)
def test_three_true_instruments_agree_on_the_truth(brix: float) -> None:
    water = from_boiling_water(99.0)
    shown = [
        by_hydrometer(hydrometer_reading_brix(brix, 95.0, 15.556), 95.0, 15.556),
        by_refractometer(refractometer_reading_brix(brix, 15.0), 15.0),
        by_thermometer(boiling_point_c(brix, water.pressure_pa), water),
    ]
    found = check_syrup(shown, 66.0, 68.9, 95.0, 15.556, water)
    assert found.together.agree
    assert found.together.brix == pytest.approx(brix, abs=1e-5)
    assert found.together.sd_brix < min(each.sd_brix for each in shown)


@pytest.mark.parametrize(
    ("brix", "verdict"),
    [(64.0, "thin"), (67.4, "syrup"), (70.5, "heavy"), (66.05, "unsure"), (68.85, "unsure")],
)
def test_verdicts(brix: float, verdict: str) -> None:
    assert check_syrup(three(brix), 66.0, 68.9).verdict == verdict


def test_nothing_measured_or_limits_that_cross_are_refused() -> None:
    with pytest.raises(RangeError, match="nothing was measured"):
        check_syrup([], 66.0)
    with pytest.raises(RangeError, match="not above the least"):
        check_syrup(three(66.0), 66.9, 66.0)


# --- adjust, blend, ratio, containers, grade


@some
@given(masses, st.floats(50.0, 72.0), st.floats(65.0, 69.0))
def test_an_adjusted_batch_has_its_sugar_and_its_target(
    mass: float, brix: float, target: float
) -> None:
    found = adjust(Batch(mass, brix), target)
    assert found.result_kg * target == pytest.approx(mass * brix, rel=1e-9)
    sign = 1.0 if found.way == "add" else -1.0
    assert found.result_kg == pytest.approx(mass + sign * found.change_kg, rel=1e-9)
    assert 0.0 <= found.first_kg <= found.change_kg


@some
@given(masses, st.floats(67.5, 72.0), st.floats(0.05, 0.4))
def test_a_worse_instrument_leaves_a_worse_batch(mass: float, brix: float, sd: float) -> None:
    good, poor = (adjust(Batch(mass, brix, each), 66.9) for each in (sd, 2.0 * sd))
    assert good.sd_kg < poor.sd_kg
    assert good.result_sd_brix < poor.result_sd_brix


@some
@given(st.lists(st.tuples(masses, st.floats(60.0, 72.0)), min_size=1, max_size=6))
def test_a_blend_keeps_mass_and_sugar_and_lies_between(drums: list[tuple[float, float]]) -> None:
    found = blend([Batch(*drum) for drum in drums])
    assert found.mass_kg == pytest.approx(sum(mass for mass, _ in drums), rel=1e-12)
    sugar = sum(mass * brix for mass, brix in drums)
    assert found.mass_kg * found.brix == pytest.approx(sugar, rel=1e-12)
    strengths = [brix for _, brix in drums]
    assert min(strengths) - 1e-9 <= found.brix <= max(strengths) + 1e-9


@some
@given(
    st.lists(st.tuples(masses, st.floats(67.1, 72.0)), min_size=1, max_size=3),
    st.lists(st.tuples(masses, st.floats(60.0, 66.7)), min_size=1, max_size=3),
)
def test_a_blend_to_a_target_reaches_it_and_none_is_larger(
    heavy: list[tuple[float, float]], thin: list[tuple[float, float]]
) -> None:
    drums = [Batch(*drum) for drum in heavy + thin]
    found = blend_to(drums, 66.9)
    assert found.brix == pytest.approx(66.9, abs=1e-9)
    for portion, drum in zip(found.portions, drums, strict=True):
        assert -1e-9 <= portion.take_kg <= drum.mass_kg * (1.0 + 1e-12)
    # one side is used up: else more could be poured
    used = [portion.left_kg < 1e-9 * portion.have_kg for portion in found.portions]
    assert all(used[: len(heavy)]) or all(used[len(heavy) :])


def test_the_largest_blend_found_by_trying() -> None:
    # a heavy drum that lifts three thin ones: the nearest to the target first
    drums = [Batch(10.0, 70.0), Batch(30.0, 66.0), Batch(30.0, 65.0), Batch(30.0, 60.0)]
    best = max(
        (10.0 + a + b + c
         for a in range(31) for b in range(31) for c in range(31)
         if (700.0 + 66.0 * a + 65.0 * b + 60.0 * c) / (10.0 + a + b + c) >= 66.9),
    )  # fmt: skip
    assert best <= blend_to(drums, 66.9).mass_kg < best + 1.0


def test_a_target_that_no_blend_reaches() -> None:
    with pytest.raises(RangeError, match="every drum is above"):
        blend_to([Batch(1.0, 68.0), Batch(1.0, 67.0)], 66.0)
    with pytest.raises(RangeError, match="nothing to blend"):
        blend([])


@some
@given(st.floats(0.5, 30.0), syrups)
def test_no_sugar_is_lost_on_the_way_to_syrup(sap: float, syrup: float) -> None:
    found = sap_to_syrup(1.0, sap, syrup)
    more = sap_to_syrup(1.0, sap, syrup, 0.3)
    assert found.ratio_sd < more.ratio_sd
    assert found.syrup_m3 * found.sap_by_syrup_ratio == pytest.approx(1.0)


@some
@given(
    st.floats(1e-3, 10.0),
    st.floats(64.0, 70.0),
    st.floats(60.0, 95.0),
    st.lists(st.sampled_from(sorted(SIZES)), max_size=4, unique=True),
)
def test_what_is_filled_and_left_is_what_there_was(
    volume: float, brix: float, packing_c: float, sizes: list[str]
) -> None:
    found = containers(volume, brix, packing_c, sizes)
    filled = sum(each.count * each.size_m3 for each in found.filled)
    whole = found.cold_m3 * (1.0 - found.loss_fraction)
    assert filled + found.left_m3 == pytest.approx(whole, rel=1e-9)
    if found.filled:
        assert found.left_m3 < min(each.size_m3 for each in found.filled)
    for each in found.filled:
        assert each.count_least <= each.count <= each.count_greatest
        assert each.hot_m3 > each.size_m3  # it shrinks to its label
    assert found.too_cool == (packing_c < (180.0 - 32.0) / 1.8)


@some
@given(st.floats(0.0, 1.0), st.floats(0.001, 0.05))
def test_more_light_is_no_darker(light: float, sd: float) -> None:
    order = [colour for _, colour, _ in CLASSES]
    found, more = grade(light, sd), grade(min(1.0, light + 0.05), sd)
    assert order.index(more.colour) <= order.index(found.colour)
    assert 0.0 <= found.sure_fraction <= 1.0


def test_colder_than_boiling_water_is_refused() -> None:
    with pytest.raises(InputError, match="no hotter than water boils"):
        by_thermometer(99.0, from_boiling_water(100.0))
