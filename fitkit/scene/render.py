"""Pictures of a plan in three dimensions, drawn in a child process that may fail.

Without a working graphics driver the libraries behind pyvista end the whole process. So every
picture is drawn in a child; when that fails, the answer says why and the caller draws the plain
line picture instead.
"""

from __future__ import annotations

import html
import os
import pickle
import subprocess
import sys
import tempfile
from pathlib import Path

from attrs import frozen

from fitkit.fit.place import place_all
from fitkit.foam.exploded import Part, exploded_parts
from fitkit.plan import Plan

TIMEOUT_S = 60.0
"""How long a child may draw before it is given up [s]."""


@frozen
class Rendering:
    """What came of a picture: its bytes (None when it could not be drawn), and why not."""

    data: bytes | None
    why: str = ""


def exploded_picture(plan: Plan, *, size: tuple[int, int] = (1600, 1200)) -> Rendering:
    """The open case taken apart, as the bytes of a PNG of ``size`` pixels."""
    return _draw("png", plan_parts(plan), size)


def render_exploded(plan: Plan, path: Path, *, size: tuple[int, int] = (1600, 1200)) -> Rendering:
    """Write the picture of the open case to ``path`` (a PNG), by a file beside it that is renamed.

    Nothing is written when it cannot be drawn; the rendering says why. OSError if the folder
    cannot be written.
    """
    rendering = exploded_picture(plan, size=size)
    if rendering.data is not None:
        beside = path.with_name(path.name + ".part")
        beside.write_bytes(rendering.data)
        beside.replace(path)
    return rendering


def notebook_html(plan: Plan, *, height_px: int = 560) -> str:
    """The open case as a 3D view for a notebook: one frame that needs no server and no network.

    When it cannot be drawn, a paragraph that says why.
    """
    rendering = _draw("html", plan_parts(plan), (1200, height_px))
    if rendering.data is None:
        return f'<p class="fk-note">No 3D view on this computer: {html.escape(rendering.why)}</p>'
    page = html.escape(rendering.data.decode("utf-8"), quote=True)
    return (
        f'<iframe class="fk-view" title="The case in 3D" srcdoc="{page}" '
        f'style="width:100%;height:{height_px}px;border:0"></iframe>'
    )


def plan_parts(plan: Plan) -> tuple[Part, ...]:
    """The parts that a picture of the open case shows."""
    placed = place_all(plan.payload, plan.fit.placements)
    return exploded_parts(plan.foam, plan.fit.interior, placed, outside_mm=plan.outside_mm)


_broken: dict[str, str] = {}
"""Why drawing failed in this session, by kind of picture: what crashed once is not tried again."""


def _draw(kind: str, parts: tuple[Part, ...], size: tuple[int, int]) -> Rendering:
    if kind in _broken:
        return Rendering(None, _broken[kind])
    rendering = _child(kind, parts, size)
    if rendering.data is None:
        _broken[kind] = rendering.why
    return rendering


def _child(kind: str, parts: tuple[Part, ...], size: tuple[int, int]) -> Rendering:
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / f"picture.{kind}"
        command = [sys.executable, "-m", "fitkit.scene.child", kind, str(target), *map(str, size)]
        try:
            done = subprocess.run(
                command,
                input=pickle.dumps(parts),
                capture_output=True,
                timeout=TIMEOUT_S,
                check=False,
                env=_environment(),
            )
        except subprocess.TimeoutExpired:
            return Rendering(None, f"drawing took longer than {TIMEOUT_S:.0f} seconds")
        if done.returncode != 0 or not target.is_file():
            return Rendering(None, _reason(done))
        return Rendering(target.read_bytes())


def _environment() -> dict[str, str]:
    """The child's environment: without a display VTK is told to draw through EGL."""
    here = dict(os.environ)
    here["PYTHONPATH"] = os.pathsep.join(part for part in sys.path if part)
    if sys.platform.startswith("linux") and not here.get("DISPLAY"):
        here.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    return here


def _reason(done: subprocess.CompletedProcess[bytes]) -> str:
    """What the builder is told when a child failed."""
    lines = [
        line.strip() for line in done.stderr.decode("utf-8", "replace").splitlines() if line.strip()
    ]
    missing = next(
        (line for line in reversed(lines) if line.startswith("ModuleNotFoundError")), None
    )
    if missing is not None:
        return f"a library is missing ({missing.partition(': ')[2]}); install fitkit[lab]"
    if done.returncode < 0:
        return "the graphics driver failed; install EGL (on Debian: libegl1) or work on a desktop"
    return f"the drawing process ended with code {done.returncode}"
