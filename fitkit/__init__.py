"""fitkit: from measured gear to a case that can be built."""

__version__ = "0.1.0"
