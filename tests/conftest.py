"""No test measures time: Hypothesis sets no deadline, on a busy machine as on a quick one."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("without deadline", deadline=None)
settings.load_profile("without deadline")
