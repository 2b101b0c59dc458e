"""Shared by the whole suite: how long hypothesis looks, and that a run can be repeated."""

import os

from hypothesis import HealthCheck, settings

# a first build loads and warms libraries: no single example is held to a time
_common = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large]}
settings.register_profile("bench", max_examples=30, **_common)
settings.register_profile("ci", max_examples=30, derandomize=True, **_common)
settings.register_profile("thorough", max_examples=400, **_common)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci" if os.environ.get("CI") else "bench"))
