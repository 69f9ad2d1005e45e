"""A plan in three dimensions: pictures for the folder and the view in the notebook."""

from fitkit.scene.render import Rendering, exploded_picture, notebook_html, render_exploded

__all__ = ["Rendering", "exploded_picture", "notebook_html", "render_exploded"]
