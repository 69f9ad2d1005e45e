"""The recess bench: how far gear must lie behind the closing plane, tried by sliders."""

from fitkit.notebook.recess.bench import RecessBench

__all__ = ["RecessBench"]
