"""The 3D view as a widget: closed, open, taken apart, cut where the builder says.

The browser draws it by a painter of its own, without WebGL or a graphics driver, so nothing that
fails there can end the kernel, and any number of views may be open.
"""

from __future__ import annotations

import threading
import traceback
from importlib.resources import files
from typing import Any

import anywidget
import traitlets

from fitkit.notebook.closing import put_away
from fitkit.plan import Plan
from fitkit.scene.page import view_frame, view_script, view_style
from fitkit.scene.solids import scene_of

_RENDER = """
export default {
  render({ model, el }) {
    const root = document.createElement("section");
    root.setAttribute("aria-label", "the case in 3D");
    const note = document.createElement("p");
    note.className = "fk-view-busy fk-look";
    note.setAttribute("role", "status");
    el.append(note, root);
    let view = null;
    const draw = () => {
      const said = model.get("said"), scene = model.get("scene"), before = view ? view.now : {};
      note.textContent = said;
      note.hidden = !said;
      if (!scene.parts) return;
      const { state, yaw, pitch, cut, at, other, hidden } = before;
      if (view) view.close();
      view = caseView(root, scene, view ? { state, yaw, pitch, cut, at, other, hidden } : { state: model.get("state") });
    };
    const told = () => { note.textContent = model.get("said"); note.hidden = !model.get("said"); };
    model.on("change:scene", draw);
    model.on("change:said", told);
    draw();
    return () => { model.off("change:scene", draw); model.off("change:said", told); if (view) view.close(); };
  },
};
"""  # noqa: E501  # a script of its own language

_STYLE = """
.fk-view-busy { margin: 0; padding: 4px 0; font-size: 13px; }
.fk-view-busy[hidden] { display: none; }
"""


def look() -> str:
    """The palette's style sheet."""
    return (files("fitkit.notebook") / "look.css").read_text(encoding="utf-8")


class CaseView(anywidget.AnyWidget):
    """What the browser draws: a scene, and a sentence while there is none."""

    _esm = f"{view_script()}\n{_RENDER}"
    _css = look() + view_style() + _STYLE
    scene = traitlets.Dict().tag(sync=True)
    state = traitlets.Unicode("open").tag(sync=True)
    said = traitlets.Unicode("").tag(sync=True)


class View3D:
    """A plan in three dimensions. Show it as a cell's last line; ``show`` takes another plan.

    In an exported notebook it is a frame that works without a kernel and off the network.
    ``state``: closed, open or apart, at first.
    """

    def __init__(self, plan: Plan | None = None, *, state: str = "open") -> None:
        """Make the view, and draw ``plan`` in it if there is one."""
        self.widget = CaseView(state=state)
        self._plan: Plan | None = None
        self._lock = threading.Lock()
        self._worker: threading.Thread | None = None
        self._open = True
        if plan is not None:
            self.show(plan)

    def show(self, plan: Plan) -> None:
        """Draw ``plan`` in place of what is shown; worked out beside, so that it returns at once.

        Of several plans in a row the last is drawn. What goes wrong is said in the view.
        """
        with self._lock:
            if not self._open:
                return
            self._plan = plan
            self.widget.said = "drawing ..."
            if self._worker is None:
                self._worker = threading.Thread(target=self._draw, name="fitkit-3d", daemon=True)
                self._worker.start()

    def _draw(self) -> None:
        drawn: Plan | None = None
        while True:
            with self._lock:
                if not self._open or self._plan is drawn:
                    self._worker = None
                    return
                drawn = self._plan
            assert drawn is not None  # only show starts this
            said = ""
            scene: dict[str, Any] | None = None
            try:
                scene = scene_of(drawn)
            except Exception:  # noqa: BLE001  # said where the view would be
                said = f"The case cannot be drawn: {traceback.format_exc(limit=-1).strip()}"
            with self._lock:
                if self._open and self._plan is drawn:
                    if scene is not None:
                        self.widget.scene = scene
                    self.widget.said = said

    def wait(self, timeout_s: float = 30.0) -> None:
        """Wait until what was asked for is drawn [s]."""
        worker = self._worker
        if worker is not None:
            worker.join(timeout_s)

    def frame_html(self) -> str:
        """The view as a frame that needs neither kernel nor network; empty without a plan."""
        if self._plan is None:
            return ""
        return view_frame(self._plan, look=look(), state=self.widget.state)

    def close(self) -> None:
        """Take the widget away and end what is being worked out."""
        with self._lock:
            self._open = False
            self._plan = None
        self.wait()
        put_away(self.widget)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        data, metadata = bundle(self.widget, options)
        data["text/html"] = self.frame_html()
        return data, metadata


def bundle(widget: Any, options: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """A widget's own bundle, whether it comes with metadata or not."""
    made = widget._repr_mimebundle_(**options)
    if isinstance(made, tuple):
        return dict(made[0]), dict(made[1])
    return dict(made or {}), {}
