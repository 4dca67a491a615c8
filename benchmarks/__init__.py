"""How fast the engine is beside what a user could pick instead; run with ``python -m benchmarks``."""

import os

# Set before numpy loads. Threads in products of short vectors made the peers up to ten times slower on a busy
# machine (measured: scikit-fem, 12,000 unknowns), and never faster here.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
