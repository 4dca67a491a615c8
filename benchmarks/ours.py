"""The engine's own core on a case, through its public calls."""

from __future__ import annotations

from brazesoak_solvers import Graph, March, Options, Probe, Problem, Watch, material

from .cases import THRESHOLDS, Case
from .melting import Run


def build(case: Case) -> tuple[Problem, list[Probe]]:
    """The case as a problem of the core, and what is watched."""
    graph = Graph()
    materials = [
        graph.material(material(m.capacity[1], m.conductivity[1], m.capacity[0], m.conductivity[0])) for m in case.metal
    ]
    contact = graph.contact(case.contact)
    graph.mesh(case.mesh, materials, dict.fromkeys(case.joined, contact))
    furnace, outer = graph.ambient(case.furnace), case.mesh.outer
    for i, emissivity in enumerate(case.emissivity):
        at = case.exposed & (case.mesh.region[outer.cell] == i)
        if at.any():
            graph.boundary(
                outer.cell[at], outer.area[at], outer.shape[at],
                gas=furnace, film=case.film, emissivity=emissivity,
            )  # fmt: skip
    cells = [Probe(tuple(c.tolist())) for c in case.cells_of()]
    joints = [Probe(tuple(f.tolist()), "cold side") for f in case.joint_faces()]
    return graph.problem(case.start), [*cells, *joints]


def run(case: Case, tolerance: float, end: float | None = None) -> Run:
    """March to the end of the case with the given tolerance of a step [K]."""
    problem, probes = build(case)
    watch = Watch(problem, probes, [(i, T) for i in range(len(probes)) for T in THRESHOLDS])
    March(problem, Options(tolerance=tolerance)).run(end or case.end, watch)
    found = [watch.first(i, T) for i in range(len(probes)) for T in THRESHOLDS]
    melt = tuple(float("nan") if t is None else t for t in found)
    assert watch.balance_error < 1e-3, "heat was lost"
    return Run(melt, watch.steps, watch.newton, watch.linear, float(watch.time[-1]))
