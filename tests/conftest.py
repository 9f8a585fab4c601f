"""What every test runs under."""

from __future__ import annotations

import os

# The tests run in as many processes as there are cores: one thread each for the linear algebra.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
