"""Bundles of arrays that cross into compiled code as one object."""

from .._jit import bundle, kernel

MarchBundle = bundle("MarchBundle", ("P", "S", "W", "Z"))
"""What a march needs: a problem, its linear solver, and both sorts of scratch arrays."""
ProbeBundle = bundle("ProbeBundle", ("M", "f", "U", "mat", "Q"))
"""What reading probes needs: materials, faces, curves, material of each cell, and probes."""


@kernel
def bundle_march(P, S, W, Z):
    """Bundle what a march needs; the arrays are shared, not copied."""
    return MarchBundle(P, S, W, Z)


@kernel
def bundle_probes(M, f, U, mat, Q):
    """Bundle what reading probes needs; the arrays are shared, not copied."""
    return ProbeBundle(M, f, U, mat, Q)
