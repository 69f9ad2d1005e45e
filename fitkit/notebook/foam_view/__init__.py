"""The foam, layer by layer as it will be cut, with notches that can be moved by hand."""

from fitkit.notebook.foam_view.bench import FoamBench
from fitkit.notebook.foam_view.widget import FoamView

__all__ = ["FoamBench", "FoamView"]
