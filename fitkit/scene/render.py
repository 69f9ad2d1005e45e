"""Pictures of a plan in three dimensions, drawn in a child process that may fail.

Without a working graphics driver the libraries behind pyvista end the whole process. So every
picture is drawn in a child; when that fails, the answer says why and the caller draws the plain
line picture instead.
"""

from __future__ import annotations

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
from fitkit.scene.page import view_frame
from fitkit.scene.solids import supports_of

TIMEOUT_S = 60.0
"""How long a child may draw before it is given up [s]."""


@frozen
class Rendering:
    """What came of a picture: its bytes (None when it could not be drawn), and why not."""

    data: bytes | None
    why: str = ""


def exploded_picture(plan: Plan, *, size: tuple[int, int] = (1600, 1200)) -> Rendering:
    """The open case taken apart, as the bytes of a PNG of ``size`` pixels."""
    return _draw(plan_parts(plan), size)


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
    """The open case as a frame that needs no server, no network and no graphics driver."""
    return view_frame(plan, look="", height_px=height_px)


def plan_parts(plan: Plan) -> tuple[Part, ...]:
    """The parts that a picture of the open case shows."""
    placed = place_all(plan.payload, plan.fit.placements)
    supports = tuple(
        Part("support", one.piece.name, one.half, one.shape, one.z0_mm, one.z1_mm)
        for one in supports_of(plan, placed)
    )
    return exploded_parts(
        plan.foam, plan.fit.interior, placed, outside_mm=plan.outside_mm, supports=supports
    )


_broken: list[str] = []
"""Why drawing failed in this session: what crashed once is not tried again."""


def _draw(parts: tuple[Part, ...], size: tuple[int, int]) -> Rendering:
    if _broken:
        return Rendering(None, _broken[0])
    rendering = _child(parts, size)
    if rendering.data is None:
        _broken.append(rendering.why)
    return rendering


def _child(parts: tuple[Part, ...], size: tuple[int, int]) -> Rendering:
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "picture.png"
        command = [sys.executable, "-m", "fitkit.scene.child", str(target), *map(str, size)]
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
        return f"a library is missing ({missing.partition(': ')[2]}); install fitkit again"
    if done.returncode < 0:
        return "the graphics driver failed; install EGL (on Debian: libegl1) or work on a desktop"
    return f"the drawing process ended with code {done.returncode}"
