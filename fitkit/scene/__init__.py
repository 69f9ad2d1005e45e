"""A plan in three dimensions: a picture for the folder, and the view that a browser draws."""

from fitkit.scene.page import view_frame, view_page
from fitkit.scene.render import Rendering, exploded_picture, notebook_html, render_exploded
from fitkit.scene.solids import Solid, scene_of, solids_of

__all__ = [
    "Rendering",
    "Solid",
    "exploded_picture",
    "notebook_html",
    "render_exploded",
    "scene_of",
    "solids_of",
    "view_frame",
    "view_page",
]
