"""What is known of the trees: drawn, carried over, kept in a file and taken back."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.tree_file import read_trees, without_newest, write_trees
from sugarwright.plant.tree_knowledge import (
    Shape,
    TreeKnowledge,
    carried_over,
    knowledge_for,
    nothing_learnt,
    tree_members,
)

SHAPES = (Shape("flow_lag_h", 8.0, 0.2, 0.5), Shape("ageing_half_k_h", 1100.0, 0.25, -0.3))
KNOWN = TreeKnowledge(2027, 1_806_000_000, 9, 4, 6.25, 1.2, 0.21, 2.13, 0.08, SHAPES)


def column(rows: np.ndarray, name: str) -> np.ndarray:
    return rows[:, TreeParameters._fields.index(name)]


def test_members_have_the_stated_spread_and_the_expected_mean() -> None:
    rows = tree_members(KNOWN, 4000, seed=1)
    scale = column(rows, "bush_scale")
    # The mean of a log-normal is median * exp(sd**2 / 2).
    assert scale.mean() == pytest.approx(1.2 * math.exp(0.5 * 0.21**2), rel=1e-12)
    assert column(rows, "brix_start").mean() == pytest.approx(2.13, rel=1e-12)
    # 4,000 stratified draws: the deviations are known to 2 %, correlations to 0.03 (4 sd).
    assert np.log(scale).std() == pytest.approx(0.21, rel=0.02)
    assert column(rows, "brix_start").std() == pytest.approx(0.08, rel=0.02)
    for shape in SHAPES:
        drawn = np.log(column(rows, shape.name))
        assert drawn.mean() == pytest.approx(math.log(shape.value), abs=1e-9)
        assert drawn.std() == pytest.approx(shape.sd_log, rel=0.02)
        correlation = np.corrcoef(drawn, np.log(scale))[0, 1]
        assert correlation == pytest.approx(shape.scale_correlation, abs=0.06)


def test_eight_members_fill_eight_slices() -> None:
    known = replace(KNOWN, shapes=())
    scale = np.sort(column(tree_members(known, 8, seed=5), "bush_scale"))
    z = (np.log(scale) - np.log(scale).mean()) / 0.21
    assert (np.diff(z) > 0.0).all()
    assert z[0] < -0.8  # two members of eight lie beyond a deviation on average, one on each side
    assert z[-1] > 0.8


def test_one_member_is_what_is_expected() -> None:
    (row,) = tree_members(replace(KNOWN, yield_sd_log=0.0), 1, seed=3)
    expected = TreeParameters(
        bush_scale=1.2, brix_start=2.13, flow_lag_h=8.0, ageing_half_k_h=1100.0
    )
    np.testing.assert_allclose(row, expected, rtol=1e-12)


def test_same_seed_same_trees() -> None:
    np.testing.assert_array_equal(tree_members(KNOWN, 8, 1), tree_members(KNOWN, 8, 1))
    assert (tree_members(KNOWN, 8, 1) != tree_members(KNOWN, 8, 2)).any()


def test_a_year_later_the_same_is_less_sure_but_never_less_than_unknown() -> None:
    later = carried_over(KNOWN, 2028)
    assert later.yield_factor == KNOWN.yield_factor
    assert later.yield_sd_log == pytest.approx(math.hypot(0.21, 0.25))
    assert carried_over(KNOWN, 2040).yield_sd_log == nothing_learnt(2040, 1.0, 2.0).yield_sd_log
    assert carried_over(KNOWN, 2027) == KNOWN
    assert all(new.sd_log > old.sd_log for new, old in zip(later.shapes, KNOWN.shapes, strict=True))


def test_the_newest_fit_of_the_last_season_counts() -> None:
    older = replace(KNOWN, season=2026, yield_factor=0.9)
    again = replace(KNOWN, yield_factor=1.3)
    history = (older, KNOWN, again)
    assert knowledge_for(history, 2027) == again
    assert knowledge_for(history, 2026) == older
    assert knowledge_for(history, 2025) is None
    assert knowledge_for(history, 2029) == carried_over(again, 2029)


def test_file_gives_the_same_back(tmp_path: Path) -> None:
    path = tmp_path / "trees.toml"
    assert read_trees(path) == ()
    history = (replace(KNOWN, shapes=(), season=2026), KNOWN)
    write_trees(path, history)
    assert read_trees(path) == history
    assert list(tmp_path.iterdir()) == [path]  # nothing half-written is left


def test_undo_takes_back_what_was_learnt_last() -> None:
    first = replace(KNOWN, learnt_s=5, season=2026)
    at_once = (replace(KNOWN, learnt_s=9, season=2026), replace(KNOWN, learnt_s=9))
    assert without_newest((first, *at_once)) == (first,)
    with pytest.raises(InputError, match="no fit"):
        without_newest(())


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("yield_factor = 1.2", "yield_factor = nan", "yield_factor"),
        ("yield_factor = 1.2", 'yield_factor = "much"', "is not a number"),
        ("season = 2027\n", "", "season: is missing"),
        ("season = 2027", "season = true", "is not a whole number"),
        ('name = "flow_lag_h"', 'name = "bark"', "bark"),
        ("[[fit]]", "[[fit", "cannot be read"),
        ("[[fit]]\n", "fit = 3\n", "list of fits"),
        ("scale_correlation = 0.5", "scale_correlation = 1.5", "scale_correlation"),
    ],
)
def test_a_spoilt_file_is_refused_and_left_alone(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    path = tmp_path / "trees.toml"
    write_trees(path, (KNOWN,))
    text = path.read_text(encoding="utf-8")
    assert old in text
    end = text.index("[[fit.shape]]") if new == "fit = 3\n" else len(text)
    path.write_text(text[:end].replace(old, new), encoding="utf-8")
    spoilt = path.read_text(encoding="utf-8")
    with pytest.raises(InputError, match=r"trees\.toml") as refusal:
        read_trees(path)
    assert said in str(refusal.value)
    assert path.read_text(encoding="utf-8") == spoilt


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_trees(tmp_path / "nowhere" / "trees.toml", (KNOWN,))


def test_impossible_knowledge_is_refused() -> None:
    with pytest.raises(RangeError, match="yield_sd_log"):
        replace(KNOWN, yield_sd_log=-0.1)
    with pytest.raises(RangeError, match="members"):
        tree_members(KNOWN, 0, 1)
