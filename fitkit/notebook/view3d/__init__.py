"""The case in three dimensions, and the page that goes to the workshop."""

from fitkit.notebook.view3d.bench import View3D
from fitkit.notebook.view3d.build import BuildBench

__all__ = ["BuildBench", "View3D"]
