"""Taking in a step of a march: what probes read, when they passed temperatures, and where the heat went."""

from math import ceil, inf

from .._jit import lean, part
from .passings import passing_time, probe_at
from .probes import probe_value, probe_values

ROWS, PASSINGS, STEPS, NEWTON, LINEAR = range(5)
"""Places in `whole`: rows of readings, passings, steps, and iterations of Newton's method and of the linear solver."""
HEAT, EXCHANGED, EVERY = range(3)
"""Places in `real`: heat that entered, sum of its magnitudes over the steps [J], longest time between readings [s]."""


@part
def read_inside(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, share, T, out):
    """Reading of every probe at a share of a step."""
    for j in range(out.size):
        out[j] = probe_at(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, share, j, T)


@part
def keep_passing(A, first, j, level, time, upwards):
    """Enter a passing behind those of this step, which begin at `first`, that are not later."""
    at = A.whole[PASSINGS]
    A.whole[PASSINGS] += 1
    while at > first and A.passed[at - 1, 2] > time:
        for i in range(4):
            A.passed[at, i] = A.passed[at - 1, i]
        at -= 1
    A.passed[at, 0] = j
    A.passed[at, 1] = level
    A.passed[at, 2] = time
    A.passed[at, 3] = upwards


@part
def keep_passings(M, f, U, mat, Q, A, states, H0, rate0, H1, rate1, where, start, end, before, now):
    """Every passing inside a step, in order of time."""
    first = A.whole[PASSINGS]
    for i in range(A.watched.size):
        j, level = A.watched[i], A.level[i]
        up = before[j] < level and now[j] >= level
        if up or (before[j] > level and now[j] <= level):
            sign = 1.0 if up else -1.0
            time = passing_time(
                M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, A.sight, start, end, j, level, sign
            )
            keep_passing(A, first, j, level, time, sign)


@lean
def take_in(M, f, U, mat, Q, A, states, H0, rate0, H1, rate1, where, T, start, end, heat, newton, linear):
    """Take in one step; False, with nothing done, when the arrays are too short for it."""
    h = end - start
    parts = max(1, ceil(h / A.real[EVERY]))
    row = A.whole[ROWS]
    if row + parts + 1 > A.time.size or A.whole[PASSINGS] + A.watched.size > A.passed.shape[0]:
        return False
    if row == 0:
        read_inside(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, 0.0, A.sight, A.reading[0])
        A.time[0] = start
        for n in range(H0.size):
            A.before[n] = H0[n]
        row = 1
    last = row - 1
    for n in range(1, parts):
        share = n / parts
        read_inside(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, share, A.sight, A.reading[row])
        A.time[row] = start + share * h
        row += 1
    now = A.reading[row]
    probe_values(M, f, U, mat, Q, states, T, now)
    A.time[row] = end
    A.whole[ROWS] = row + 1
    keep_passings(M, f, U, mat, Q, A, states, H0, rate0, H1, rate1, where, start, end, A.reading[last], now)
    for n in range(H1.size):
        A.after[n] = H1[n]
    A.real[HEAT] += heat
    A.real[EXCHANGED] += abs(heat)
    A.whole[STEPS] += 1
    A.whole[NEWTON] += newton
    A.whole[LINEAR] += linear
    return True


@part
def goal_time(M, f, U, mat, Q, A, states, H0, rate0, H1, rate1, where, T, start, end):
    """When the last goal is met inside a step that is not yet taken in: from its start to its end [s]; inf if not."""
    last = start
    for i in range(A.goal.size):
        j, sign, level = A.goal[i], A.goal_sign[i], A.goal_level[i]
        if A.at_once[0] == 1 or A.met[i] == 0:
            if sign * (probe_value(M, f, U, mat, Q, states, T, j) - level) < 0.0:
                return inf
            time = passing_time(
                M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, A.sight, start, end, j, level, sign
            )
            last = max(last, time)
    return last


@part
def goals_met(A):
    """Whether every goal is met: at once by what was read last, or each at some time."""
    now = A.reading[A.whole[ROWS] - 1]
    first = A.reading[0]
    every = True
    for i in range(A.goal.size):
        j, sign, level = A.goal[i], A.goal_sign[i], A.goal_level[i]
        there = sign * (now[j] - level) >= 0.0
        if there or sign * (first[j] - level) >= 0.0:
            A.met[i] = 1
        every = every and (there if A.at_once[0] == 1 else A.met[i] == 1)
    return every
