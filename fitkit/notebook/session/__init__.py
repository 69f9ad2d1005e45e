"""The board with what lies behind it: history, autosave, and a child process that searches."""

from fitkit.notebook.session.bench import FitBench

__all__ = ["FitBench"]
