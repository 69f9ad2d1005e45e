"""Every drawing of a plan's shell as files: for the workshop, for cutters, and to print at 1:1."""

from __future__ import annotations

from collections.abc import Iterator

from fitkit.documents.bar_drawing import bar_sheets
from fitkit.documents.naming import plan_id, safe_name
from fitkit.documents.outside_view import outside_sheet
from fitkit.documents.panel_cut import origin_note, panel_cut_sheet
from fitkit.documents.panel_drawing import panel_sheets
from fitkit.documents.pens.dxf import DxfVersion, dxf
from fitkit.documents.pens.pdf import pdf
from fitkit.documents.pens.png import png
from fitkit.documents.pens.svg import svg
from fitkit.documents.sheet import PRINTED
from fitkit.documents.shell_faces import face_of, same_from_inside
from fitkit.documents.shell_templates import shell_templates_pdf
from fitkit.documents.support_cut import sub_panel_cuts, sub_panel_names
from fitkit.documents.support_drawing import support_sheets
from fitkit.documents.tiles import Paper
from fitkit.plan import Plan


def shell_documents(
    plan: Plan, *, paper: Paper = "A4", dxf_version: DxfVersion = "R2000"
) -> Iterator[tuple[str, bytes]]:
    """Each drawing's path in the folder and its bytes; none where the plan has no shell.

    ``shell/deep-front.dxf`` and ``.svg`` for each panel, ``-inside`` where it looks different from
    inside, and for each distinct sub-panel; ``shell/panels.pdf``, ``shell/profiles.pdf``,
    ``shell/supports.pdf`` where something is mounted, ``shell/templates.pdf`` and
    ``views/outside.png``. :func:`shell_paths` tells the paths alone.
    """
    shell = plan.shell
    if shell is None:
        return
    for panel in shell.panels:
        for inside, name in _faces(plan, panel.name):
            cut = panel_cut_sheet(plan, panel, inside=inside)
            drawn = dxf(cut.sheet, version=dxf_version, left_mm=cut.left_mm, low_mm=cut.low_mm)
            yield f"{name}.dxf", drawn
            yield f"{name}.svg", svg(cut.sheet, ground=False, note=origin_note(cut)).encode()
    for name, cut in sub_panel_cuts(plan):
        drawn = dxf(cut.sheet, version=dxf_version, left_mm=cut.left_mm, low_mm=cut.low_mm)
        yield f"shell/{name}.dxf", drawn
        yield f"shell/{name}.svg", svg(cut.sheet, ground=False, note=origin_note(cut)).encode()
    title, subject = plan.payload.title, f"plan {plan_id(plan)}"
    panels = pdf(panel_sheets(plan), title=f"{title}: panels", subject=subject, colours=PRINTED)
    yield "shell/panels.pdf", panels
    bars = pdf(bar_sheets(plan), title=f"{title}: profiles", subject=subject, colours=PRINTED)
    yield "shell/profiles.pdf", bars
    if shell.supports:
        sheets = support_sheets(plan)
        held = pdf(sheets, title=f"{title}: supports", subject=subject, colours=PRINTED)
        yield "shell/supports.pdf", held
    yield "shell/templates.pdf", shell_templates_pdf(plan, paper=paper)
    yield "views/outside.png", png(outside_sheet(plan))


def shell_paths(plan: Plan) -> list[str]:
    """The paths that :func:`shell_documents` gives, in its order, without drawing anything."""
    if plan.shell is None:
        return []
    cut = [
        f"{name}.{kind}"
        for panel in plan.shell.panels
        for _, name in _faces(plan, panel.name)
        for kind in ("dxf", "svg")
    ]
    cut += [f"shell/{name}.{kind}" for name in sub_panel_names(plan) for kind in ("dxf", "svg")]
    held = ["shell/supports.pdf"] if plan.shell.supports else []
    return [*cut, "shell/panels.pdf", "shell/profiles.pdf", *held, "shell/templates.pdf",
            "views/outside.png"]  # fmt: skip


def _faces(plan: Plan, name: str) -> list[tuple[bool, str]]:
    """The faces of a panel that are cut files of their own, and their paths without an ending."""
    if plan.shell is None:
        return []
    path = f"shell/{safe_name(name)}"
    face = face_of(plan.shell, plan.shell.panel(name))
    found = [(False, path)]
    if not same_from_inside(face):
        found.append((True, f"{path}-inside"))
    return found
