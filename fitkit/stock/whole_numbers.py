"""Least cost in whole numbers: a linear programme whose answers must be whole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from attrs import frozen

from fitkit.fit.polish.program import hushed


@frozen
class Whole:
    """The best whole numbers found, their cost, a bound on any cost, and whether it is closed."""

    values: tuple[int, ...]
    cost: float
    bound: float
    closed: bool


def least_whole(
    cost: Sequence[float],
    *,
    most: Sequence[int],
    table: np.ndarray,
    low: Sequence[float],
    high: Sequence[float],
    gap: float = 0.0,
    nodes: int = 2_000,
    seconds: float = 10.0,
    target: float = -math.inf,
) -> Whole | None:
    """Whole numbers from 0 to ``most`` of least cost, with low <= table @ numbers <= high.

    ``table`` has shape (rows, numbers). It ends when the cost is within the share ``gap`` of its
    bound, at the ``target``, or after so many ``nodes``; ``seconds`` is there for safety only. None
    if it found none, or if there is none.

    >>> found = least_whole(
    ...     [3.0, 2.0], most=[9, 9], table=np.array([[2.0, 1.0]]), low=[5.0], high=[np.inf]
    ... )
    >>> found.values, found.cost, found.closed
    ((2, 1), 8.0, True)
    """
    import highspy

    program = highspy.HighsLp()
    count = len(cost)
    program.num_col_ = count
    program.col_cost_ = np.array(cost, dtype=float)
    program.col_lower_ = np.zeros(count)
    program.col_upper_ = np.array(most, dtype=float)
    program.integrality_ = [highspy.HighsVarType.kInteger] * count
    program.num_row_ = len(low)
    program.row_lower_, program.row_upper_ = np.array(low, float), np.array(high, float)
    at = [np.flatnonzero(row) for row in table]
    matrix = program.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.concatenate([[0], np.cumsum([len(row) for row in at])]).astype(np.int32)
    matrix.index_ = np.concatenate(at).astype(np.int32)
    matrix.value_ = np.concatenate([row[held] for row, held in zip(table, at, strict=True)])
    hushed()
    new: Any = highspy.Highs
    solver = new()
    solver.silent()
    for name, value in (
        ("threads", 1),
        ("parallel", "off"),
        ("random_seed", 1),
        ("mip_rel_gap", gap),
        ("mip_abs_gap", 1e-6),
        ("mip_max_nodes", nodes),
        ("time_limit", seconds),
        *([("objective_target", target + 1e-6)] if target > -math.inf else []),
    ):
        solver.setOptionValue(name, value)
    solver.passModel(program)
    solver.run()
    told = solver.getInfo()
    if told.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None
    values = tuple(round(value) for value in solver.getSolution().col_value)
    worth, bound = float(np.dot(np.array(cost, dtype=float), values)), float(told.mip_dual_bound)
    # what the solver calls optimal is believed only where its bound says the same
    done = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    closed = done and bound >= worth * (1 - gap) - 1e-5
    return Whole(values, worth, bound, closed)
