"""Sharing copies out over a given number of cases: masses under the limit, loads alike."""

from __future__ import annotations

from attrs import field, frozen, mutable

from fitkit.fit.several.answer import Counts

GRAMS = 1000
LEAST_SHARES = 10_000
"""Loads are counted in parts of this, so that they are whole numbers."""

WORK = 2.0
"""Deterministic time that one sharing out may take (the solver's own unit, about seconds)."""


@frozen
class Kind:
    """An item as the sharing sees it: copies, mass [kg], and a measure of the room it takes."""

    count: int
    mass_kg: float
    load: float


@mutable
class Rules:
    """What is known so far: the mass that items may have in one case, and what does not go in.

    ``full`` lists contents that were found not to fit one case: no case gets as much of each.
    """

    kinds: tuple[Kind, ...]
    items_kg: float | None = None
    full: list[Counts] = field(factory=list)


def shared(rules: Rules, cases: int, *, seed: int) -> tuple[Counts, ...] | None:
    """Copies for each of ``cases`` cases, none of them empty; None where the rules allow none.

    The largest load is made small first, then the largest mass: cases come out alike, and the
    heaviest no heavier than it must be. None too if the solver's work limit brings no answer.
    """
    from ortools.sat.python import cp_model

    kinds = rules.kinds
    model = cp_model.CpModel()
    counts = [
        [model.new_int_var(0, kind.count, f"x{i}_{c}") for c in range(cases)]
        for i, kind in enumerate(kinds)
    ]
    for i, kind in enumerate(kinds):
        model.add(sum(counts[i]) == kind.count)
    grams = [round(kind.mass_kg * GRAMS) for kind in kinds]
    total = sum(kind.load * kind.count for kind in kinds) or 1.0
    parts = [round(kind.load / total * LEAST_SHARES) for kind in kinds]
    heaviest = model.new_int_var(0, sum(g * k.count for g, k in zip(grams, kinds, strict=True)), "")
    fullest = model.new_int_var(0, sum(p * k.count for p, k in zip(parts, kinds, strict=True)), "")
    masses = []
    for c in range(cases):
        mass = sum(g * counts[i][c] for i, g in enumerate(grams))
        load = sum(p * counts[i][c] for i, p in enumerate(parts))
        masses.append(mass)
        model.add(sum(counts[i][c] for i in range(len(kinds))) >= 1)
        model.add(mass <= heaviest)
        model.add(load <= fullest)
        if rules.items_kg is not None:
            model.add(mass <= int(rules.items_kg * GRAMS + 1e-6))
        for full in rules.full:
            fewer = []
            for i, n in enumerate(full):
                if n:
                    less = model.new_bool_var("")
                    model.add(counts[i][c] <= n - 1).only_enforce_if(less)
                    fewer.append(less)
            model.add_bool_or(fewer)
    for first, second in zip(masses[:-1], masses[1:], strict=True):
        model.add(first >= second)  # cases are alike: the heaviest comes first
    # a tenth of the load is worth as much as the whole mass: even loads first, then even masses
    weight = max(1, sum(g * k.count for g, k in zip(grams, kinds, strict=True)) * 10)
    model.minimize(fullest * max(1, weight // LEAST_SHARES) + heaviest)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = WORK
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return tuple(
        tuple(int(solver.value(counts[i][c])) for i in range(len(kinds))) for c in range(cases)
    )
