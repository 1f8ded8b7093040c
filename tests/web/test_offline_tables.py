"""The tables for a phone without the server: how far they miss the functions of the bench.

The judge is the function itself, at points that had no part in making the table; the reading
between the numbers is tried in Python and in the script that browsers run.
"""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from sugarwright.errors import SugarwrightError
from sugarwright.web.offline.bench_tables import all_recipes
from sugarwright.web.offline.interpolation import Axis, interpolate
from sugarwright.web.offline.table import Recipe, points_in, values_of

STATIC = Path(str(files("sugarwright"))) / "web/static"
DOCUMENT: dict[str, Any] = json.loads((STATIC / "bench-tables.json").read_text(encoding="utf-8"))
RECIPES = {recipe.name: recipe for recipe in all_recipes()}
OTHER_SEED = 20260319
POINTS = 120
NODE = shutil.which("node")


def test_every_table_is_shipped_and_all_together_are_small():
    assert set(DOCUMENT["tables"]) == set(RECIPES)
    assert (STATIC / "bench-tables.json").stat().st_size < 60_000


@pytest.mark.parametrize("name", RECIPES)
def test_the_numbers_are_those_of_the_bench_as_it_is_now(name: str):
    recipe, table = RECIPES[name], DOCUMENT["tables"][name]
    unit = 10.0**-recipe.decimals  # the last digit may be rounded otherwise on another computer
    assert table["values"] == pytest.approx(values_of(recipe), abs=1.01 * unit, rel=0)


@pytest.mark.parametrize("name", RECIPES)
def test_the_error_stated_is_kept_at_other_points(name: str):
    recipe, table = RECIPES[name], DOCUMENT["tables"][name]
    axes = _axes(table)
    assert table["greatest_error"] <= recipe.most_error
    for at in points_in(recipe, POINTS, OTHER_SEED):
        missed = abs(interpolate(axes, table["values"], at) - recipe.formula(*at))
        assert missed <= table["greatest_error"], at


@pytest.mark.parametrize("name", RECIPES)
def test_the_error_stated_is_no_empty_promise(name: str):
    """A hundredfold margin would say nothing: somewhere it misses a tenth of what is said."""
    recipe, table = RECIPES[name], DOCUMENT["tables"][name]
    if table["greatest_error"] <= 1e-9:
        pytest.skip("straight lines: nothing is missed")
    axes = _axes(table)
    missed = (
        abs(interpolate(axes, table["values"], at) - recipe.formula(*at))
        for at in points_in(recipe, POINTS, OTHER_SEED)
    )
    assert max(missed) >= 0.1 * table["greatest_error"]


@pytest.mark.parametrize("name", RECIPES)
def test_a_table_spans_only_what_its_function_answers(name: str):
    recipe = RECIPES[name]
    corners = [(axis.nodes[0], axis.nodes[-1]) for axis in recipe.axes]
    for corner in ((ends[0] for ends in corners), (ends[1] for ends in corners)):
        assert math.isfinite(recipe.formula(*corner))


def test_outside_a_table_there_is_no_answer():
    axis = Axis("x", (0.0, 1.0, 2.0, 3.0))
    assert math.isnan(interpolate([axis], [0.0, 1.0, 4.0, 9.0], [3.01]))
    assert math.isnan(interpolate([axis], [0.0, 1.0, 4.0, 9.0], [math.nan]))


def test_a_table_too_coarse_is_not_made():
    from sugarwright.web.offline.table import document_of

    coarse = Recipe("bent", "", "", (Axis("x", (0.0, 10.0)),), math.sin, 3, 0.1)
    with pytest.raises(ValueError, match=r"bent: misses [12]\.\d, 0.1 allowed"):
        document_of(coarse)


@pytest.mark.skipif(NODE is None, reason="no Node.js here; a browser runs the script in its test")
def test_the_script_of_the_browser_keeps_the_error_stated():
    """The JavaScript itself, run by Node.js, against the functions of the bench."""
    points = {name: list(points_in(recipe, 60, 7)) for name, recipe in RECIPES.items()}
    tables = STATIC / "bench-tables.json"
    program = f"""
        import {{ readFileSync }} from "node:fs";
        const {{ interpolate }} = await import("data:text/javascript;base64," +
          readFileSync({json.dumps(str(STATIC / "interpolate.js"))}).toString("base64"));
        const {{ tables }} = JSON.parse(readFileSync({json.dumps(str(tables))}));
        const points = JSON.parse(readFileSync(0));
        const found = Object.entries(points).map(([name, list]) =>
          [name, list.map((at) => interpolate(tables[name], at))]);
        const outside = [[81, 20], [NaN, 2]].map((at) => interpolate(tables.density, at));
        console.log(JSON.stringify({{ found: Object.fromEntries(found), outside }}));
    """
    ran = subprocess.run(
        [str(NODE), "--input-type=module", "-e", program],
        input=json.dumps(points),
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    answer = json.loads(ran.stdout)
    assert answer["outside"] == [None, None]
    for name, recipe in RECIPES.items():
        stated = DOCUMENT["tables"][name]["greatest_error"]
        for at, value in zip(points[name], answer["found"][name], strict=True):
            assert abs(value - recipe.formula(*at)) <= stated, (name, at)


def test_a_hydrometer_in_hot_syrup_by_the_table_agrees_with_the_published_hot_test():
    """66.9 Brix at 211 °F shows 59.0 on a hydrometer for 60 °F (state hot-test charts, 0.35)."""
    table = DOCUMENT["tables"]["hydrometer_60f"]
    found = interpolate(_axes(table), table["values"], [59.0, (211.0 - 32.0) / 1.8])
    assert found == pytest.approx(66.9, abs=0.35)


def _axes(table: dict[str, Any]) -> list[Axis]:
    return [Axis(axis["name"], tuple(axis["nodes"]), axis["log"]) for axis in table["axes"]]


def test_errors_of_the_bench_are_not_swallowed():
    with pytest.raises(SugarwrightError):
        RECIPES["density"].formula(99.0, 20.0)
