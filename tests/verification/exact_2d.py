"""Exact solutions in two and three dimensions, and the few numerical references that have no closed form.

Temperatures are dimensionless or in the caller's unit; Bi = h L / k and Fo = alpha t / L2, with L the
half-thickness or the radius. Positions are scaled with L unless a docstring says otherwise.
"""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.special import iv, ive, kv, kve

from .exact import plane_series, talbot

FloatArray = NDArray[np.float64]


def fin(biot: float, length: float, x: float, y: float, terms: int = 60) -> float:
    """Steady (T - Tgas) / (Tbase - Tgas) of a fin of half thickness 1 and `length`, adiabatic tip, film on y
    = 1.
    """
    z, c = plane_series(biot, terms)
    ratio = (np.exp(-z * x) + np.exp(-z * (2.0 * length - x))) / (1.0 + np.exp(-2.0 * z * length))
    return float(np.sum(c * np.cos(z * y) * ratio))


def fin_base_flow(biot: float, length: float, terms: int = 4000) -> float:
    """Heat into half of that fin through its base, over conductivity times temperature difference."""
    z, c = plane_series(biot, terms)
    return float(np.sum(c * np.sin(z) * np.tanh(z * length)))


def hollow_cylinder(r: float, time: float, inner: float, outer: float, k: float, alpha: float, film: float) -> float:
    """Step response at r [m] of a tube with an insulated bore and a film outside, by Laplace inversion
    (Talbot).
    """

    def transform(s: complex) -> complex:
        m = np.sqrt(s / alpha)
        value = [iv(0, m * x) * kv(1, m * inner) + kv(0, m * x) * iv(1, m * inner) for x in (r, outer)]
        slope = m * (iv(1, m * outer) * kv(1, m * inner) - kv(1, m * outer) * iv(1, m * inner))
        return film / s * value[0] / (k * slope + film * value[1])

    return talbot(transform, time)


def cube(x: float, y: float, z: float, terms: int = 61) -> float:
    """Steady unit cube, face z = 1 at 1, the others at 0: double Fourier series."""
    i, j = np.meshgrid(np.arange(1, terms, 2), np.arange(1, terms, 2))
    g = np.pi * np.hypot(i, j)
    grow = np.exp(g * (z - 1.0)) * (1.0 - np.exp(-2.0 * g * z)) / (1.0 - np.exp(-2.0 * g))
    return float(np.sum(16.0 / (np.pi**2 * i * j) * np.sin(i * np.pi * x) * np.sin(j * np.pi * y) * grow))


def square_column(x: float, y: float, top: float = 20.0, terms: int = 400) -> float:
    """Steady square of side 2, side y = 2 at `top`, the others at 0, origin at a corner: Fourier series."""
    i = np.arange(1, terms, 2)
    grow = np.exp(0.5 * i * np.pi * (y - 2.0)) * (1.0 - np.exp(-i * np.pi * y)) / (1.0 - np.exp(-2.0 * i * np.pi))
    return float(np.sum(4.0 * top / (i * np.pi) * np.sin(0.5 * i * np.pi * x) * grow))


def plate_with_film(x: float, y: float, width: float, height: float, film: float, k: float) -> float:
    """Steady plate: y = 0 at 1, x = 0 insulated, film to 0 on x = width and y = height; positions [m]."""
    z, c = plane_series(film * width / k, 80)

    def vertical(at: float) -> FloatArray:  # divided by exp(z height / width) to stay finite
        up, down = np.exp(-z * at / width), np.exp(z * (at - 2.0 * height) / width)
        return 0.5 * ((up + down) + film * width / (k * z) * (up - down))

    return float(np.sum(c * np.cos(z * x / width) * vertical(y) / vertical(0.0)))


def heated_bore(
    r: float,
    z: float,
    *,
    inner: float,
    outer: float,
    height: float,
    band: tuple[float, float],
    flux: float,
    k: float,
) -> float:
    """Steady tube [m] with `flux` [W/m2] into a band of its bore, the rest of the bore insulated, all else at
    0.
    """
    i = np.arange(1, 400)
    m = i * np.pi / height
    strength = 2.0 * flux / (i * np.pi) * (np.cos(m * band[0]) - np.cos(m * band[1]))
    # Exponentially scaled Bessel functions: I carries exp(x), K carries exp(-x).
    out, at, bore = m * outer, m * r, m * inner
    scale = np.exp(2.0 * (at - out))
    value = kve(0, at) * ive(0, out) - ive(0, at) * kve(0, out) * scale
    scale = np.exp(2.0 * (bore - out))
    slope = kve(1, bore) * ive(0, out) + ive(1, bore) * kve(0, out) * scale
    return float(np.sum(strength / (k * m) * value / slope * np.exp(bore - at) * np.sin(m * z)))


def oscillating_end(x: float, time: float, length: float, alpha: float, amplitude: float, omega: float) -> float:
    """Slab [m] from 0, x = 0 at 0 and x = length at amplitude sin(omega t): Duhamel series."""
    n = np.arange(1, 100_001)
    rate = alpha * (n * np.pi / length) ** 2
    drive = -2.0 * amplitude * omega * (-1.0) ** (n + 1) / (n * np.pi)
    mode = (rate * np.cos(omega * time) + omega * np.sin(omega * time) - rate * np.exp(-rate * time)) / (
        rate**2 + omega**2
    )
    return float(amplitude * np.sin(omega * time) * x / length + np.sum(drive * mode * np.sin(n * np.pi * x / length)))


def chebyshev_slab(
    half: float,
    k: Callable[[FloatArray], FloatArray],
    capacity: Callable[[FloatArray], FloatArray],
    into_surface: Callable[[float], float],
    start: float,
    times: Sequence[float],
    n: int,
) -> tuple[FloatArray, FloatArray]:
    """Surface and centre temperatures of a symmetric slab whose surface flux depends on its temperature.

    Collocation on n + 1 Chebyshev points over the whole thickness, marched by an implicit Runge-Kutta method;
    shares nothing with the finite volumes under test.
    """
    x = np.cos(np.pi * np.arange(n + 1) / n)
    c = np.concatenate([[2.0], np.ones(n - 1), [2.0]]) * (-1.0) ** np.arange(n + 1)
    derivative = np.outer(c, 1.0 / c) / (x[:, None] - x[None, :] + np.eye(n + 1))
    derivative = (derivative - np.diag(derivative.sum(axis=1))) / half

    def rate(_: float, T: FloatArray) -> FloatArray:
        q = -k(T) * (derivative @ T)
        q[0], q[-1] = -into_surface(T[0]), into_surface(T[-1])
        return -(derivative @ q) / capacity(T)

    run = solve_ivp(rate, (0.0, max(times)), np.full(n + 1, start), method="Radau", rtol=1e-8, atol=1e-7, t_eval=times)
    return run.y[0], run.y[n // 2]
