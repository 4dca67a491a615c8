"""Small jobs as text, and small thermal models without any trade data, shared by the tests. All sizes
invented."""

from typing import Any

import numpy as np

from brazesoak.analysis.plan import Prepared, prepare
from brazesoak.jobfile.read import ReadJob, read_job_text
from brazesoak.parts.assembly import Assembly, assemble
from brazesoak.thermal.furnace import Chamber, Profile, Surroundings
from brazesoak.thermal.layout import Layout
from brazesoak.thermal.model import Body, Contact, Curve, ThermalModel
from brazesoak.trade.library import Library

LIBRARY = Library()
SIGMA = 5.670374419e-8
"""Stefan-Boltzmann constant [W/(m2 K4)], CODATA 2018, typed in again on purpose."""


def kelvin(celsius: float) -> float:
    return celsius + 273.15


def _keys(values: dict[str, Any]) -> str:
    def shown(value: Any) -> str:
        if isinstance(value, list):
            return "[" + ", ".join(f'"{v}"' for v in value) + "]"
        return str(value) if isinstance(value, float | int) else f'"{value}"'

    return "".join(f"{key} = {shown(value)}\n" for key, value in values.items())


def segment(name: str, metal: str = "AISI 1018", surface: Any = "oxidised", **keys: Any) -> str:
    return "[[segment]]\n" + _keys({"name": name, "metal": metal, "surface": surface, **keys})


def plate(name: str = "plate", metal: str = "AISI 1018", surface: Any = "oxidised", **keys: Any) -> str:
    size = {"shape": "plate", "length": "120 mm", "width": "90 mm", "thickness": "6 mm"}
    return segment(name, metal, surface, **{**size, **keys})


def boss(name: str = "boss", metal: str = "AISI 1018", surface: Any = "oxidised", **keys: Any) -> str:
    return segment(name, metal, surface, **{"shape": "boss", "diameter": "40 mm", "height": "30 mm", **keys})


def bar(name: str, metal: str = "AISI 1018", surface: Any = "oxidised", **keys: Any) -> str:
    size = {"shape": "bar", "length": "100 mm", "width": "30 mm", "height": "20 mm"}
    return segment(name, metal, surface, **{**size, **keys})


def tube(name: str = "tube", metal: str = "AISI 1018", surface: Any = "oxidised", **keys: Any) -> str:
    size = {"shape": "tube", "outer_diameter": "60 mm", "inner_diameter": "40 mm", "length": "50 mm"}
    return segment(name, metal, surface, **{**size, **keys})


def lump(name: str, metal: str = "AISI 1018", surface: Any = "oxidised", **keys: Any) -> str:
    size = {"shape": "lump", "mass": "0.5 kg", "exposed_area": "150 cm2", "thickest_section": "10 mm"}
    return segment(name, metal, surface, **{**size, **keys})


def joint(one: str, other: str, name: str = "joint", **keys: Any) -> str:
    return "[[joint]]\n" + _keys({"name": name, "between": [one, other], **keys})


def job(
    *parts: str,
    furnace: str = 'name = "ideal"',
    program: str = "",
    hold: str = "",
    limits: str = "",
    filler: str = "BAg-7",
    flux: str = "FB3-C",
    gap: str = "0.1 mm",
    fidelity: str = "auto",
    load: str = "",
) -> str:
    """The text of a job; by default a boss on a plate, both of steel."""
    head = f'title = "t"\nfidelity = "{fidelity}"\n[furnace]\n{furnace}\n[program]\n{program}\n[hold]\n{hold}\n'
    head += f"[limits]\n{limits}\n" + (f"[load]\n{load}\n" if load else "")
    brazing = "[brazing]\n" + _keys({"filler": filler, "flux": flux, "gap": gap})
    return head + brazing + "".join(parts or (plate(), boss(), joint("boss", "plate")))


def read(*parts: str, **keys: str) -> ReadJob:
    return read_job_text(job(*parts, **keys))


def assembly(*parts: str, **keys: str) -> Assembly:
    return assemble(read(*parts, **keys), LIBRARY)


def prepared(*parts: str, **keys: str) -> Prepared:
    return prepare(read(*parts, **keys), LIBRARY)


def curve(value: float) -> Curve:
    return np.array([250.0, 1500.0]), np.full(2, value)


def body(
    name: str = "a",
    *,
    mass: float = 1.0,
    area: float = 0.02,
    emissivity: float = 0.5,
    specific_heat: float = 500.0,
    density: float = 8000.0,
    conductivity: float = 50.0,
) -> Body:
    return Body(
        name,
        curve(density * specific_heat),
        curve(conductivity),
        curve(emissivity),
        mass / density,
        area,
        0.02,
    )


def contact(
    conductance: float = 500.0, area: float = 1e-3, bodies: tuple[int, int] = (0, 1), target: float = 682.0
) -> Contact:
    """A joint with BAg-7 whose filled gap is a thousand times better than the dry one."""
    return Contact(
        f"joint {bodies[0]}-{bodies[1]}",
        bodies,
        area,
        curve(conductance),
        curve(1e3 * conductance),
        kelvin(618.0),
        kelvin(652.0),
        kelvin(target),
    )


def model(
    *bodies: Body,
    contacts: tuple[Contact, ...] = (),
    walls: float | Profile = 727.0,
    film: float = 7.0,
    chamber: Chamber | None = None,
    layout: Layout | None = None,
    start: float = 20.0,
) -> ThermalModel:
    """`walls` and `start` [degC]; walls that are one number are there from the start."""
    profile = walls if isinstance(walls, Profile) else Profile(np.array([0.0]), np.array([kelvin(walls)]))
    outside = Surroundings(profile, film, chamber, 5.0, kelvin(20.0))
    return ThermalModel(bodies, contacts or (contact(),), outside, kelvin(start), layout)
