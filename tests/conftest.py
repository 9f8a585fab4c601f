"""What every test runs under."""

from __future__ import annotations

import os

from hypothesis import settings

# The tests run in as many processes as there are cores: one thread each for the linear algebra.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("terrain_head", deadline=None)  # speed is never a timed test here
settings.load_profile("terrain_head")
