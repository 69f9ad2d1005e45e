"""The commands by name, with their options."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import click

from fitkit import __version__

OBJECTIVES = ("volume", "plan", "longest", "linear", "first")
FOLDER = Path


class Seconds(click.ParamType):  # type: ignore[type-arg,unused-ignore]  # generic only in newer click
    """A time above 0 and up to a day."""

    name = "seconds"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The value as seconds [s]; a usage error for anything but a time above 0."""
        try:
            seconds = float(value)
        except ValueError:
            seconds = math.nan
        if not 0 < seconds <= 86400:
            self.fail(f"{value!r} is no number of seconds above 0 and up to 86400 (a day).", param)
        return seconds


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="fitkit %(version)s")
def fitkit() -> None:
    """From measured gear to a foam-lined case that can be built."""


@fitkit.command()
@click.argument("sheet", type=FOLDER)
@click.option("-o", "--out", "folder", type=FOLDER, required=True, help="Folder to write to.")
@click.option(
    "--objective",
    type=click.Choice(OBJECTIVES),
    help="What to make small: volume, plan area, longest side, linear sum of the outside, or "
    "the first case within the limits. Default: as in the sheet.",
)
@click.option(
    "--budget", type=Seconds(), default=10.0, show_default=True, help="Time for the search [s]."
)
@click.option("--seed", type=int, default=1, show_default=True, help="Start of the random choices.")
@click.option("--repeatable", is_flag=True, help="Count work, not time: the same bytes each time.")
@click.option("--case", metavar="NAME", help="Plan for this ready-made case of the sheet's list.")
@click.option(
    "--several", is_flag=True, help="Share the kit out over several cases where one breaks a limit."
)
@click.option(
    "--paper",
    type=click.Choice(["A4", "Letter"], case_sensitive=False),
    default="A4",
    show_default=True,
    help="Paper of the 1:1 templates.",
)
@click.option(
    "--dxf",
    type=click.Choice(["R2000", "R12"], case_sensitive=False),
    default="R2000",
    show_default=True,
    help="Version of the DXF files.",
)
def plan(sheet: Path, folder: Path, **options: Any) -> int:
    """Plan the smallest case for the payload SHEET and write everything to build it."""
    from fitkit.cli.planning import plan_sheet

    return plan_sheet(sheet, folder, **options)


@fitkit.command()
@click.argument("plan_file", metavar="PLAN", type=FOLDER)
def check(plan_file: Path) -> int:
    """Check a saved PLAN (plan.json) again and print the findings."""
    from fitkit.cli.planning import check_plan

    return check_plan(plan_file)


@fitkit.command()
@click.argument("plan_file", metavar="PLAN", type=FOLDER)
@click.option("-o", "--out", type=FOLDER, required=True, help="Page to write, or folder.")
@click.option("--layout", type=FOLDER, help="A layout saved on the page: plan it into the folder.")
def board(plan_file: Path, out: Path, layout: Path | None) -> int:
    """Write the board of a saved PLAN as a page to take along, or plan a layout that came back.

    The page (one HTML file) opens in any browser without a network: drag the gear there, save the
    layout, and give it back with --layout.
    """
    from fitkit.cli.board import board_page_of, plan_of_layout

    return (
        board_page_of(plan_file, out) if layout is None else plan_of_layout(plan_file, layout, out)
    )


@fitkit.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
def sample(folder: Path) -> int:
    """Copy the sample payload sheets to DIR; files that are there already stay as they are."""
    from fitkit.cli.samples import copy_samples

    return copy_samples(folder)


@fitkit.command()
@click.argument("folder", metavar="[FOLDER]", type=FOLDER, required=False)
@click.option("--port", type=click.IntRange(1, 65535), help="Port to serve on. Default: any.")
@click.option("--app", is_flag=True, help="The same notebooks as pages without code.")
def lab(folder: Path | None, port: int | None, app: bool) -> int:
    """Open your notebooks in FOLDER (needs the extra "lab").

    Notebooks that FOLDER lacks are copied into it; files that are there stay as they are. Without
    FOLDER: the current one if it holds notebooks of ours, else fitkit-notebooks in it.
    """
    import signal

    from fitkit.notebook.lab import start

    # Ctrl-C is for JupyterLab, which asks before it shuts down; here we only wait for it
    before = signal.signal(signal.SIGINT, lambda *_: None)
    try:
        return start(folder, port=port or 0, app=app, say=click.echo)
    finally:
        signal.signal(signal.SIGINT, before)
