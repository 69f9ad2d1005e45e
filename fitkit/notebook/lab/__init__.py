"""Opening the notebooks: in JupyterLab, or as pages without code."""

from fitkit.notebook.lab.folder import notebooks_folder
from fitkit.notebook.lab.start import command, start

__all__ = ["command", "notebooks_folder", "start"]
