"""Solve a square Pyomo model by Newton's method, block after block, without any outside solver.

The equations fall into blocks that can be solved one after the other (the strongly connected
components of who needs whom); each block is a small dense or sparse Newton iteration. Gradients
are Pyomo's own (reverse automatic differentiation).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from pyomo.core.expr.calculus.diff_with_pyomo import reverse_ad
from pyomo.core.expr.visitor import identify_variables
from pyomo.environ import Constraint, value
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import spsolve

ITERATIONS = 200
TOLERANCE = 1e-10
NEAR_ZERO = 0.9  # of the way to zero that a variable which must stay above it may go in one step


def blocks(model: Any) -> list[tuple[list[Any], list[Any]]]:
    """Return (variables, equations) of each block, in the order in which they can be solved."""
    from pyomo.contrib.incidence_analysis import IncidenceGraphInterface

    graph = IncidenceGraphInterface(model, include_inequality=False, active=True)
    variables, equations = graph.block_triangularize()
    return list(zip(variables, equations, strict=True))


def solve(model: Any, order: list[tuple[list[Any], list[Any]]] | None = None) -> int:
    """Solve a model from the values that its variables have; return how many steps it took."""
    steps = 0
    for variables, equations in blocks(model) if order is None else order:
        steps += _solve_block(variables, equations)
    worst = max(
        abs(value(each.body) - value(each.upper)) / (1.0 + abs(value(each.upper)))
        for each in model.component_data_objects(Constraint, active=True)
        if each.equality
    )
    if not worst < 1e-6:
        raise RuntimeError(f"an equation is left open by {worst:g}")
    return steps


def _solve_block(variables: list[Any], equations: list[Any]) -> int:
    place = {id(variable): column for column, variable in enumerate(variables)}
    inside = [
        [each for each in identify_variables(equation.body) if id(each) in place]
        for equation in equations
    ]
    for step in range(ITERATIONS):
        at = np.array([value(variable) for variable in variables])
        change = _newton_change(equations, inside, place)
        change *= _damping(variables, at, change)
        for variable, new in zip(variables, at + change, strict=True):
            variable.set_value(float(new), skip_validation=True)
        if np.max(np.abs(change) / np.maximum(np.abs(at), 1e-12)) < TOLERANCE:
            return step + 1
    raise RuntimeError(f"no solution: {variables[0].name} and {len(variables) - 1} more")


def _newton_change(equations: list[Any], inside: list[list[Any]], place: dict[int, int]) -> Any:
    """Solve the linear system of one step, each equation scaled by its largest slope."""
    rows, columns, slopes, misses = [], [], [], []
    for row, (equation, variables) in enumerate(zip(equations, inside, strict=True)):
        gradient = reverse_ad(equation.body)
        found = [float(gradient[variable]) for variable in variables]
        scale = max(map(abs, found)) or 1.0
        rows += [row] * len(found)
        columns += [place[id(variable)] for variable in variables]
        slopes += [slope / scale for slope in found]
        misses.append((value(equation.upper) - value(equation.body)) / scale)
    if len(equations) == 1:
        return np.array([misses[0] / slopes[0]])
    matrix = csc_matrix((slopes, (rows, columns)), shape=(len(equations), len(equations)))
    return np.atleast_1d(spsolve(matrix, np.array(misses)))


def _damping(variables: list[Any], at: Any, change: Any) -> float:
    """Return the part of a step that keeps variables above zero which must stay there."""
    part = 1.0
    for variable, here, by in zip(variables, at, change, strict=True):
        guarded = variable.lb is not None and variable.lb >= 0.0
        if guarded and here > 0.0 and here + by <= 0.0:
            part = min(part, -NEAR_ZERO * here / by)
    return part
