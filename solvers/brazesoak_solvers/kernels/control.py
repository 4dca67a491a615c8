"""Sensors and controllers: power from what is wanted and what is sensed. Their memory is cells that carry no heat.

Reading of a sensor, and integral, filtered measurement and program time of a controller, are unknowns of the same
implicit system as the temperatures, on the border, with unit capacity: a "flow" into such a cell is the rate of the
state. What is discrete, the piece of the program and a relay, is kept beside the states of the contacts and changed
by switches.
"""

from .._jit import part
from .properties import curve

DERIVATIVE_GAIN = 10.0
"""The measurement is filtered over this share of the derivative time; 8 to 20 is usual (Astrom and Hagglund,
Advanced PID Control, 2006, section 3.3, recalled)."""
FADE = 0.05
"""Share of the power, next to a limit, over which integration towards that limit fades out."""
WAIT = 1.0
"""Kelvin of deviation over which a program goes from running to waiting."""


@part
def wanted(K, h, states, T):
    """Target of controller h and how fast its program moves it [K/s]."""
    c = K.row[h]
    if c.program < 0:
        return K.v[c.first], 0.0
    i = c.first + states[c.piece]
    return K.v[i] + K.slope[i] * (T[c.program] - K.t[i]), K.slope[i]


@part
def add_program(c, slope, deviation, border, F, E):
    """Enter the program's own time: it stands still while the target is a band above what is sensed."""
    p = border[c.program]
    pace = (c.band + 0.5 * WAIT - deviation) / WAIT
    F[c.program] += min(max(pace, 0.0), 1.0)
    if 0.0 < pace < 1.0:
        E[p, border[c.sensed]] += 1.0 / WAIT
        E[p, p] -= slope / WAIT


@part
def add_integral(c, slope, deviation, power, d_sensed, d_filtered, border, F, E):
    """Enter the integral of the deviation [K]; near a limit of the power, integration towards it fades out."""
    z, s = border[c.integral], border[c.sensed]
    room, way = (c.maximum - power, -1.0) if deviation > 0.0 else (power, 1.0)
    fade = min(max(room / (FADE * c.maximum), 0.0), 1.0)
    rate = deviation / c.integral_time
    F[c.integral] += fade * rate
    by_power = way * rate / (FADE * c.maximum) if 0.0 < fade < 1.0 else 0.0
    E[z, s] += by_power * d_sensed - fade / c.integral_time
    E[z, z] += by_power * c.gain
    if c.filtered >= 0:
        E[z, border[c.filtered]] += by_power * d_filtered
    if c.program >= 0:
        E[z, border[c.program]] += slope * (by_power * c.gain + fade / c.integral_time)


@part
def controlled_power(c, U, target, deviation, T, border, F):
    """Power before its limits, and how it changes with what is sensed and with that filtered; enters the filter."""
    power = curve(U, c.feed, target) + c.gain * deviation
    d_sensed, d_filtered = -c.gain, 0.0
    if c.integral >= 0:
        power += c.gain * T[c.integral]
    if c.filtered >= 0:
        d_filtered = c.gain * DERIVATIVE_GAIN
        d_sensed -= d_filtered
        power -= d_filtered * (T[c.sensed] - T[c.filtered])
    return power, d_sensed, d_filtered


@part
def add_filter(c, T, border, F, E):
    """Enter the filtered measurement, whose distance from the measurement is the derivative."""
    m = border[c.filtered]
    rate = DERIVATIVE_GAIN / c.derivative_time
    F[c.filtered] += rate * (T[c.sensed] - T[c.filtered])
    E[m, border[c.sensed]] += rate
    E[m, m] -= rate


@part
def add_sensors(K, n_heat, border, T, F, C, E):
    """Enter the readings of the sensors, which follow the mean of their cells."""
    for i in range(K.lag.size):
        m = n_heat + i
        b, rate = border[m], 1.0 / K.lag[i]
        F[m] -= rate * T[m]
        E[b, b] -= rate
        for j in range(K.ptr[i], K.ptr[i + 1]):
            n = K.place[j]
            F[m] += rate * K.share[j] * T[n]
            if border[n] < 0:
                C[b, -2 - border[n]] += rate * K.share[j]
            else:
                E[b, border[n]] += rate * K.share[j]


@part
def add_controllers(K, U, border, states, T, F, E):
    """Enter the controllers and what they heat; returns their power [W]."""
    total = 0.0
    for h in range(K.row.size):
        c = K.row[h]
        if c.cell < 0:  # switched off
            continue
        target, slope = wanted(K, h, states, T)
        deviation = target - T[c.sensed]
        if c.program >= 0:
            add_program(c, slope, deviation, border, F, E)
        if c.relay >= 0:
            F[c.cell] += c.maximum * states[c.relay]
            total += c.maximum * states[c.relay]
            continue
        power, d_sensed, d_filtered = controlled_power(c, U, target, deviation, T, border, F)
        held = min(max(power, 0.0), c.maximum)
        F[c.cell] += held
        total += held
        if c.filtered >= 0:
            add_filter(c, T, border, F, E)
        if c.integral >= 0:
            add_integral(c, slope, deviation, power, d_sensed, d_filtered, border, F, E)
        if held == power:
            n = border[c.cell]
            E[n, border[c.sensed]] += d_sensed
            if c.integral >= 0:
                E[n, border[c.integral]] += c.gain
            if c.filtered >= 0:
                E[n, border[c.filtered]] += d_filtered
            if c.program >= 0:
                E[n, border[c.program]] += c.gain * slope
    return total
