"""A problem as the kernels see it: flat arrays in tuples. Symbols are those of the kernels, see `kernels`."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Signals(NamedTuple):
    """What the outside does at one time: all the time dependence of a problem.

    ambient : float64[n_ambient]     temperature of each prescribed surroundings [K]
    source : float64[n_cell] or [0]  heat generated in each cell [W]; empty: none
    """

    ambient: FloatArray
    source: FloatArray


class MaterialArrays(NamedTuple):
    """Tables of all materials, one after another; material m has intervals ptr[m] to ptr[m + 1] - 1, and edge
    i + m is the lower end of interval i. In each, c goes from c0 to c1 by `bend` a kelvin and k from k0 by `slope`.
    k is the curve of the material's conductivity, least its least heat capacity."""

    ptr: IntArray
    T: FloatArray
    H: FloatArray
    c0: FloatArray
    c1: FloatArray
    bend: FloatArray
    k0: FloatArray
    slope: FloatArray
    k: IntArray
    least: FloatArray


class FaceArrays(NamedTuple):
    """Faces: cells a and b, area A, shape factors sa and sb, both in series s, contact (-1: bonded).

    `layered` are the numbers of those with a contact or between two materials, `bordering` of those of border cells.
    """

    a: IntArray
    b: IntArray
    A: FloatArray
    sa: FloatArray
    sb: FloatArray
    contact: IntArray
    s: FloatArray
    layered: IntArray
    bordering: IntArray


class BoundaryArrays(NamedTuple):
    """Boundary faces: cell, area A, shape factor s, curves of film and emissivity, enclosure r, flux q,
    surroundings of gas and wall, and 1 where the surface has the temperature of the gas."""

    cell: IntArray
    A: FloatArray
    s: FloatArray
    film: IntArray
    eps: IntArray
    r: FloatArray
    q: FloatArray
    gas: IntArray
    wall: IntArray
    fixed: IntArray


class CurveArrays(NamedTuple):
    """Curves, one after another, and the curve of every state of every contact."""

    ptr: IntArray
    T: FloatArray
    v: FloatArray
    contact_ptr: IntArray
    contact_curve: IntArray


class ControlArrays(NamedTuple):
    """Controllers, their targets one after another: from time t [s] on v [K], rising by slope [K/s]; and sensors:
    sensor i reads share times cell place, from ptr[i] to ptr[i + 1] - 1, with a lag [s]."""

    row: Any  # a record array, see `controllers.ROW`
    t: FloatArray
    v: FloatArray
    slope: FloatArray
    ptr: IntArray
    place: IntArray
    share: FloatArray
    lag: FloatArray


class SignalArrays(NamedTuple):
    """Tables against time, one after another, and the table that each signal follows.

    A signal that is asked of Python instead has a table too, which is then not looked at.

    ptr : int64[n_table + 1];  t, v : float64   times [s], not decreasing, and values; two equal times make a jump
    ambient : int64                             table of each prescribed surroundings
    source_cell, source : int64[n_source]       cells with a source and the table of each
    source_share : float64[n_source]            what the table is multiplied by
    """

    ptr: IntArray
    t: FloatArray
    v: FloatArray
    ambient: IntArray
    source_cell: IntArray
    source: IntArray
    source_share: FloatArray


class ExchangeArrays(NamedTuple):
    """Radiation between patches of surface.

    patch : int64[n_environment]        patch whose surroundings an environment is, or -1
    W : float64[n_patch, n_patch + 1]   irradiation of each patch per emissive power of each patch and of the walls
    grey : float64[n_patch]             emissivities that W belongs to
    wall : int64[1]                     surroundings that the walls are, or -1
    """

    patch: IntArray
    W: FloatArray
    grey: FloatArray
    wall: IntArray


class Arrays(NamedTuple):
    """A problem as the kernels see it.

    Grouped, because every array that a compiled function takes costs time to compile: each gets what it needs.
    """

    V: FloatArray
    mat: IntArray
    m: MaterialArrays
    f: FaceArrays
    b: BoundaryArrays
    u: CurveArrays
    c: ControlArrays
    x: ExchangeArrays
    s: SignalArrays
    env_cell: IntArray  # cell that is the surroundings; negative: prescribed, -1 the first
    border: IntArray  # per cell: place among the border cells; -2 less its place on the rim; or -1
    bcell: IntArray  # border cells
    rim: IntArray  # interior cells that border cells act on, or that act on them
    n_heat: int  # cells that carry heat: all but the memory of sensors and controllers, which stands last
