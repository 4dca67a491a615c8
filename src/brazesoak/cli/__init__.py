"""The command line."""

import os

# Every core has a heat to compute; threads of the linear algebra library would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from .main import main

__all__ = ["main"]
