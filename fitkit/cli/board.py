"""The board as a page to take along, and a layout that comes back from it."""

from __future__ import annotations

from pathlib import Path

from attrs import evolve

from fitkit.errors import BadInput, Fault


def board_page_of(plan_file: Path, page: Path) -> int:
    """Write the board of a saved plan as one HTML page; returns the exit code."""
    from fitkit.cli.terminal import output
    from fitkit.notebook.session.state import State
    from fitkit.notebook.session.take_along import write_page
    from fitkit.plan_json import read_plan

    plan = read_plan(plan_file)
    if plan.fit.misses:
        what = "nothing was found that keeps its limits: there is no layout to move"
        raise BadInput([Fault(str(plan_file), what, "plan the sheet again with other limits")])
    state = State.of(
        plan.payload, interior=plan.fit.interior, placements=plan.fit.placements
    ).showing(None)
    write_page(state, page)
    output().print(
        f"Wrote {page}. It opens in any browser, without a network; save the layout there, then:\n"
        f"fitkit board {plan_file} --layout layout.json -o DIR"
    )
    return 0


def plan_of_layout(plan_file: Path, layout_file: Path, folder: Path) -> int:
    """Plan a layout that was moved on the page, and write everything; returns the exit code."""
    from fitkit.cli.planning import writing
    from fitkit.cli.show import exit_code, show_plan
    from fitkit.cli.terminal import output
    from fitkit.documents.files import write_all
    from fitkit.fit.move import by_hand
    from fitkit.notebook.session.opening import with_layout
    from fitkit.notebook.session.state import State
    from fitkit.plan import plan_of
    from fitkit.plan_json import read_plan
    from fitkit.plan_json.layouts import check_layout, read_layout

    before = read_plan(plan_file)
    layout = read_layout(layout_file)
    check_layout(layout, before.payload, place=str(layout_file))
    state = with_layout(
        State.of(before.payload, interior=before.fit.interior, placements=before.fit.placements),
        layout,
    )
    broken = state.violations()
    if broken:
        raise BadInput(
            Fault(f"{layout_file}: {one.left}", str(one), "move it on the page, and save again")
            for one in broken
        )
    fit = by_hand(before.fit, interior=state.interior, placements=state.placements)
    choices = evolve(before.choices, pins=state.pins())
    plan = plan_of(before.payload, fit=fit, choices=choices, ready_made=before.ready_made)
    written = writing(lambda told: write_all(plan, folder, progress=told))
    show_plan(output(), plan, folder=folder, written=written)
    return exit_code(plan.findings, plan.fit.misses)
