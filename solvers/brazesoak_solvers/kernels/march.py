"""Many steps in a row: how long each is, where it must end, and what acts there.

A march keeps its state in arrays (`MarchArrays`, here K) and comes back to Python with one of the codes below; called
again, it goes on from there. Between two calls the last step lies open: H0 and rate0 at its start, H1, rate1 and T at
its end; the next step takes it over.
"""

from math import inf, isfinite, nextafter

from .._jit import kernel, lean, part
from .implicit import evaluate
from .passings import passing_time
from .probes import probe_value
from .signals import fill_signals
from .trbdf2 import GAMMA, step
from .watching import PASSINGS, goal_time, goals_met, take_in

END, MET, PAUSED, FULL, RENEW, ASK, FAILED, GO = range(8)
"""Why a march comes back: it is at its end; its goals are met; it has made so many steps; the watch's arrays are full;
the exchange between patches is to be computed anew; functions are to be asked; a step failed. GO: it does not."""
N_REAL = 15
START, TIME, DT, Q0, Q1, HEAT, ERROR, AIM, FAILED_STEP, RESIDUAL = range(10)
TOLERANCE, FIRST, LARGEST, SMALLEST, FIXED = range(10, N_REAL)
"""Places in `real`: start and end of the last step, length of the next, outside heat flow at both ends, heat and error
of the last step, the switch that is stepped to, what failed; the options (0: no fixed step)."""
N_WHOLE = 11
OPEN, FLOWS, LOOK, NEXT_BREAK, TOWARDS, UNSEEN, NEWTON, LINEAR, AT, ASKS, THIRD = range(N_WHOLE)
"""Places in `whole`: whether the last step is to be taken over, whether flows are to be evaluated (ANEW, RESTART),
whether emissivities are to be looked at, the next breakpoint, how a switch is stepped to, whether the last step is to
be watched, iterations of the last step, the cell where the residual was largest, whether functions are asked, and
whether steps are of third order."""
ANEW, RESTART = 1, 2
ORDINARY, EXACTLY, NEARER = 0, 1, 2
"""How a switch is stepped to: not yet found; in one step that ends on it; in shorter ones since that failed."""
AIMED, MOST_GROWTH = 0.9, 5.0
"""Share aimed at of the step that the tolerance would allow, and how much longer than the one before it is at most."""
GREY_CHANGE = 1e-3
"""Change of a patch's emissivity at which the exchange between patches is computed anew."""
AT_GOAL = 1e-3
"""A march ends so shortly after the instant at which its goals are met [s]."""
AT_ONCE = 1e-6
"""Switches as near as this [K] to their threshold at the end of a step act there together."""


@part
def have_signals(S, K, slot, signals, time):
    """Fill `signals` with what they are at a time; False when Python must be asked for them first."""
    K.wanted[slot] = time
    if K.whole[ASKS] == 1:
        return K.given[slot] == time
    fill_signals(S, time, signals.ambient, signals.source)
    return True


@part
def take_over(K, X):
    """Begin where the last step ended; switches that it found act."""
    r, w = K.real, K.whole
    w[OPEN] = 0
    h = r[TIME] - r[START]
    for n in range(K.H0.size):
        K.slope[n] = (K.H1[n] - K.H0[n]) / h
        K.H0[n] = K.H1[n]
        K.rate0[n] = K.rate1[n]
    r[Q0] = r[Q1]
    w[LOOK] = 1
    for i in range(X.acts.size):
        if X.acts[i] == 1:
            K.states[X.contact[i]] = X.state[i]
            X.acts[i], X.pending[i] = 0, 0
            w[FLOWS] = RESTART
    for i in range(X.after.size):
        if X.after[i] >= 0:
            X.pending[i] = 1 if K.states[X.contact[i]] == X.after[i] else 0


@part
def emissivities_moved(K, grey):
    """Whether the emissivity of a patch has moved since the exchange was computed, looked at once a step."""
    look = K.whole[LOOK] == 1
    K.whole[LOOK] = 0
    if look:
        for p in range(grey.size):
            if abs(grey[p] - K.grey[p]) >= GREY_CHANGE:
                return True
    return False


@kernel(inline="always")
def renew_flows(P, W, K):
    """Evaluate the flows at the start of the next step; a restart also takes a cautious step without a guess.

    Returns whether there are any: surfaces that do not settle where a step begins do not in a shorter one either.
    """
    r, w, s = K.real, K.whole, K.now
    r[Q0] = evaluate(P, K.states, K.H0, K.where, K.T, W, s.ambient, s.source)
    for n in range(K.H0.size):
        K.rate0[n] = W.F[n] / P.V[n]
    if w[FLOWS] == RESTART:
        K.slope[:] = 0.0
        r[DT] = r[FIXED] if r[FIXED] > 0.0 else min(r[FIRST], r[DT])
    w[FLOWS] = 0
    if W.stuck[0] > 0.0:
        r[FAILED_STEP], r[RESIDUAL], w[AT] = r[DT], W.stuck[0], int(W.stuck[1])
        return False
    return True


@part
def pass_break(K):
    """Pass the next breakpoint when the march is there."""
    i = K.whole[NEXT_BREAK]
    if i == K.breaks.size or K.breaks[i] > K.real[TIME] * (1.0 + 1e-14):
        return False
    K.whole[NEXT_BREAK] += 1
    K.whole[FLOWS] = RESTART
    return True


@kernel(inline="always")
def get_ready(P, W, K, X):
    """Bring the march to where a step can begin: GO, or ASK, RENEW or FAILED."""
    if K.whole[OPEN] == 1:
        take_over(K, X)
    while True:
        if K.whole[FLOWS] > 0:
            if not have_signals(P.s, K, 0, K.now, K.real[TIME]):
                return ASK
            if not renew_flows(P, W, K):
                return FAILED
        if emissivities_moved(K, W.grey):
            for p in range(W.grey.size):
                K.grey[p] = W.grey[p]
            K.whole[FLOWS] = ANEW
            return RENEW
        if not pass_break(K):
            return GO


@part
def next_stop(K, end):
    """The time that the next step must not pass."""
    if K.whole[TOWARDS] == NEARER:
        return K.real[AIM]
    if K.whole[NEXT_BREAK] < K.breaks.size:
        return min(end, K.breaks[K.whole[NEXT_BREAK]])
    return end


@part
def choose(K, stop):
    """Length of the next step and its end."""
    r = K.real
    left = stop - r[TIME]
    if r[FIXED] > 0.0:
        dt = min(r[FIXED], left)
    else:
        dt = min(min(r[DT], r[LARGEST]), left)
        if 0.5 * left < dt < left:
            dt = 0.5 * left  # two even steps rather than a sliver at the end
    return dt, stop if dt == left else r[TIME] + dt


@kernel(inline="always")
def attempt(P, S, W, Z, K, dt, end):
    """Make a step, tentatively: its answer is in H1, rate1, T, and GO; or FAILED, or ASK."""
    r, w = K.real, K.whole
    # A step that ends at a jump belongs to what was before it; a restart takes up what is after.
    jumps = w[NEXT_BREAK] < K.breaks.size and end == K.breaks[w[NEXT_BREAK]]
    inner = have_signals(P.s, K, 1, K.inner, r[TIME] + GAMMA * dt)
    outer = have_signals(P.s, K, 2, K.outer, nextafter(end, -inf) if jumps else end)
    if not (inner and outer):
        return ASK
    before = r[TIME] - r[START] if r[TIME] > r[START] else dt
    ok, r[ERROR], r[HEAT], r[Q1], w[NEWTON], w[LINEAR], r[RESIDUAL], w[AT] = step(
        P, S, W, Z, K.states, K.H0, K.rate0, r[Q0], dt, K.slope, before, K.inner, K.outer,
        K.H1, K.rate1, K.where, K.T, K.slack, r[TOLERANCE], w[THIRD] == 1,
    )  # fmt: skip
    return GO if ok and isfinite(r[ERROR]) else FAILED


@part
def judge(K, dt, code):
    """Whether a step stands, and how long the next one is to be; FAILED when it would have to be too short."""
    r = K.real
    if code == FAILED:
        r[DT] = 0.25 * dt
        return code, r[DT] < r[SMALLEST] or r[FIXED] > 0.0
    if r[FIXED] > 0.0:
        return GO, False
    ratio = r[ERROR] / r[TOLERANCE]
    grow = AIMED * max(ratio, 1e-4) ** (-1.0 / 3.0)
    if ratio <= 1.0:
        r[DT] = dt * min(grow, MOST_GROWTH)
        return GO, False
    r[DT] = dt * max(grow, 0.1)
    r[RESIDUAL] = r[ERROR]
    return FAILED, r[DT] < r[SMALLEST]


@part
def beyond(M, f, U, mat, X, states, T, i):
    """How far switch i is beyond its threshold [K], negative before it."""
    return X.sign[i] * (probe_value(M, f, U, mat, X.Q, states, T, i) - X.level[i])


@part
def first_switch(M, f, U, mat, X, K, end):
    """Whether a pending switch is passed inside the step that was just made, and when the first of them is."""
    found = False
    first = end
    for i in range(X.pending.size):
        if X.pending[i] == 1 and beyond(M, f, U, mat, X, K.states, K.T, i) >= 0.0:
            time = passing_time(
                M, f, U, mat, X.Q, K.states, K.H0, K.rate0, K.H1, K.rate1, K.where, K.sight,
                K.real[TIME], end, i, X.level[i], X.sign[i],
            )  # fmt: skip
            found = True
            first = min(first, time)
    return found, first


@part
def mark_switches(M, f, U, mat, X, K):
    """Mark the switches that act at the end of a step: all within the root's own accuracy; the rest wait."""
    for i in range(X.pending.size):
        if X.pending[i] == 1 and beyond(M, f, U, mat, X, K.states, K.T, i) >= -AT_ONCE:
            X.acts[i] = 1


@kernel(inline="always")
def one_step(P, S, W, Z, K, X, end):
    """One step that stands and that no switch lies inside, open to be looked at: GO, or ASK or FAILED."""
    r, w = K.real, K.whole
    while True:
        if w[TOWARDS] == EXACTLY:
            dt = max(r[AIM] - r[TIME], r[SMALLEST])
            stop = r[TIME] + dt
        else:
            dt, stop = choose(K, next_stop(K, end))
        code = attempt(P, S, W, Z, K, dt, stop)
        if code == ASK:
            return ASK
        if w[TOWARDS] == EXACTLY:
            if code == FAILED:  # it does not settle, though a longer one did: go there in shorter ones
                r[FAILED_STEP] = r[AIM] - r[TIME]
                if r[FIXED] > 0.0 or r[FAILED_STEP] <= r[SMALLEST]:
                    return FAILED
                r[DT] = 0.25 * r[FAILED_STEP]
                w[TOWARDS] = NEARER
                continue
            mark_switches(P.m, P.f, P.u, P.mat, X, K)
            w[FLOWS] = ANEW  # a step may be so short that its rates are mostly rounding
            break
        code, hopeless = judge(K, dt, code)
        if hopeless:
            r[FAILED_STEP] = dt
            return FAILED
        if code == FAILED:
            continue
        found, first = first_switch(P.m, P.f, P.u, P.mat, X, K, stop)
        if first < stop:
            r[AIM] = first
            w[TOWARDS] = EXACTLY
            continue
        if found:
            mark_switches(P.m, P.f, P.u, P.mat, X, K)
        break
    w[TOWARDS] = ORDINARY
    r[START], r[TIME] = r[TIME], stop
    w[OPEN], w[UNSEEN] = 1, 1
    return GO


@part
def turn_back(M, f, U, mat, K, X, Q, A):
    """Give up a step inside which the goals are met, and aim just behind that instant; whether so."""
    r, w = K.real, K.whole
    if A.goal.size == 0 or r[FIXED] > 0.0:
        return False
    time = goal_time(M, f, U, mat, Q, A, K.states, K.H0, K.rate0, K.H1, K.rate1, K.where, K.T, r[START], r[TIME])
    aim = time + AT_GOAL
    if not aim < r[TIME] - AT_GOAL:
        return False
    r[AIM], w[TOWARDS] = aim, EXACTLY
    r[TIME] = r[START]
    w[OPEN], w[UNSEEN] = 0, 0
    X.acts[:] = 0
    return True


@lean
def march(P, S, W, Z, K, X, Q, A, watched, end, most, stop_at_passings):
    """March to `end` [s], or to where the goals are met, taking at most so many steps; returns why it came back.

    Parameters
    ----------
    P, S, W, Z                  problem, linear solver and scratch arrays
    K, X                        state of the march, and its switches
    Q, A                        probes and what is watched, where `watched`
    stop_at_passings : bool     come back after a step in which something was passed
    """
    r, w = K.real, K.whole
    made = 0
    while True:
        if w[UNSEEN] == 1 and not (watched and turn_back(P.m, P.f, P.u, P.mat, K, X, Q, A)):
            known = A.whole[PASSINGS]
            if watched and not take_in(
                P.m, P.f, P.u, P.mat, Q, A, K.states, K.H0, K.rate0, K.H1, K.rate1, K.where, K.T,
                r[START], r[TIME], r[HEAT], w[NEWTON], w[LINEAR],
            ):  # fmt: skip
                return FULL
            w[UNSEEN] = 0
            made += 1
            if watched and A.goal.size > 0 and goals_met(A):
                return MET
            if made >= most or (stop_at_passings and A.whole[PASSINGS] > known):
                return PAUSED
        if r[TIME] >= end - 1e-12 * max(end, 1.0):
            return END
        code = get_ready(P, W, K, X)
        if code == GO:
            code = one_step(P, S, W, Z, K, X, end)
        if code != GO:
            return code
