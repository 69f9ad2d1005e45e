"""Linear programs, handed to the solver as arrays."""

from __future__ import annotations

import os
import sys
from functools import lru_cache
from typing import Any

import numpy as np
from attrs import frozen


@frozen
class Rows:
    """Rows of a program: the columns and factors of each, shape (rows, entries), and least values.

    Unused entries have factor 0 (any column, but no column twice in one row).
    """

    columns: np.ndarray
    factors: np.ndarray
    least: np.ndarray


@frozen
class Answer:
    """The best point, its value, and how much each row's least value costs."""

    point: np.ndarray
    value: float
    prices: np.ndarray


@lru_cache(maxsize=1)
def hushed() -> None:
    """Have the solver print its banner, which it does once, to nowhere."""
    import highspy

    new: Any = highspy.Highs
    sys.stdout.flush()
    try:
        shown = os.dup(1)
    except OSError:  # there is no standard output to keep clean
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        new()
    finally:
        os.dup2(shown, 1)
        os.close(shown)
        os.close(nowhere)


def minimise(
    cost: np.ndarray, *, low: np.ndarray, high: np.ndarray, rows: list[Rows]
) -> Answer | None:
    """The point of least cost within its bounds and rows; None where there is none.

    >>> answer = minimise(
    ...     np.array([1.0, 2.0]), low=np.zeros(2), high=np.full(2, 9.0),
    ...     rows=[Rows(np.array([[0, 1]]), np.ones((1, 2)), np.array([3.0]))],
    ... )
    >>> [float(v) for v in answer.point], answer.value
    ([3.0, 0.0], 3.0)
    """
    import highspy

    program = highspy.HighsLp()
    program.num_col_ = len(cost)
    program.col_cost_, program.col_lower_, program.col_upper_ = cost, low, high
    least = np.concatenate([part.least for part in rows]) if rows else np.zeros(0)
    program.num_row_ = len(least)
    program.row_lower_ = least
    program.row_upper_ = np.full(len(least), highspy.kHighsInf)
    starts, columns, factors, at = [np.zeros(1, dtype=np.int32)], [], [], 0
    for part in rows:
        used = part.factors != 0.0
        starts.append(at + np.cumsum(used.sum(axis=1)))
        at = int(starts[-1][-1]) if len(starts[-1]) else at
        columns.append(part.columns[used])
        factors.append(part.factors[used])
    matrix = program.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.concatenate(starts).astype(np.int32)
    matrix.index_ = np.concatenate(columns).astype(np.int32) if columns else np.zeros(0, np.int32)
    matrix.value_ = np.concatenate(factors) if factors else np.zeros(0)
    hushed()
    new: Any = highspy.Highs
    solver = new()
    solver.silent()
    for name, value in (
        ("threads", 1),
        ("parallel", "off"),
        ("presolve", "off"),
        ("primal_feasibility_tolerance", 1e-9),
        ("dual_feasibility_tolerance", 1e-9),
    ):
        solver.setOptionValue(name, value)
    solver.passModel(program)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    found = solver.getSolution()
    point = np.array(found.col_value)
    return Answer(point, float(cost @ point), np.array(found.row_dual))
