"""What the outside does at a time: tables against time, and the signals that follow them."""

from .._jit import kernel, part


@part
def table_value(ptr, t, v, which, time):
    """Value of table `which` at a time: linear between points, held at both ends, at a jump the new one."""
    low, high = ptr[which], ptr[which + 1] - 1
    if time < t[low]:
        return v[low]
    if time >= t[high]:
        return v[high]
    while high - low > 1:
        middle = (low + high) // 2
        if time >= t[middle]:
            low = middle
        else:
            high = middle
    return v[low] + (v[high] - v[low]) * (time - t[low]) / (t[high] - t[low])


@part
def fill_signals(S, time, ambient, source):
    """Every signal of a problem whose signals are all tables (S : SignalArrays)."""
    for e in range(ambient.size):
        ambient[e] = table_value(S.ptr, S.t, S.v, S.ambient[e], time)
    source[:] = 0.0
    for i in range(S.source_cell.size):
        source[S.source_cell[i]] += S.source_share[i] * table_value(S.ptr, S.t, S.v, S.source[i], time)


@kernel
def signals_at(S, time, signals):
    """Fill `signals` with what they are at a time."""
    fill_signals(S, time, signals.ambient, signals.source)
