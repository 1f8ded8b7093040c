"""A linear program put together by blocks of variables and rows, solved by HiGHS."""

from __future__ import annotations

import highspy
import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Places = NDArray[np.int64]


class LinearProgram:
    """Maximise what the variables bring, subject to rows.

    >>> program = LinearProgram()
    >>> x = program.variables(2, upper=[1.0, 5.0], brings=[3.0, 1.0])
    >>> program.rows([(1.0, x[:1]), (1.0, x[1:])], upper=4.0)
    >>> program.solve()
    6.0
    """

    def __init__(self) -> None:
        self._lower: list[Floats] = []
        self._upper: list[Floats] = []
        self._brings: list[Floats] = []
        self._count = 0
        self._row_lower: list[Floats] = []
        self._row_upper: list[Floats] = []
        self._row_count = 0
        self._entries: list[tuple[Places, Places, Floats]] = []

    def variables(
        self, count: int, upper: ArrayLike = np.inf, lower: ArrayLike = 0.0, brings: ArrayLike = 0.0
    ) -> Places:
        """Add variables; return their places."""
        for kept, values in ((self._lower, lower), (self._upper, upper), (self._brings, brings)):
            kept.append(np.broadcast_to(np.asarray(values, dtype=np.float64), count))
        places = np.arange(self._count, self._count + count)
        self._count += count
        return places

    def rows(
        self,
        terms: list[tuple[ArrayLike, Places]],
        lower: ArrayLike = -np.inf,
        upper: ArrayLike = np.inf,
    ) -> None:
        """Add rows: in row i stand the i-th variables of every term, times its factors."""
        count = len(terms[0][1])
        numbers = np.arange(self._row_count, self._row_count + count)
        for factors, places in terms:
            values = np.broadcast_to(np.asarray(factors, dtype=np.float64), count)
            self._entries.append((numbers, places, values))
        self._end_rows(count, lower, upper)

    def row(
        self,
        terms: list[tuple[ArrayLike, Places]],
        lower: float = -np.inf,
        upper: float = np.inf,
    ) -> None:
        """Add one row, over all variables of all terms."""
        for factors, places in terms:
            values = np.broadcast_to(np.asarray(factors, dtype=np.float64), len(places))
            here = np.full(len(places), self._row_count)
            self._entries.append((here, places, values))
        self._end_rows(1, lower, upper)

    def _end_rows(self, count: int, lower: ArrayLike, upper: ArrayLike) -> None:
        for kept, values in ((self._row_lower, lower), (self._row_upper, upper)):
            kept.append(np.broadcast_to(np.asarray(values, dtype=np.float64), count))
        self._row_count += count

    def solve(self) -> float:
        """Return the greatest sum; an error if there is none."""
        solver = highspy.Highs()  # type: ignore[no-untyped-call]  # it has no types
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("threads", 1)
        solver.passModel(self._model())
        solver.run()
        status = solver.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError(f"no optimum: {solver.modelStatusToString(status)}")
        return float(solver.getInfo().objective_function_value)

    def _model(self) -> highspy.HighsLp:
        rows, columns, values = (np.concatenate(each) for each in zip(*self._entries, strict=True))
        order = np.lexsort((columns, rows))
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = self._count, self._row_count
        model.col_lower_, model.col_upper_ = map(np.concatenate, (self._lower, self._upper))
        model.col_cost_ = np.concatenate(self._brings)
        model.row_lower_, model.row_upper_ = map(np.concatenate, (self._row_lower, self._row_upper))
        model.sense_ = highspy.ObjSense.kMaximize
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.searchsorted(rows[order], np.arange(self._row_count + 1))
        model.a_matrix_.index_ = columns[order]
        model.a_matrix_.value_ = values[order]
        return model
