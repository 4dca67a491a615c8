"""Exact solutions of lumped and one-dimensional problems.

Dimensionless where no unit is given: theta = (T - Tgas) / (T0 - Tgas), Bi = h L / k, Fo = alpha t / L2, L the
half-thickness or the radius, positions scaled with L (0 on the middle, 1 on the surface).
"""

from collections.abc import Callable, Sequence
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.integrate import quad
from scipy.linalg import expm
from scipy.optimize import brentq
from scipy.special import erf, erfc, erfcx, j0, j1, jn_zeros

FloatArray = NDArray[np.float64]

BOOK_STEFAN_BOLTZMANN = 5.67e-8
"""Rounded constant of older books and of EN 1993-1-2 [W/(m2 K4)]; they also take 0 degC as 273 K."""


# --- plane wall, cylinder and sphere in a gas of constant temperature -----------------------------


@cache
def plane_series(biot: float, terms: int = 60) -> tuple[FloatArray, FloatArray]:
    """Roots of z tan z = Bi and coefficients of a uniform start (Carslaw & Jaeger, 2nd ed., sec. 3.11)."""
    low = np.pi * np.arange(terms)
    if np.isinf(biot):
        z = low + 0.5 * np.pi
    else:
        z = _roots(lambda z: z * np.sin(z) - biot * np.cos(z), low, low + 0.5 * np.pi)
    return z, 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z))


@cache
def cylinder_series(biot: float, terms: int = 60) -> tuple[FloatArray, FloatArray]:
    """Roots of z J1(z) = Bi J0(z), coefficients of a uniform start (Carslaw & Jaeger, 2nd ed., sec. 7.7)."""
    z = jn_zeros(0, terms)
    if np.isfinite(biot):
        z = _roots(lambda z: z * j1(z) - biot * j0(z), np.concatenate([[0.0], jn_zeros(1, terms - 1)]), z)
    return z, 2.0 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2))


@cache
def sphere_series(biot: float, terms: int = 60) -> tuple[FloatArray, FloatArray]:
    """Roots of z cot z = 1 - Bi and coefficients of a uniform start (Carslaw & Jaeger, 2nd ed., sec. 9.4)."""
    z = np.pi * np.arange(1, terms + 1)
    if np.isfinite(biot):
        low = np.concatenate([[1e-5], z[:-1]])  # 0 itself is a root, but not one of the series
        z = _roots(lambda z: (1.0 - biot) * np.sin(z) - z * np.cos(z), low, z)
    return z, 4.0 * (np.sin(z) - z * np.cos(z)) / (2.0 * z - np.sin(2.0 * z))


def _roots(f: Callable[[float], float], low: FloatArray, high: FloatArray) -> FloatArray:
    return np.array([brentq(f, a, b, xtol=1e-15) for a, b in zip(low, high, strict=True)])


SERIES = {"plane": plane_series, "cylinder": cylinder_series, "sphere": sphere_series}
_PROFILE = {"plane": np.cos, "cylinder": j0, "sphere": lambda u: np.sinc(u / np.pi)}
_MEAN = {
    "plane": lambda z: np.sin(z) / z,
    "cylinder": lambda z: 2.0 * j1(z) / z,
    "sphere": lambda z: 3.0 * (np.sin(z) - z * np.cos(z)) / z**3,
}


def theta(system: str, biot: float, fourier: float, x: float) -> float:
    """Dimensionless temperature at x."""
    z, c = SERIES[system](biot)
    return float(np.sum(c * np.exp(-z * z * fourier) * _PROFILE[system](z * x)))


def theta_mean(system: str, biot: float, fourier: float) -> float:
    """Mean of `theta` over the body: the fraction of the heat not yet exchanged, 1 - Q/Q0."""
    z, c = SERIES[system](biot)
    return float(np.sum(c * np.exp(-z * z * fourier) * _MEAN[system](z)))


def fourier_when(system: str, biot: float, x: float, value: float) -> float:
    """Fourier number at which `theta` at x has fallen to `value`."""
    return float(
        np.exp(brentq(lambda g: theta(system, biot, np.exp(g), x) - value, np.log(1e-3), np.log(1e4), xtol=1e-14))
    )


def plane_in_ramp(biot: float, fourier: float, x: float) -> float:
    """(T - T0) / (ramp L2 / alpha) of a plane wall in gas that rises at a constant ramp (Duhamel)."""
    z, c = plane_series(biot)
    lag = 0.5 * (1.0 - x * x) + 1.0 / biot
    return float(fourier - lag + np.sum(c / z**2 * np.exp(-z * z * fourier) * np.cos(z * x)))


def plane_with_flux(fourier: float, x: float) -> float:
    """k (T - T0) / (q L) of a plane wall with constant flux q (Carslaw & Jaeger, 2nd ed., sec. 3.8)."""
    n = np.arange(1, 61)
    series = np.sum((-1.0) ** n / n**2 * np.exp(-((n * np.pi) ** 2) * fourier) * np.cos(n * np.pi * x))
    return float(fourier + (3.0 * x * x - 1.0) / 6.0 - 2.0 / np.pi**2 * series)


def cylinder_with_flux(fourier: float, r: float) -> float:
    """k (T - T0) / (q R) of a long cylinder with constant flux q (Carslaw & Jaeger, 2nd ed., sec. 7.8)."""
    z = jn_zeros(1, 60)
    series = np.sum(np.exp(-z * z * fourier) * j0(z * r) / (z * z * j0(z)))
    return float(2.0 * fourier + 0.5 * r * r - 0.25 - 2.0 * series)


# --- lumped bodies --------------------------------------------------------------------------------


def heating_time(capacity: Callable[[float], float], flux: Callable[[float], float], start: float, end: float) -> float:
    """Time [s] from `start` to `end` [K] with `capacity` [J/(m2 K)] and `flux` [W/m2], by quadrature."""
    return float(quad(lambda T: capacity(T) / flux(T), start, end, epsabs=0.0, epsrel=1e-12, limit=400)[0])


def radiating_time(start: float, end: float, surroundings: float, rate: float) -> float:
    """Time from `start` to `end` [K] when dT/dt = rate (Ts^4 - T^4) [s].

    Source: Bejan & Kraus, Heat Transfer Handbook (Wiley), eq. 3.283.
    """

    def integral(T: float) -> float:
        return float(np.log(abs((surroundings + T) / (surroundings - T))) + 2.0 * np.arctan(T / surroundings))

    return (integral(end) - integral(start)) / (4.0 * rate * surroundings**3)


def linear_lumps(matrix: ArrayLike, drive: ArrayLike, start: ArrayLike, time: float) -> FloatArray:
    """Solution at `time` of dT/dt = matrix T + drive by the matrix exponential of the augmented system."""
    n = len(np.atleast_1d(start))
    augmented = np.zeros((n + 1, n + 1))
    augmented[:n, :n], augmented[:n, n] = matrix, drive
    return np.asarray(expm(augmented * time) @ np.append(start, 1.0))[:n]


# --- half-spaces ----------------------------------------------------------------------------------


def half_space_wall(x: float, time: float, alpha: float) -> float:
    """Rise at depth x [m] over the step of the surface temperature (Carslaw & Jaeger, 2nd ed., sec. 2.4)."""
    return float(erfc(x / (2.0 * np.sqrt(alpha * time))))


def half_space_flux(x: float, time: float, k: float, alpha: float, flux: float) -> float:
    """Rise [K] at depth x [m] under a constant flux [W/m2] (Carslaw & Jaeger, 2nd ed., sec. 2.9)."""
    u = x / (2.0 * np.sqrt(alpha * time))
    return float(2.0 * flux / k * np.sqrt(alpha * time / np.pi) * np.exp(-u * u) - flux * x / k * erfc(u))


def half_space_film(x: float, time: float, k: float, alpha: float, film: float) -> float:
    """Rise at depth x [m] over the step of the gas (Carslaw & Jaeger, 2nd ed., sec. 2.7)."""
    u, g = x / (2.0 * np.sqrt(alpha * time)), film * np.sqrt(alpha * time) / k
    return float(erfc(u) - np.exp(-u * u) * erfcx(u + g))


# --- layered walls --------------------------------------------------------------------------------


class LayeredWall:
    """Wall of layers (thickness, k, rho cp), insulated at x = 0, whose far side is stepped from 0 to 1.

    Contacts are conductances [W/(m2 K)] between the layers; `film` is the one on the far side. Infinite ones
    are perfect.
    """

    def __init__(self, layers: Sequence[tuple[float, float, float]], contacts: Sequence[float], film: float) -> None:
        self.layers, self.contacts, self.film = layers, contacts, film

    def _profile(self, s: complex, layer: int, x: float) -> tuple[complex, complex, complex]:
        """Laplace transforms, for a back side at 1, of T at a place, and of T and flux at the far side."""
        T, q, at = 1.0 + 0.0j, 0.0 + 0.0j, 0.0 + 0.0j
        for i, (thickness, k, capacity) in enumerate(self.layers):
            m = np.sqrt(s * capacity / k + 0.0j)
            if i == layer:
                at = np.cosh(m * x) * T - np.sinh(m * x) / (k * m) * q
            cosh, sinh = np.cosh(m * thickness), np.sinh(m * thickness)
            T, q = cosh * T - sinh / (k * m) * q, cosh * q - k * m * sinh * T
            if i < len(self.contacts):
                T -= q / self.contacts[i]
        return at, T, q

    def step_response(self, time: float, layer: int, x: float) -> float:
        """Temperature at x [m] from the back of `layer`, by Laplace inversion."""

        def transform(s: complex) -> complex:
            at, T, q = self._profile(s, layer, x)
            return at / (s * (T - q / self.film))

        return talbot(transform, time)

    def characteristic(self, beta: float) -> float:
        """Zero where beta [s^-1/2] is an eigenvalue."""
        _, T, q = self._profile(-beta * beta, 0, 0.0)
        return (T - q / self.film).real


def talbot(transform: Callable[[complex], complex], time: float, n: int = 20) -> float:
    """Fixed-Talbot inversion, 1e-10 in doubles (Abate & Valko, Int. J. Num. Meth. Engng 60 (2004) 979)."""
    r = 2.0 * n / (5.0 * time)
    total = 0.5 * np.exp(r * time) * transform(r + 0.0j).real
    for i in range(1, n):
        angle = i * np.pi / n
        cot = 1.0 / np.tan(angle)
        s = r * angle * (cot + 1.0j)
        total += (np.exp(time * s) * transform(s) * (1.0 + 1.0j * (angle + (angle * cot - 1.0) * cot))).real
    return float(total * r / n)


# --- phase change ---------------------------------------------------------------------------------


def stefan(number: float) -> float:
    """Constant l of the one-phase front 2 l sqrt(alpha t) (Carslaw & Jaeger, 2nd ed., sec. 11.2)."""
    return float(brentq(lambda u: u * np.exp(u * u) * erf(u) - number / np.sqrt(np.pi), 1e-6, 5.0, xtol=1e-15))


def neumann(
    *, k: tuple[float, float], capacity: tuple[float, float], latent: float, below: float, above: float
) -> tuple[float, Callable[[float, float], float]]:
    """Freezing half-space: constant l of the front 2 l sqrt(alpha_solid t), and T(x, t) over melting [K].

    Solid first in k [W/(m K)] and rho cp [J/(m3 K)]; wall `below` and liquid `above` the melting
    temperature [K].
    """
    alpha = [a / b for a, b in zip(k, capacity, strict=True)]
    ratio = np.sqrt(alpha[0] / alpha[1])

    def balance(u: float) -> float:
        solid = np.exp(-u * u) / erf(u)
        liquid = k[1] / k[0] * ratio * above / below / erfcx(u * ratio)
        return float(solid - liquid - u * latent * np.sqrt(np.pi) / (capacity[0] * below))

    front = float(brentq(balance, 1e-3, 3.0, xtol=1e-15))

    def temperature(x: float, time: float) -> float:
        u = x / (2.0 * np.sqrt(alpha[0] * time))
        if u < front:
            return float(below * (erf(u) / erf(front) - 1.0))
        return float(above * (1.0 - erfc(u * ratio) / erfc(front * ratio)))

    return front, temperature


def melting_range(
    *, k: float, capacity: float, latent: float, wall: float, liquidus: float, solidus: float, start: float
) -> tuple[float, float, Callable[[float], float]]:
    """Melting over a range: fronts a, b of liquidus and solidus, and T as a function of x / (2 sqrt t).

    Three regions of constant properties; `latent` [J/m3] is even between solidus and liquidus. Heat flow is
    continuous at both fronts; the inner one is eliminated, the outer one found by bracketing.
    """
    r1, r2 = np.sqrt(k / capacity), np.sqrt(k / (capacity + latent / (liquidus - solidus)))

    def slopes(a: float, b: float) -> tuple[float, float, float, float]:
        middle = (solidus - liquidus) / (erfc(a / r2) - erfc(b / r2)) / r2
        hot = (liquidus - wall) / erf(a / r1) * np.exp(-((a / r1) ** 2)) / r1
        cold = -(solidus - start) / erfcx(b / r1) / r1
        return hot, middle * np.exp(-((a / r2) ** 2)), middle * np.exp(-((b / r2) ** 2)), cold

    def inner(b: float) -> float:
        return float(brentq(lambda a: slopes(a, b)[0] - slopes(a, b)[1], 1e-3 * b, (1.0 - 1e-9) * b, xtol=1e-18))

    b = float(brentq(lambda b: slopes(inner(b), b)[2] - slopes(inner(b), b)[3], 0.05 * r1, r1, xtol=1e-18))
    a = inner(b)

    def temperature(u: float) -> float:
        if u <= a:
            return float(wall + (liquidus - wall) * erf(u / r1) / erf(a / r1))
        if u <= b:
            part = (erf(u / r2) - erf(a / r2)) / (erf(b / r2) - erf(a / r2))
            return float(liquidus + (solidus - liquidus) * part)
        return float(start + (solidus - start) * erfc(u / r1) / erfc(b / r1))

    return a, b, temperature
