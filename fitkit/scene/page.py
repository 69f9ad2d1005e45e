"""The view of a case as one page that needs no server, no network and no graphics driver."""

from __future__ import annotations

import html
import json
from importlib.resources import files

from fitkit.plan import Plan
from fitkit.scene.solids import scene_of

SCRIPTS = ("mesh.js", "paint.js", "stand.js", "names.js", "view.js")

_PLAIN = """
body { margin: 0; background: var(--fk-paper, #FBFAF5); }
body.fk-page .fk-case-view { --fk-view-height: calc(100vh - 150px); }
"""


def view_script() -> str:
    """The view's own code: plain functions, ``caseView(element, scene)`` first among them."""
    here = files("fitkit.scene") / "view"
    return "\n".join((here / name).read_text(encoding="utf-8") for name in SCRIPTS)


def view_style() -> str:
    """The view's style sheet; colours come from the palette's variables."""
    return (files("fitkit.scene") / "view" / "view.css").read_text(encoding="utf-8")


def view_page(plan: Plan, *, look: str, state: str = "open") -> str:
    """One HTML page with the view in it; ``look`` is the palette's style sheet.

    ``state``: closed, open or apart, at first.
    """
    scene = json.dumps(scene_of(plan), separators=(",", ":")).replace("<", "\\u003c")
    title = html.escape(plan.payload.title)
    return f"""<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>{title}, the case</title>
<meta name="viewport" content="width=device-width, initial-scale=1.0">
<link rel="icon" href="data:;base64,="><style>{look}{view_style()}{_PLAIN}</style></head>
<body class="fk-page fk-look"><main id="case"><noscript>The case is drawn by a script in this page;
your browser does not run it. The pictures in the plan's folder show the same.</noscript></main>
<script type="application/json" id="scene">{scene}</script>
<script>{view_script()}
caseView(document.getElementById("case"),
  JSON.parse(document.getElementById("scene").textContent), {{ state: {json.dumps(state)} }});
</script></body></html>"""


def view_frame(plan: Plan, *, look: str, state: str = "open", height_px: int = 640) -> str:
    """The same page in a frame of its own, for a notebook that is exported as HTML."""
    page = html.escape(view_page(plan, look=look, state=state), quote=True)
    return (
        f'<iframe class="fk-view" title="The case in 3D" srcdoc="{page}" '
        f'style="width:100%;height:{height_px}px;border:0"></iframe>'
    )
