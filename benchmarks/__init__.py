"""How fast the engine is beside what a user could pick instead; run with ``python -m benchmarks``."""
