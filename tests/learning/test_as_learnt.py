"""The house as learnt: description, with what was kept in its place; nothing else moves."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant_houses import house
from sugarwright.errors import InputError
from sugarwright.learning.as_learnt import (
    LEARNABLE,
    as_learnt,
    described_value,
    implausible,
    with_value,
)
from sugarwright.learning.kept import Figure, Kept, kept_of

PAN = "pan.boil_rate_m3_s"


def kept(key: str, value: float, *, name: str = "pan", described: float | None = None) -> Kept:
    said = described_value(house(), key) if described is None else described
    assert said is not None
    return Kept(name, 1_800_000_000, 1_799_990_000.0, 5, (Figure(key, value, 0.05, True, said),))


def test_with_nothing_kept_the_house_is_the_described_one() -> None:
    assert as_learnt(house(), {}).house is house()
    assert as_learnt(house(), dict.fromkeys(LEARNABLE)).house is house()


def test_what_was_kept_takes_the_place_of_the_description_and_nothing_else_moves() -> None:
    before = house()
    found = as_learnt(before, {"pan": kept(PAN, 2e-5).document()})
    assert found.house.pan.boil_rate_m3_s == 2e-5
    back = replace(found.house, pan=replace(found.house.pan, boil_rate_m3_s=described(before)))
    assert back == before
    assert [each.stands for each in found.standing] == [True]


def described(of: object) -> float:
    value = described_value(of, PAN)  # type: ignore[arg-type]
    assert value is not None
    return value


def test_a_description_changed_since_stands_instead() -> None:
    document = kept(PAN, 2e-5).document()
    other = with_value(house(), PAN, 3e-5)
    found = as_learnt(other, {"pan": document})
    assert found.house == other
    assert [each.stands for each in found.standing] == [False]


def test_figures_of_a_part_that_is_gone_are_passed_over() -> None:
    figure = Figure("membrane.condition_fraction", 0.8, 0.1, True, 0.95)
    document = Kept("membrane", 1, 1.0, 1, (figure,)).document()
    without = house(membrane=False)
    assert as_learnt(without, {"membrane": document}).house == without


def test_what_no_house_can_be_is_refused_by_name() -> None:
    with pytest.raises(InputError, match=r"pan\.boil_rate_m3_s"):
        as_learnt(house(), {"pan": kept(PAN, 5.0).document()})


@pytest.mark.parametrize("change", [{"form": 9}, {"figures": [{"key": 1}]}, {"learnt_s": "x"}])
def test_a_damaged_document_says_how_to_take_it_back(change: dict[str, object]) -> None:
    with pytest.raises(InputError, match="--undo pan"):
        as_learnt(house(), {"pan": {**kept(PAN, 2e-5).document(), **change}})


@given(st.floats(1e-9, 1e3), st.floats(0.0, 3.0), st.floats(1e-9, 1e3), st.integers(0, 2**40))
def test_a_document_says_what_was_kept(value: float, sd: float, said: float, learnt_s: int) -> None:
    here = Kept("pan", learnt_s, float(learnt_s), 3, (Figure(PAN, value, sd, True, said),))
    assert kept_of("pan", {**here.document(), "series": [1, 2]}) == here


def test_a_jump_is_told_and_a_step_is_not() -> None:
    said = described(house())
    near, far = (Figure(PAN, said * part, 0.05, True, said) for part in (1.3, 2.4))
    assert implausible(house(), "pan", near) == ""
    assert "farther" in implausible(house(), "pan", far)


def test_every_learnable_figure_is_a_number_of_the_house() -> None:
    for priors in LEARNABLE.values():
        for key, prior in priors.items():
            value = described_value(house(), key)
            assert value is not None
            assert with_value(house(), key, value) == house()
            assert prior.source
